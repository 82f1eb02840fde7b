"""`plancheck rules why`, `trial --why`, `new` and `manual`: what the author of a rule asks."""

from __future__ import annotations

from pathlib import Path

import pytest

from plancheck.library.load import load_library
from tests.cli.calling import Caller
from tests.cli.plans import FAULTY, HOUSE_RULE, SOUND


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with an empty pack, to work in."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "house").mkdir()
    return tmp_path


# --- new ---------------------------------------------------------------------------------------------------------


def test_a_new_rule_does_as_its_plans_say_at_once(house: Path, plancheck: Caller) -> None:
    outcome = plancheck("rules", "new", "house/reel", "--to", "house/reel.rules")
    assert (outcome.status, outcome.err) == (0, "")
    assert "plancheck rules trial house" in outcome.out
    tried = plancheck("rules", "trial", "house")
    assert (tried.status, tried.err) == (0, "")
    assert tried.out.startswith("house/reel  3 of 3\n")


def test_without_a_file_it_is_printed(plancheck: Caller) -> None:
    outcome = plancheck("rules", "new", "house/reel")
    assert outcome.status == 0
    assert '\npack house "Rules of our own"\n\nrule reel {\n' in outcome.out
    for member in ("title", "severity", "basis", "known limits", "limit", "for each", "where", "require", "found",
                   "required", "evidence", "remedy", "passes", "fails"):  # fmt: skip
        assert f"\n    {member} " in outcome.out


def test_a_second_rule_of_a_pack_goes_into_a_file_of_its_own(house: Path, plancheck: Caller) -> None:
    (house / "house/own.rules").write_text(HOUSE_RULE, encoding="utf-8")
    assert plancheck("rules", "new", "house/reel", "--to", "house/reel.rules").status == 0
    assert "\npack house\n" in (house / "house/reel.rules").read_text(encoding="utf-8")
    assert plancheck("rules", "trial", "house").out.endswith("5 examples of 2 rules: 5 as they say\n")
    assert "house: House rules" in plancheck("rules", "show", "house/reel", "--packs", "house").out


def test_nothing_is_written_over(house: Path, plancheck: Caller) -> None:
    (house / "house/own.rules").write_text(HOUSE_RULE, encoding="utf-8")
    outcome = plancheck("rules", "new", "house/reel", "--to", "house/own.rules")
    assert outcome.status == 2
    assert "“house/own.rules” is there already and was left as it is." in outcome.err
    assert (house / "house/own.rules").read_text(encoding="utf-8") == HOUSE_RULE
    outcome = plancheck("rules", "new", "house/no-buttons", "--to", "house/more.rules")
    assert "There is a rule “house/no-buttons” already: house/own.rules, line 2." in outcome.err
    assert not (house / "house/more.rules").exists()


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["reel"], "“reel” is no id of a rule: PACK/NAME, each of letters, digits and hyphens and beginning with a "
                   "letter, such as house/reel."),
        (["house/"], "“house/” is no id of a rule"),
        (["house/a b"], "“house/a b” is no id of a rule"),
        (["a/b/c"], "“a/b/c” is no id of a rule"),
        (["house/1st"], "“house/1st” is no id of a rule"),
        (["../x"], "“../x” is no id of a rule"),
        (["egress/reel"], "“egress” is a pack that is shipped."),
        (["house/reel", "--to", "house/reel.txt"], "does not end in .rules"),
        (["house/reel", "--to", "nowhere/reel.rules"], "the folder of “nowhere/reel.rules” does not exist"),
        ([], "Say what the rule is called: `plancheck rules new PACK/NAME`."),
        (["house/reel", "more"], "“more” is one word too many"),
    ],
)  # fmt: skip
def test_what_is_no_new_rule(arguments: list[str], told: str, house: Path, plancheck: Caller) -> None:
    outcome = plancheck("rules", "new", *arguments)
    assert (outcome.status, outcome.out) == (2, "")
    assert told in outcome.err
    assert list((house / "house").iterdir()) == []


# --- why ---------------------------------------------------------------------------------------------------------


def test_why_a_rule_speaks_of_a_plan(house: Path, plancheck: Caller) -> None:
    (house / "tool-room.plan").write_text(FAULTY, encoding="utf-8")
    outcome = plancheck("rules", "why", "electrical/polarity", "tool-room.plan")
    assert outcome.status == 0
    assert outcome.out.startswith("electrical/polarity on tool-room.plan\n")
    assert "It speaks of XS1, line 12" in outcome.out
    assert "a finding" in outcome.out


def test_why_one_thing_alone(house: Path, plancheck: Caller) -> None:
    (house / "tool-room.plan").write_text(FAULTY, encoding="utf-8")
    outcome = plancheck("rules", "why", "electrical/polarity", "tool-room.plan", "--on", "XS1")
    assert "X = XS1" in outcome.out
    assert "X = ES1" not in outcome.out


