"""`plancheck review`: exit statuses, formats, packs, folders, thresholds."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.calling import Caller, process
from tests.cli.plans import FAULTY, HOUSE_RULE, NOTED, SOUND


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with a sound plan, a faulty one, and one that earns a note."""
    monkeypatch.chdir(tmp_path)
    for name, text in (("sound.plan", SOUND), ("faulty.plan", FAULTY), ("noted.plan", NOTED)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_a_sound_plan_exits_0(folder: Path, plancheck: Caller) -> None:
    outcome = plancheck("review", "sound.plan")
    assert (outcome.status, outcome.err) == (0, "")
    assert "No findings from the rules that were run." in outcome.out


def test_findings_exit_1(folder: Path, plancheck: Caller) -> None:
    outcome = plancheck("review", "faulty.plan")
    assert (outcome.status, outcome.err) == (1, "")
    assert "electrical/polarity" in outcome.out


@pytest.mark.parametrize(
    ("name", "threshold", "status"),
    [
        ("noted.plan", "note", 1),
        ("noted.plan", "warning", 0),
        ("noted.plan", "error", 0),
        ("faulty.plan", "error", 1),
        ("sound.plan", "note", 0),
    ],
)
def test_the_threshold_decides(name: str, threshold: str, status: int, folder: Path, plancheck: Caller) -> None:
    assert plancheck("review", name, "--fail-at", threshold).status == status


def test_what_could_not_be_judged_exits_2(folder: Path, plancheck: Caller) -> None:
    # A contact of which nobody says what it may carry: neither a pass nor a finding.
    (folder / "gap.plan").write_text(SOUND.replace("{ contacts 3 A at 30 Vdc }", ""), encoding="utf-8")
    outcome = plancheck("review", "gap.plan", "--fail-at", "error")
    assert outcome.status == 2
    assert "electrical/contact-rating for SB1" in outcome.out


def test_a_folder_stands_for_its_plans(folder: Path, plancheck: Caller) -> None:
    outcome = plancheck("review", ".", "--as", "json")
    report = json.loads(outcome.out)
    assert [plan["file"] for plan in report["plans"]] == ["faulty.plan", "noted.plan", "sound.plan"]
    assert outcome.status == 1


def test_a_folder_is_one_sarif_log_with_one_run(folder: Path, plancheck: Caller) -> None:
    outcome = plancheck("review", ".", "--as", "sarif")
    (run,) = json.loads(outcome.out)["runs"]
    uris = [artifact["location"]["uri"] for artifact in run["artifacts"]]
    assert uris == ["faulty.plan", "noted.plan", "sound.plan"]
    assert {result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for result in run["results"]} <= {
        *uris
    }
    titled = {rule["id"]: rule["shortDescription"]["text"] for rule in run["tool"]["driver"]["rules"]}
    assert all(result["ruleId"] in titled for result in run["results"])
    assert outcome.status == 1


def test_a_folder_without_plans_named_twice_is_one_artifact(folder: Path, plancheck: Caller) -> None:
    (folder / "bare").mkdir()
    outcome = plancheck("review", "bare", "bare", "--as", "sarif")
    (run,) = json.loads(outcome.out)["runs"]
    assert [artifact["location"]["uri"] for artifact in run["artifacts"]] == ["bare"]
    assert run["invocations"][0]["executionSuccessful"] is False
    assert outcome.status == 2


def test_a_text_that_a_plan_uses_is_reviewed_with_it(folder: Path, plancheck: Caller) -> None:
    house = 'device "our magnet" is a magnetic-lock { rated 24 Vdc, 250 mA; suppression built in }\n'
    (folder / "site").mkdir()
    (folder / "site/house.plan").write_text(house, encoding="utf-8")
    used = SOUND.replace('plan "', 'use "house.plan"\nplan "', 1)
    (folder / "site/used.plan").write_text(used, encoding="utf-8")
    outcome = plancheck("review", "site", "--as", "json")
    assert [plan["file"] for plan in json.loads(outcome.out)["plans"]] == ["site/used.plan"]
    assert outcome.status == 0


def test_a_text_that_no_plan_uses_does_not_pass(folder: Path, plancheck: Caller) -> None:
    (folder / "stray.plan").write_text("push-button SB1 { contacts 3 A at 30 Vdc }\n", encoding="utf-8")
    outcome = plancheck("review", ".")
    assert outcome.status == 2
    assert "This names no plan" in outcome.out


def test_two_runs_say_the_same(folder: Path) -> None:
    first = process(["review", "."], folder, PYTHONHASHSEED="1")
    second = process(["review", "."], folder, PYTHONHASHSEED="2")
    assert (first.status, first.err) == (1, "")
    assert first == second


def test_paths_in_another_order_say_the_same(folder: Path, plancheck: Caller) -> None:
    first = plancheck("review", "sound.plan", "faulty.plan", "sound.plan")
    assert first == plancheck("review", "faulty.plan", "sound.plan")


# --- --to ------------------------------------------------------------------------------------------------------


def test_to_writes_the_report_and_nothing_else(folder: Path, plancheck: Caller) -> None:
    printed = plancheck("review", "faulty.plan")
    outcome = plancheck("review", "faulty.plan", "--to", "list.txt")
    assert (outcome.status, outcome.said) == (1, "")
    assert (folder / "list.txt").read_text(encoding="utf-8") == printed.out
    assert sorted(path.name for path in folder.iterdir()) == ["faulty.plan", "list.txt", "noted.plan", "sound.plan"]


def test_to_never_overwrites_a_plan(folder: Path, plancheck: Caller) -> None:
    outcome = plancheck("review", ".", "--to", "sound.plan")
    assert outcome.status == 2
    assert "it would be overwritten" in outcome.err
    assert (folder / "sound.plan").read_text(encoding="utf-8") == SOUND


def test_to_a_place_that_takes_nothing(folder: Path, plancheck: Caller) -> None:
    outcome = plancheck("review", "sound.plan", "--to", "/dev/full")
    assert outcome.status == 2
    assert outcome.err == "plancheck: “/dev/full” cannot be written: no space left on device.\n"


# --- --packs -----------------------------------------------------------------------------------------------------


def _pack(folder: Path, text: str, name: str = "house/own.rules") -> None:
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")


def test_a_pack_adds_its_rules(folder: Path, plancheck: Caller) -> None:
    _pack(folder, HOUSE_RULE)
    outcome = plancheck("review", "sound.plan", "--packs", "house")
    assert outcome.status == 1
    assert "house/no-buttons" in outcome.out


def test_a_pack_may_hold_kinds_alone(folder: Path, plancheck: Caller) -> None:
    _pack(folder, 'kind hat "A hat" {\n    may have colour <colour: text>\n}\n', "house/kinds/hats.plan")
    (folder / "hat.plan").write_text(SOUND + 'hat H1 { colour "red" }\n', encoding="utf-8")
    assert plancheck("review", "hat.plan").status == 2
    assert plancheck("review", "hat.plan", "--packs", "house").status == 0


def test_a_broken_rule_is_told_and_the_rest_runs(folder: Path, plancheck: Caller) -> None:
    _pack(
        folder, HOUSE_RULE + HOUSE_RULE.replace("no-buttons", "broken").replace("require", "requier").split("\n", 1)[1]
    )
    outcome = plancheck("review", "sound.plan", "--packs", "house")
    assert outcome.status == 2
    assert "house/own.rules\n" in outcome.out
    assert "“requier”" in outcome.out
    assert "house/no-buttons" in outcome.out


def test_a_pack_may_not_take_a_shipped_rule_s_name(folder: Path, plancheck: Caller) -> None:
    text = HOUSE_RULE.replace("pack house", "pack egress").replace("no-buttons", "fire-alarm-release")
    _pack(folder, text)
    outcome = plancheck("review", "sound.plan", "--packs", "house")
    assert outcome.status == 2
    assert "already" in outcome.out


def test_a_folder_that_is_no_pack(folder: Path, plancheck: Caller) -> None:
    (folder / "empty").mkdir()
    outcome = plancheck("review", "sound.plan", "--packs", "empty")
    assert outcome.status == 2
    assert outcome.err.startswith("plancheck: “empty” holds no rules (.rules) and no device kinds (.plan).")


def test_a_pack_that_a_plan_adopts_must_be_at_hand(folder: Path, plancheck: Caller) -> None:
    _pack(folder, HOUSE_RULE)
    (folder / "adopts.plan").write_text('adopt "house"\n' + SOUND, encoding="utf-8")
    outcome = plancheck("review", "adopts.plan")
    assert outcome.status == 2
    assert "The plan adopts the pack “house”, which is not at hand" in outcome.out
    assert plancheck("review", "adopts.plan", "--packs", "house").status == 1


# --- variances ---------------------------------------------------------------------------------------------------

VARIANCE = """
variance electrical/polarity on XS1 {
    reason  "sensor works either way round, by its maker's letter"
    until   2027-06-30
}
"""


@pytest.mark.parametrize(("day", "status"), [("2027-06-30", 0), ("2027-07-01", 1)])
def test_a_variance_holds_until_its_day(day: str, status: int, folder: Path, plancheck: Caller) -> None:
    (folder / "excused.plan").write_text(FAULTY + VARIANCE, encoding="utf-8")
    outcome = plancheck("review", "excused.plan", "--as-of", day)
    assert outcome.status == status
    assert "electrical/polarity" in outcome.out
    assert ("UNDER VARIANCE" in outcome.out) == (status == 0)


def test_a_variance_says_what_it_has_and_without_a_reason_is_none(folder: Path, plancheck: Caller) -> None:
    (folder / "bare.plan").write_text(FAULTY + 'variance electrical/polarity on XS1 { reason "by letter" }\n', "utf-8")
    outcome = plancheck("review", "bare.plan")
    assert outcome.status == 0
    assert "    Variance     by letter\n" in outcome.out
    (folder / "mute.plan").write_text(FAULTY + "variance electrical/polarity on XS1 { }\n", encoding="utf-8")
    outcome = plancheck("review", "mute.plan")
    assert outcome.status == 1
    assert "UNDER VARIANCE" not in outcome.out
    assert "The variance from electrical/polarity gives no reason, and excuses nothing" in outcome.out


def test_a_variance_from_a_rule_that_is_none_is_answered_with_the_nearest(folder: Path, plancheck: Caller) -> None:
    text = FAULTY + 'variance electrical/polraity on XS1 { reason "by letter" }\n'
    (folder / "near.plan").write_text(text, encoding="utf-8")
    outcome = plancheck("review", "near.plan")
    assert outcome.status == 1
    assert "There is no rule electrical/polraity for a variance" in outcome.out
    assert "Write electrical/polarity if that is meant" in outcome.out
