"""The sample pack of an invented works office: its rules, its plan, and the plan gone wrong."""

from __future__ import annotations

import json

import pytest

from plancheck.library.house import HOUSE_FILE
from tests.cli.calling import Caller
from tests.samples.expectations import Spot, compared, expected_of
from tests.samples.test_samples import SAMPLES

COMPANY = SAMPLES / "company"
SOUND, FAULTY = COMPANY / "oar-store.plan", COMPANY / "oar-store-faulty.plan"


@pytest.fixture
def plancheck(capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(capsys)


def test_every_rule_of_the_pack_does_as_its_examples_say(plancheck: Caller) -> None:
    outcome = plancheck("rules", "trial", COMPANY / "house")
    assert outcome.status == 0, outcome.out
    assert "15 examples of 6 rules: 15 as they say" in outcome.out


def test_the_sound_plan_has_no_finding_and_says_what_it_was_held_to(plancheck: Caller) -> None:
    outcome = plancheck("review", SOUND, "--fail-at", "note", "--width", "400")
    assert outcome.status == 0, outcome.out
    for words in (
        f"Kestrel Wharf works office: {COMPANY / HOUSE_FILE}",
        "house: House rules of the Kestrel Wharf works office (adopted by the plan)",
        "electrical/supply-headroom by house: limit most 70 % instead of 80 %. Reason: one more lock must",
        "electrical/loop-drop by house: severity error instead of warning. Reason: a run that is too thin",
    ):
        assert words in outcome.out
    assert "loosens" not in outcome.out


def test_the_faulty_plan_shows_what_its_lines_say(plancheck: Caller) -> None:
    outcome = plancheck("review", FAULTY, "--as", "json")
    assert outcome.status == 1
    (plan,) = json.loads(outcome.out)["plans"]
    found = {Spot(f["at"]["file"], f["at"]["line"], f["rule"]) for f in plan["findings"]}
    from plancheck.library.files import read_text

    source, _ = read_text(FAULTY)
    assert compared(expected_of(source), found) == ""
    assert [(pack["name"], pack["why"]) for pack in plan["packs"]] == [("house", "adopted by the plan")]
    assert [(c["rule"], c["loosens"]) for c in plan["changes"]] == [
        ("electrical/loop-drop", False),
        ("electrical/supply-headroom", False),
    ]


def test_without_the_pack_only_the_headroom_is_left_and_passes(plancheck: Caller, tmp_path: object) -> None:
    # 285 of 400 mA are 71 %: beyond the house's 70 %, within the rule's own 80 %.
    outcome = plancheck("review", FAULTY, "--as", "json", "--fail-at", "error")
    assert "electrical/supply-headroom" in {f["rule"] for f in json.loads(outcome.out)["plans"][0]["findings"]}
    from pathlib import Path

    bare = Path(str(tmp_path)) / "bare.plan"
    devices = (COMPANY / "house/devices.plan").read_text(encoding="utf-8")
    bare.write_text(FAULTY.read_text(encoding="utf-8").replace('adopt "house"\n', "") + devices, encoding="utf-8")
    assert plancheck("review", bare, "--fail-at", "note").status == 0