def test_why_of_every_shipped_rule_on_a_plan(house: Path, plancheck: Caller) -> None:
    (house / "tool-room.plan").write_text(SOUND, encoding="utf-8")
    for rule in load_library([]).rulebook.rules:
        outcome = plancheck("rules", "why", rule.id, "tool-room.plan")
        assert outcome.status == 0
        assert "It says nothing.\n" in outcome.out


def test_a_plan_that_cannot_be_read(house: Path, plancheck: Caller) -> None:
    outcome = plancheck("rules", "why", "electrical/polarity", "none.plan")
    assert outcome.status == 2
    assert "“none.plan” cannot be read" in outcome.err
    (house / "half.plan").write_text(SOUND + "wire PS1:+ to\n", encoding="utf-8")
    outcome = plancheck("rules", "why", "electrical/polarity", "half.plan")
    assert outcome.status == 2
    assert "Not read, line 12" in outcome.out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["why"], "Say which rule to show: `plancheck rules why ID PLAN`."),
        (["why", "electrical/polarity"], "Say of which plan"),
        (["why", "electrical/polarty", "x.plan"], "Did you mean “electrical/polarity”?"),
        (["trial", "--on", "D1"], "--on belongs to `plancheck rules why`."),
        (["show", "electrical/polarity", "--why"], "--why belongs to `plancheck rules trial`."),
        (["trial", "--rule", "electrical/polarty"], "Did you mean “electrical/polarity”?"),
    ],
)
def test_what_cannot_be_asked(arguments: list[str], told: str, plancheck: Caller) -> None:
    outcome = plancheck("rules", *arguments)
    assert (outcome.status, outcome.out) == (2, "")
    assert told in outcome.err


def test_a_trial_tells_why_of_what_went_wrong(house: Path, plancheck: Caller) -> None:
    wrong = HOUSE_RULE.replace('passes "none"', 'fails "nothing there"').replace('fails "one"', 'passes "one"')
    (house / "house/own.rules").write_text(wrong, encoding="utf-8")
    outcome = plancheck("rules", "trial", "house", "--why")
    assert outcome.status == 1
    miss = outcome.out.index("house/no-buttons on “nothing there”, which must fail")
    alarm = outcome.out.index("house/no-buttons on “one”, which must pass")
    assert miss < alarm
    assert "where B.kind is push-button → no: left out\n      B.kind → supply\n" in outcome.out[miss:alarm]
    assert "It speaks of SB1, line 17: SB1 is a push-button" in outcome.out[alarm:]


def test_values_after_a_failure_are_those_under_the_failure_shown(plancheck: Caller) -> None:
    out = plancheck("rules", "trial", "--why", "--rule", "egress/open-wire-releases", "--width", "200").out
    spoken = out[out.index("“the alarm has to power a relay that then cuts the lock”") :]
    asked = "require in every condition with fire alarm after any single failure of conductor open"
    assert (
        f"      {asked} → no, for instance after wire PS1:+ to FA1:COM open, fire alarm on: a finding\n"
        "        L released → no\n"
    ) in spoken
    silent = out[out.index("“the alarm and the button open contacts in the feed”") :]
    assert (
        f"      {asked} → yes, for instance fire alarm on with nothing failed: as required\n        L released → yes\n"
    ) in silent


def test_a_trial_that_is_right_tells_why_where_a_rule_is_named(house: Path, plancheck: Caller) -> None:
    (house / "house/own.rules").write_text(HOUSE_RULE, encoding="utf-8")
    assert "house/no-buttons on" not in plancheck("rules", "trial", "house", "--why").out
    outcome = plancheck("rules", "trial", "house", "--why", "--rule", "house/no-buttons")
    assert outcome.status == 0
    assert outcome.out.count("house/no-buttons on “") == 2
    assert plancheck("rules", "trial", "--rule", "file/not-assessed").out.endswith(
        "2 examples of 1 rule: 2 as they say\n"
    )
    refused = plancheck("rules", "trial", "house", "--rule", "file/not-assessed")
    assert (refused.status, refused.out) == (2, "")
    assert "does not stand in “house”" in refused.err


# --- manual ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["manual.html", "manual.md"])
def test_the_manual_holds_a_pack_s_rules_too(name: str, house: Path, plancheck: Caller) -> None:
    (house / "house/own.rules").write_text(HOUSE_RULE, encoding="utf-8")
    assert plancheck("rules", "manual", "--packs", "house", "--to", name).said == ""
    text = (house / name).read_text(encoding="utf-8")
    for rule in load_library(["house"]).rulebook.rules:
        assert f"rule.{rule.id.replace('/', '.')}" in text
    assert text.startswith("<!doctype html>" if name.endswith("html") else "# Manual of the rules\n")
    plancheck("rules", "manual", "--packs", "house", "--to", "again-" + name)
    assert (house / f"again-{name}").read_text(encoding="utf-8") == text


def test_without_a_file_the_manual_is_printed_as_markdown(plancheck: Caller) -> None:
    outcome = plancheck("rules", "manual")
    assert outcome.status == 0
    assert outcome.out.startswith("# Manual of the rules\n")
