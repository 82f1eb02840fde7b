"""`plancheck rules`: the list, one rule, the trial of examples, the words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from plancheck.library.load import load_library
from tests.cli.calling import Caller
from tests.cli.plans import HOUSE_RULE


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a pack of one rule, to work in."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "house").mkdir()
    (tmp_path / "house/own.rules").write_text(HOUSE_RULE, encoding="utf-8")
    return tmp_path


def test_the_list_names_every_rule_once_sorted(plancheck: Caller) -> None:
    outcome = plancheck("rules", "--width", "400")
    assert (outcome.status, outcome.err) == (0, "")
    *lines, count = outcome.out.splitlines()
    ids = [line.split()[0] for line in lines]
    assert ids == sorted(rule.id for rule in load_library([]).rulebook.rules)
    assert count == f"{len(ids)} rules"
    (release,) = [line for line in lines if line.startswith("egress/fire-alarm-release ")]
    assert re.search(r"error · life safety +A lock that may hold people in lets go on fire alarm$", release)


@pytest.mark.parametrize("columns", [40, 60, 100])
def test_the_list_fits_its_page(columns: int, plancheck: Caller) -> None:
    outcome = plancheck("rules", "--width", str(columns))
    assert max(map(len, outcome.out.splitlines())) <= columns


def test_the_list_holds_a_pack_s_rules(house: Path, plancheck: Caller) -> None:
    assert "house/no-buttons" in plancheck("rules", "--packs", "house").out


def test_a_rule_is_shown_with_basis_and_examples(house: Path, plancheck: Caller) -> None:
    outcome = plancheck("rules", "show", "house/no-buttons", "--packs", "house")
    assert outcome.status == 0
    for words in (
        "house/no-buttons\n", "No push-buttons", "error", "house rule (common practice)", "None.",
        "house/own.rules, line 2", 'remedy    "Take it out."', "Passes       none", "Fails        one",
        "    push-button SB1 { contacts 3 A at 30 Vdc }",
    ):  # fmt: skip
        assert words in outcome.out


def test_every_shipped_rule_can_be_shown(plancheck: Caller) -> None:
    for rule in load_library([]).rulebook.rules:
        outcome = plancheck("rules", "show", rule.id)
        assert outcome.status == 0
        assert outcome.out.count("Passes ") >= 1
        assert outcome.out.count("Fails ") >= 1
        assert ("check local code" in outcome.out) == rule.life_safety


def test_a_rule_that_is_none(plancheck: Caller) -> None:
    outcome = plancheck("rules", "show", "egress/fire-alarm-relaese")
    assert outcome.status == 2
    assert "There is no rule “egress/fire-alarm-relaese”. Did you mean “egress/fire-alarm-release”?" in outcome.err


# --- trial -------------------------------------------------------------------------------------------------------


def test_every_shipped_rule_does_as_its_examples_say(plancheck: Caller) -> None:
    outcome = plancheck("rules", "trial")
    assert outcome.status == 0, outcome.out
    rules = load_library([]).rulebook.rules
    examples = sum(len(rule.examples) for rule in rules)
    assert outcome.out.endswith(f"{examples} examples of {len(rules)} rules: {examples} as they say\n")


def test_a_pack_alone_is_tried(house: Path, plancheck: Caller) -> None:
    outcome = plancheck("rules", "trial", "house")
    assert outcome.status == 0
    assert outcome.out.split("\n")[0] == "house/no-buttons  2 of 2"
    assert "egress" not in outcome.out


def test_misses_and_false_alarms_are_told_apart(house: Path, plancheck: Caller) -> None:
    text = HOUSE_RULE.replace('passes "none"', 'fails "nothing there"', 1).replace('fails "one"', 'passes "one"')
    text += HOUSE_RULE.split("\n", 1)[1].replace("no-buttons", "unreadable").replace("output 24 Vdc", "output 24 Vcd")
    (house / "house/own.rules").write_text(text, encoding="utf-8")
    outcome = plancheck("rules", "trial", "house")
    assert outcome.status == 1
    assert (
        "Missed       house/no-buttons\n             must fail: “nothing there”, house/own.rules, line 13"
        in outcome.out
    )
    assert "False alarm  house/no-buttons\n             must pass: “one”, house/own.rules, line 16" in outcome.out
    assert "Found        line 17, SB1: SB1 is a push-button" in outcome.out
    assert "Unreadable   house/unreadable" in outcome.out
    assert "Mistake      line 32, column " in outcome.out
    assert "4 examples of 2 rules: 1 as they say, 1 missed, 1 false alarm, 1 unreadable" in outcome.out


def test_an_example_that_uses_a_file_gets_none(house: Path, plancheck: Caller) -> None:
    text = HOUSE_RULE.replace("supply PS1", 'use "own.rules"\n        supply PS1')
    (house / "house/own.rules").write_text(text, encoding="utf-8")
    outcome = plancheck("rules", "trial", "house")
    assert outcome.status in (1, 2)
    assert "Unreadable" in outcome.out or "own.rules" in outcome.err


# --- words -------------------------------------------------------------------------------------------------------


def test_the_words_are_told_by_class_with_type_and_a_line(plancheck: Caller) -> None:
    outcome = plancheck("rules", "words", "--width", "200")
    assert outcome.status == 0
    book = load_library([]).rulebook
    for word in book.vocabulary.words.values():
        assert f"\n{word.name}  {word.type}"[:150] in outcome.out
        assert word.says[:80] in outcome.out
    for name in book.situations:
        assert f"\n{name}\n" in outcome.out


def test_one_word_is_told_wherever_it_belongs(plancheck: Caller) -> None:
    outcome = plancheck("rules", "words", "loop-drop")
    assert outcome.status == 0
    assert "load: " in outcome.out
    assert "loop-drop  a ratio, in each condition\n" in outcome.out


@pytest.mark.parametrize(
    ("word", "says"),
    [
        ("fire alarm", "alarm on"),
        ("sensor-release", "Sensor release: IBC 2015, 1010.1.9.8; IBC 2018, 1010.1.9.9; IBC 2021, 1010.2.12;"),
    ],
)
def test_situations_and_tables_of_clauses_are_words_too(word: str, says: str, plancheck: Caller) -> None:
    outcome = plancheck("rules", "words", word, "--width", "200")
    assert outcome.status == 0
    assert f"\n{word}\n    {says}" in outcome.out


def test_a_word_that_is_none(plancheck: Caller) -> None:
    outcome = plancheck("rules", "words", "loop-dorp")
    assert outcome.status == 2
    assert "No rule may use the word “loop-dorp”. Did you mean “loop-drop”?" in outcome.err


def test_the_answer_goes_into_a_file(house: Path, plancheck: Caller) -> None:
    printed = plancheck("rules", "--packs", "house").out
    assert plancheck("rules", "--packs", "house", "--to", "rules.txt").said == ""
    assert (house / "rules.txt").read_text(encoding="utf-8") == printed
    assert plancheck("rules", "--to", "/dev/full").status == 2
