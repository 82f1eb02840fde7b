"""`sequence` and `failures` as commands: exit statuses, doors, forms, files, bad input."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.calling import CHECKOUT, Caller, process
from tests.cli.plans import SOUND
from tests.review.operating import ONE_BUTTON, too_many

SAMPLES = CHECKOUT / "samples"
COMMANDS = ("sequence", "failures")


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "small.plan"
    path.write_text(ONE_BUTTON, encoding="utf-8")
    return path


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("name", ["rear-exit", "records-room", "yard-gate", "slipway", "upper-floor"])
def test_samples_are_wholly_worked_out(command: str, name: str, plancheck: Caller) -> None:
    outcome = plancheck(command, SAMPLES / f"{name}.plan")
    assert (outcome.status, outcome.err) == (0, "")


@pytest.mark.parametrize("command", COMMANDS)
def test_one_door_of_many(command: str, plancheck: Caller) -> None:
    outcome = plancheck(command, SAMPLES / "upper-floor.plan", "--door", "D212", "--as", "json")
    whole = json.loads(outcome.out)
    assert outcome.status == 0
    names = [door["name"] for door in whole["doors"]] if command == "sequence" else whole["concerns"]
    assert names == ["D212"]


@pytest.mark.parametrize("command", COMMANDS)
def test_doors_stand_in_the_order_of_the_plan(command: str, plancheck: Caller) -> None:
    asked = ("--door", "D212", "--door", "D201")
    outcome = plancheck(command, SAMPLES / "upper-floor.plan", *asked, "--as", "json")
    whole = json.loads(outcome.out)
    names = [door["name"] for door in whole["doors"]] if command == "sequence" else whole["concerns"]
    assert names == ["D201", "D212"]


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("D11", "the plan has no door or gate “D11”. Did you mean “D1”?"),
        ("kitchen", "the plan has no door or gate “kitchen”. It has D1."),
        ("ML1", "the plan has no door or gate “ML1”."),
    ],
)
def test_an_unknown_door(command: str, asked: str, words: str, plan: Path, plancheck: Caller) -> None:
    outcome = plancheck(command, plan, "--door", asked)
    assert (outcome.status, outcome.out) == (2, "")
    assert words in outcome.err


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ('plan "x"\n', "This plan draws nothing"),
        ("push-button SB1 { }\n", "This names no plan"),
        (ONE_BUTTON + "wire nonsense\n", "small.plan:11:"),
        (ONE_BUTTON.replace("wire PS1:+", "wire PS9:+"), "PS9"),
        (too_many(), "signals"),
    ],
)
def test_what_was_not_read_or_assessed_ends_with_2(
    command: str, text: str, words: str, plan: Path, plancheck: Caller
) -> None:
    plan.write_text(text, encoding="utf-8")
    for form in ("text", "json", "csv"):
        outcome = plancheck(command, plan, "--as", form, "--width", "400")
        assert outcome.status == 2
        # Paths of temporary folders are long: lines may break anywhere.
        assert words.replace(" ", "") in "".join(outcome.said.split())


@pytest.mark.parametrize("command", COMMANDS)
def test_a_plan_without_doors_says_so(command: str, plan: Path, plancheck: Caller) -> None:
    lockless = "\n".join(line for line in ONE_BUTTON.splitlines() if "ML1" not in line) + "\n"
    plan.write_text(lockless, encoding="utf-8")
    outcome = plancheck(command, plan)
    assert outcome.status == 0
    assert "no door, gate or lock" in outcome.out


@pytest.mark.parametrize("command", COMMANDS)
def test_locks_without_a_door(command: str, plan: Path, plancheck: Caller) -> None:
    plan.write_text(SOUND.partition("door ")[0], encoding="utf-8")
    outcome = plancheck(command, plan)
    assert outcome.status == 0
    assert "ocks that no door names" in outcome.out


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize(
    ("rest", "words"),
    [
        ("", "Say of which plan"),
        ("a.plan b.plan", "“b.plan” is one plan too many"),
        ("a.plan --as xml", "--as: “xml” is none of text, json, csv."),
        ("a.plan --door", "--door needs a value behind it."),
        ("a.plan --fail-at note", "“--fail-at” is not an option of"),
        (".", "is a folder; name one plan"),
        ("nowhere.plan", "“nowhere.plan” cannot be read"),
    ],
)
def test_refusals(command: str, rest: str, words: str, plancheck: Caller) -> None:
    outcome = plancheck(command, *rest.split())
    assert (outcome.status, outcome.out) == (2, "")
    assert words in outcome.err


@pytest.mark.parametrize("command", COMMANDS)
def test_into_a_file(command: str, plan: Path, tmp_path: Path, plancheck: Caller) -> None:
    target = tmp_path / "out.txt"
    outcome = plancheck(command, plan, "--to", target)
    assert (outcome.status, outcome.said) == (0, "")
    assert target.read_text(encoding="utf-8") == plancheck(command, plan).out
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out.txt", "small.plan"]
    refused = plancheck(command, plan, "--to", plan)
    assert refused.status == 2
    assert plan.read_text(encoding="utf-8") == ONE_BUTTON


@pytest.mark.parametrize("command", COMMANDS)
def test_help(command: str, plancheck: Caller) -> None:
    outcome = plancheck(command, "--help")
    assert outcome.status == 0
    assert max(map(len, outcome.out.splitlines())) <= 80
    assert [o for o in ("--door", "--as", "--to", "--packs", "--width") if o not in outcome.out] == []
    assert f"plancheck {command} PATH" in plancheck("--help").out


def test_a_fault_of_ours_is_told_and_does_not_pass(
    plan: Path, plancheck: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*anything: object) -> None:
        raise RuntimeError("not this")

    monkeypatch.setattr("plancheck.cli.document_commands.sequence", broken)
    outcome = plancheck("sequence", plan)
    assert (outcome.status, outcome.out) == (2, "")
    assert "plancheck itself failed" in outcome.err


@pytest.mark.parametrize("command", COMMANDS)
def test_the_same_words_whatever_the_hash_seed(command: str) -> None:
    path = SAMPLES / "rear-exit-faulty.plan"
    one, other = (process([command, path], PYTHONHASHSEED=seed).out for seed in ("1", "2"))
    assert one == other
