"""`plancheck existing` and `review --existing`: old plans taken on, and what a review then says of them."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from tests.cli.calling import Caller
from tests.cli.plans import FAULTY, HOUSE_RULE, SOUND

SECOND = """\
exit-sensor XS2 { rated 24 Vdc, 35 mA; contacts 1 A at 30 Vdc }
wire PS1:+ to XS2:power-
wire PS1:- to XS2:power+
"""
HELD = """\
magnetic-lock ML1 { rated 24 Vdc, 250 mA; drop-out 6 V; suppression built in }
door D1 "Tool room" { on exit path; egress sensor release; claimed under "IBC 2021, 1010.2.12"; locks ML1 }
wire PS1:+ to ML1:+
wire ML1:- to PS1:-
"""
GAP = "{ contacts 3 A at 30 Vdc }"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with an old plan that has a fault."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "old.plan").write_text(FAULTY, encoding="utf-8")
    return tmp_path


@pytest.fixture
def record(folder: Path, plancheck: Caller) -> Path:
    """What was found in it, on record."""
    assert plancheck("existing", "old.plan", "--to", "old.existing", "--as-of", "2026-11-02").status == 0
    return folder / "old.existing"


def test_taking_on_a_plan(folder: Path, plancheck: Caller) -> None:
    outcome = plancheck("existing", "old.plan", "--to", "old.existing", "--as-of", "2026-11-02", "--width", "80")
    assert (outcome.status, outcome.err) == (0, "")
    assert "Recorded     1 finding (1 error)" in outcome.out
    lines = (folder / "old.existing").read_text(encoding="utf-8").splitlines()
    assert lines[0] == "existing findings of plancheck, form 1"
    at = lines.index("recorded 2026-11-02")
    assert lines[at + 2] == 'plan "old.plan" titled "Kestrel Wharf boat school, tool room"'
    assert lines[at + 3].startswith("error ")
    assert lines[at + 3].endswith(' electrical/polarity on "XS1" "XS1 is fed the wrong way round"')
    assert lines[at + 4].startswith('  found "-24 V')
    assert sorted(p.name for p in folder.iterdir()) == ["old.existing", "old.plan"]


def test_a_review_then_leaves_it_out(record: Path, plancheck: Caller) -> None:
    outcome = plancheck("review", "old.plan", "--existing", record)
    assert (outcome.status, outcome.err) == (0, "")
    assert "XS1 is fed the wrong way round" not in outcome.out
    assert "Summary      No findings but those on record, from the rules that were run." in outcome.out
    assert "Existing     1 finding on record since 2026-11-02 is left out (1 error)." in outcome.out
    assert plancheck("review", "old.plan").status == 1


def test_what_is_new_is_shown_and_counts(record: Path, plancheck: Caller) -> None:
    Path("old.plan").write_text(FAULTY + SECOND, encoding="utf-8")
    outcome = plancheck("review", "old.plan", "--existing", record)
    assert outcome.status == 1
    assert " 1  ERROR   XS2 is fed the wrong way round" in outcome.out
    assert "XS1 is fed" not in outcome.out


def test_life_safety_is_always_shown_and_counts(folder: Path, plancheck: Caller) -> None:
    Path("old.plan").write_text(FAULTY + HELD, encoding="utf-8")
    told = plancheck("existing", "old.plan", "--to", "old.existing")
    assert "life safety: always shown, and always counted" in told.out
    assert "egress/" not in Path("old.existing").read_text(encoding="utf-8")
    outcome = plancheck("review", "old.plan", "--existing", "old.existing", "--fail-at", "error")
    assert outcome.status == 1
    assert "LIFE SAFETY" in outcome.out
    assert "XS1 is fed" not in outcome.out


def test_what_cannot_be_judged_keeps_the_status_at_2(folder: Path, plancheck: Caller) -> None:
    Path("old.plan").write_text(FAULTY.replace(GAP, ""), encoding="utf-8")
    told = plancheck("existing", "old.plan", "--to", "old.existing")
    assert told.status == 2
    assert "Not assessed 1 point: a review keeps saying so, and its exit status stays 2" in told.out
    outcome = plancheck("review", "old.plan", "--existing", "old.existing", "--fail-at", "error")
    assert outcome.status == 2
    assert "electrical/contact-rating for SB1" in outcome.out
    assert "XS1 is fed" not in outcome.out


def test_of_a_plan_that_cannot_be_read_nothing_is_recorded(folder: Path, plancheck: Caller) -> None:
    (folder / "odd.plan").write_text(SOUND + "wire nonsense\n", encoding="utf-8")
    outcome = plancheck("existing", ".", "--to", "all.existing")
    assert outcome.status == 2
    assert "nothing was recorded: not everything could be read" in outcome.err
    assert "line 12" in outcome.err
    assert not (folder / "all.existing").exists()


def test_a_plan_that_is_not_on_record_is_new(record: Path, plancheck: Caller) -> None:
    Path("other.plan").write_text(FAULTY, encoding="utf-8")
    outcome = plancheck("review", "other.plan", "--existing", record)
    assert outcome.status == 1
    assert "Nothing is on record of this plan: every finding is shown." in outcome.out


def test_record_and_plans_may_be_moved_together(record: Path, plancheck: Caller, tmp_path: Path) -> None:
    (tmp_path / "jobs").mkdir()
    for name in ("old.plan", "old.existing"):
        os.rename(tmp_path / name, tmp_path / "jobs" / name)
    assert plancheck("review", "jobs", "--existing", "jobs/old.existing").status == 0
    os.rename(tmp_path / "jobs/old.existing", tmp_path / "old.existing")
    assert plancheck("review", "jobs", "--existing", "old.existing").status == 1


def test_a_house_rule_s_findings_are_recorded_with_its_pack(folder: Path, plancheck: Caller) -> None:
    (folder / "house").mkdir()
    (folder / "house/own.rules").write_text(HOUSE_RULE, encoding="utf-8")
    assert plancheck("existing", "old.plan", "--to", "r.existing", "--packs", "house").status == 0
    assert "house/no-buttons" in Path("r.existing").read_text(encoding="utf-8")
    assert plancheck("review", "old.plan", "--packs", "house", "--existing", "r.existing").status == 0
    # The same words in another pack are another rule.
    (folder / "house/own.rules").write_text(HOUSE_RULE.replace("pack house", "pack shop"), encoding="utf-8")
    outcome = plancheck("review", "old.plan", "--packs", "house", "--existing", "r.existing")
    assert outcome.status == 1
    assert "Rule         shop/no-buttons" in outcome.out
    assert "1 finding on record could not be judged again: house/no-buttons on SB1." in outcome.out


def test_a_severity_raised_shows_a_finding_again(folder: Path, plancheck: Caller) -> None:
    (folder / "house").mkdir()
    mild = HOUSE_RULE.replace("severity  error", "severity  note")
    (folder / "house/own.rules").write_text(mild, encoding="utf-8")
    plancheck("existing", "old.plan", "--to", "r.existing", "--packs", "house")
    (folder / "house/own.rules").write_text(HOUSE_RULE, encoding="utf-8")
    outcome = plancheck("review", "old.plan", "--packs", "house", "--existing", "r.existing")
    assert outcome.status == 1
    assert " 1  ERROR · WORSE THAN RECORDED   SB1 is a push-button" in outcome.out
    assert "On record    note when it was recorded, now error" in outcome.out
    assert "1 finding on record became worse and is shown." in outcome.out


# --- as JSON ---------------------------------------------------------------------------------------------------


def test_json_says_which_are_existing(record: Path, plancheck: Caller) -> None:
    Path("old.plan").write_text(FAULTY + SECOND, encoding="utf-8")
    outcome = plancheck("review", "old.plan", "--existing", record, "--as", "json")
    assert outcome.status == 1
    (plan,) = json.loads(outcome.out)["plans"]
    assert [(f["subject"], f["existing"], f["worse_than_recorded"]) for f in plan["findings"]] == [
        ("XS2", False, None),
        ("XS1", True, None),
    ]
    assert plan["existing"] == {
        "recorded": "2026-11-02", "on_record": True, "left_out": 1, "gone": [], "unsure": [],
    }  # fmt: skip


def test_json_without_a_record_says_so(folder: Path, plancheck: Caller) -> None:
    (plan,) = json.loads(plancheck("review", "old.plan", "--as", "json").out)["plans"]
    assert plan["existing"] is None
    assert [f["existing"] for f in plan["findings"]] == [False]


# --- shorter, and anew -----------------------------------------------------------------------------------------


def test_what_has_gone_is_told_and_taken_out(record: Path, plancheck: Caller) -> None:
    Path("old.plan").write_text(SOUND, encoding="utf-8")
    outcome = plancheck("review", "old.plan", "--existing", record)
    assert outcome.status == 0
    assert "1 finding on record has gone since: electrical/polarity on XS1." in outcome.out
    told = plancheck("existing", "old.plan", "--to", record, "--shorten")
    assert (told.status, told.err) == (0, "")
    assert "Taken out    1 finding: electrical/polarity on XS1" in told.out
    text = record.read_text(encoding="utf-8")
    assert "XS1" not in text
    assert "recorded 2026-11-02" in text  # still the day on which it was made
    # Drawn again, the fault is new.
    Path("old.plan").write_text(FAULTY, encoding="utf-8")
    assert plancheck("review", "old.plan", "--existing", record).status == 1


def test_shortening_adds_nothing_and_leaves_other_plans(folder: Path, plancheck: Caller) -> None:
    Path("other.plan").write_text(FAULTY, encoding="utf-8")
    plancheck("existing", ".", "--to", "all.existing")
    before = Path("all.existing").read_text(encoding="utf-8")
    Path("old.plan").write_text(FAULTY + SECOND, encoding="utf-8")
    assert plancheck("existing", "old.plan", "--to", "all.existing", "--shorten").status == 0
    assert Path("all.existing").read_text(encoding="utf-8") == before


def test_recording_twice_says_the_same(record: Path, plancheck: Caller) -> None:
    before = record.read_text(encoding="utf-8")
    Path("old.plan").write_text("# moved down\n" + FAULTY, encoding="utf-8")
    assert plancheck("existing", "old.plan", "--to", record, "--replace", "--as-of", "2026-11-02").status == 0
    assert record.read_text(encoding="utf-8") == before


def test_a_record_is_not_written_over_unasked(record: Path, plancheck: Caller) -> None:
    before = record.read_text(encoding="utf-8")
    outcome = plancheck("existing", "old.plan", "--to", record)
    assert outcome.status == 2
    assert "is a record already" in outcome.err
    assert record.read_text(encoding="utf-8") == before


@pytest.mark.parametrize("option", ["--replace", "--shorten"])
def test_nothing_but_a_record_is_written_over(option: str, folder: Path, plancheck: Caller) -> None:
    Path("notes.txt").write_text("call the locksmith\n", encoding="utf-8")
    outcome = plancheck("existing", "old.plan", "--to", "notes.txt", option)
    assert outcome.status == 2
    assert "no record of existing findings" in outcome.err
    assert Path("notes.txt").read_text(encoding="utf-8") == "call the locksmith\n"


def test_a_plan_is_not_written_over(folder: Path, plancheck: Caller) -> None:
    assert "it would be overwritten" in plancheck("existing", "old.plan", "--to", "old.plan").err
    assert Path("old.plan").read_text(encoding="utf-8") == FAULTY


def test_the_list_is_not_written_over_the_record(record: Path, plancheck: Caller) -> None:
    outcome = plancheck("review", "old.plan", "--existing", record, "--to", record)
    assert outcome.status == 2
    assert "it would be overwritten" in outcome.err


# --- records that are none -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b"\x00\x01", "is not a text"),
        (b"{}\n", "This is no record of existing findings"),
        (b"existing findings of plancheck, form 7\n", "a form that this plancheck does not read"),
    ],
)
def test_a_wrong_record_leaves_out_nothing(content: bytes, said: str, folder: Path, plancheck: Caller) -> None:
    Path("bad.existing").write_bytes(content)
    outcome = plancheck("review", "old.plan", "--existing", "bad.existing")
    assert outcome.status == 2
    assert said in outcome.out
    assert "XS1 is fed the wrong way round" in outcome.out


def test_a_damaged_line_is_shown_with_its_place(record: Path, plancheck: Caller) -> None:
    text = record.read_text(encoding="utf-8").replace("electrical/polarity", "electrical polarity")
    record.write_text(text, encoding="utf-8")
    outcome = plancheck("review", "old.plan", "--existing", record)
    assert outcome.status == 2
    assert "line 7" in outcome.out
    assert "▔▔▔▔▔▔▔▔▔▔\n" in outcome.out  # below “electrical”
    assert "XS1 is fed the wrong way round" in outcome.out
    refused = plancheck("existing", "old.plan", "--to", record, "--shorten")
    assert refused.status == 2
    assert "line 7, column 24: This line of the record cannot be read: found “electrical”" in refused.err
    assert record.read_text(encoding="utf-8") == text


def test_a_record_that_is_missing(folder: Path, plancheck: Caller) -> None:
    outcome = plancheck("review", "old.plan", "--existing", "gone.existing")
    assert outcome.status == 2
    assert "“gone.existing” cannot be read: no such file or directory" in outcome.out
    assert "XS1 is fed the wrong way round" in outcome.out
    assert "cannot be read" in plancheck("existing", "old.plan", "--to", "gone.existing", "--shorten").err


@pytest.mark.parametrize("command", ["review", "existing"])
def test_a_record_of_another_job_is_told(command: str, record: Path, plancheck: Caller) -> None:
    Path("old.plan").write_text(FAULTY.replace("tool room", "sail loft"), encoding="utf-8")
    before = record.read_text(encoding="utf-8")
    if command == "review":
        outcome = plancheck("review", "old.plan", "--existing", record)
        assert "XS1 is fed the wrong way round" in outcome.out
    else:
        outcome = plancheck("existing", "old.plan", "--to", record, "--shorten")
    assert outcome.status == 2
    assert "The record is of another plan" in outcome.said
    assert record.read_text(encoding="utf-8") == before


def test_a_place_that_cannot_be_written(folder: Path, plancheck: Caller) -> None:
    assert "does not exist" in plancheck("existing", "old.plan", "--to", "nowhere/r.existing").err
    assert "is a folder" in plancheck("existing", "old.plan", "--to", ".").err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["existing"], "Say of which plans"),
        (["existing", "old.plan"], "Say where the record goes"),
        (["existing", "old.plan", "--to", "r", "--replace", "--shorten"], "give one of them"),
        (["existing", "old.plan", "--to", "r", "--as", "json"], "is not an option of `plancheck existing`"),
        (["review", "old.plan", "--existing"], "--existing needs a value behind it."),
    ],
)
def test_what_is_not_understood(arguments: list[str], said: str, folder: Path, plancheck: Caller) -> None:
    outcome = plancheck(*arguments)
    assert outcome.status == 2
    assert said in outcome.err


def test_help_tells_the_whole(plancheck: Caller) -> None:
    outcome = plancheck("existing", "--help")
    assert outcome.status == 0
    assert all(option in outcome.out for option in ("--to", "--replace", "--shorten", "--packs", "--as-of", "--width"))
