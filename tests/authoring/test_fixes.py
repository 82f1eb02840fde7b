"""What rules propose, made in the text: the finding goes, and no other comes.

Every rule that proposes anything is tried on the plans that it must find fault with, which are data of the rule itself;
the other plans here are invented, and what is to come of them is written by hand.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

import pytest

from plancheck.authoring.author import PlanAuthor
from plancheck.authoring.edit import applied
from plancheck.authoring.fixes import Fix
from plancheck.authoring.tokens import Tokens
from plancheck.authoring.view import View
from plancheck.finding import Finding, Mistake
from plancheck.plan.conductor import resistance_per_length
from plancheck.rulebook import nodes
from plancheck.rulebook.load import load_rules
from plancheck.rulebook.read import read_rules
from plancheck.rulebook.rule import Example, Rule, Rulebook
from plancheck.source import Source
from plancheck.syntax.read import read_statements
from plancheck.units import awg_area
from tests.authoring.views import library, view_of


def _rules_with_fixes() -> Iterator[Rule]:
    by_file: dict[Source, list[Rule]] = {}
    for rule in library().rulebook.rules:
        by_file.setdefault(rule.at.source, []).append(rule)
    for source, rules in by_file.items():
        statements = (s for s in read_rules(source)[0].statements if isinstance(s, nodes.RuleNode))
        proposing = {s.name.text for s in statements if any(isinstance(m, nodes.FixMember) for m in s.members)}
        yield from (rule for rule in rules if rule.id.partition("/")[2] in proposing)


def _text(example: Example) -> str:
    header = "" if 'plan "' in example.text else f'plan "{example.title}"\n'
    return f"{header}{example.text}\n"


def _fixes(view: View, rule: str) -> list[Fix]:
    found = [finding for finding in view.findings if finding.rule == rule]
    return [fix for fix in PlanAuthor(view, Tokens(view.kinds)).fixes(found) if fix.mend]


def _count(findings: Iterable[Finding]) -> Counter[tuple[str, str]]:
    """How many findings of each rule are about each device: what is moved to another terminal is found there."""
    return Counter((finding.rule, finding.subject.split()[0].partition(":")[0]) for finding in findings)


def _tried(text: str, rule: str) -> dict[str, str]:
    """The text after each fix of a rule's findings, by title; each is reviewed, and must mend what it says it does."""
    view = view_of(text)
    before = _count(view.findings)
    found = {}
    for fix in _fixes(view, rule):
        mended = applied(text, fix.edits)
        after = view_of(mended)
        left, new = (
            [f for f in after.findings if f.fingerprint == fix.finding.fingerprint],
            _count(after.findings) - before,
        )
        assert not left, f"{fix.title}: still there\n{mended}"
        assert not new, f"{fix.title}: {new}\n{mended}"
        found[fix.title] = mended
    return found


@pytest.mark.parametrize("rule", list(_rules_with_fixes()), ids=lambda rule: rule.id)
def test_each_fix_of_a_rule_makes_its_finding_go_and_brings_no_other(rule: Rule) -> None:
    tried = [_tried(_text(example), rule.id) for example in rule.examples if not example.passes]
    assert any(tried), "none of the rule's proposals can be taken in any of the plans that it fails"


def test_enough_rules_propose_something() -> None:
    assert len(list(_rules_with_fixes())) >= 12


# --- the text that comes of it -----------------------------------------------------------------------------

STRIKE = """plan "A strike"
supply PS1 { output 24 Vdc, 2 A }
push-button SB1 { contacts 3 A at 30 Vdc }
electric-strike ES1 { rated 24 Vdc, 225 mA; fails secure }   # at the rear
wire PS1:+ to SB1:COM
wire SB1:NO to ES1:+
wire ES1:- to PS1:-
"""


def test_a_diode_is_declared_below_the_strike_and_wired_below_its_last_wire() -> None:
    tried = _tried(STRIKE, "electrical/coil-suppression")
    assert list(tried) == ["Put a diode across ES1, its cathode to plus", "Put a clamp of 38 V across ES1"]
    lines = STRIKE.splitlines()
    diode = "diode D1 { rated 400 V, 1 A }"
    wires = ["wire D1:cathode to ES1:+", "wire D1:anode to ES1:-"]
    expected = [*lines[:4], diode, *lines[4:], *wires, ""]
    assert tried["Put a diode across ES1, its cathode to plus"] == "\n".join(expected)


def test_line_ends_insets_and_numbers_go_on_as_the_text_has_them() -> None:
    text = STRIKE.replace("plan", "diode V7 { rated 400 V, 1 A }\nplan", 1).replace("\n", "\r\n")
    mended = _tried(text, "electrical/coil-suppression")["Put a diode across ES1, its cathode to plus"]
    assert "\r\ndiode V1 { rated 400 V, 1 A }\r\n" in mended
    assert "\n" not in mended.replace("\r\n", "")


def test_the_cathode_goes_to_the_end_that_is_plus_in_fact() -> None:
    """A coil of a relay minds no polarity: here A2 is the end that gets plus."""
    text = """plan "A relay"
supply PS1 { output 12 Vdc, 2 A }
push-button SB1 { contacts 3 A at 30 Vdc }
relay K1 { coil 12 Vdc, 43.6 mA; contacts 5 A at 30 Vdc }
wire PS1:+ to SB1:COM
wire SB1:NO to K1:A2
wire K1:A1 to PS1:-
"""
    tried = _tried(text, "electrical/coil-suppression")
    assert list(tried) == ["Put a diode across K1, its cathode to plus", "Put a clamp of 18 V across K1"]
    assert "wire D1:cathode to K1:A2\nwire D1:anode to K1:A1\n" in tried["Put a diode across K1, its cathode to plus"]


def test_what_a_typical_draws_is_mended_in_the_typical() -> None:
    text = """plan "Two doors"
supply PS1 { output 24 Vdc, 2 A }
typical rear {
    push-button SB { contacts 3 A at 30 Vdc }
    electric-strike ES { rated 24 Vdc, 225 mA; fails secure }
    wire PS1:+ to SB:COM
    wire SB:NO to ES:+
    wire ES:- to PS1:-
}
place rear as R1
place rear as R2
"""
    mended = _tried(text, "electrical/coil-suppression")["Put a clamp of 38 V across R1/ES"]
    assert "    electric-strike ES { rated 24 Vdc, 225 mA; fails secure }\n    clamp C1 { rated 38 Vdc }\n" in mended
    assert "    wire ES:- to PS1:-\n    wire C1:1 to ES:+\n    wire C1:2 to ES:-\n}\n" in mended


def test_what_is_taken_out_leaves_joined_what_it_joined() -> None:
    text = """plan "A magnet"
supply PS1 { output 24 Vdc, 2 A }
exit-button EB1 { contacts 3 A at 30 Vdc }
magnetic-lock ML1 {
    rated 24 Vdc, 250 mA
    suppression built in
}
diode D1 { rated 400 V, 1 A }
cable C1 { conductors 2 of 18 AWG; length 20 ft; colours red, black }
wire PS1:+ to EB1:COM
wire EB1:NC to D1:cathode
wire D1:cathode to ML1:+ in C1/red
wire ML1:- to D1:anode to PS1:- in C1/black
"""
    tried = _tried(text, "electrical/suppression-twice")
    (mended,) = tried.values()
    assert "diode" not in mended
    assert mended.endswith("wire PS1:+ to EB1:COM\nwire EB1:NC to ML1:+ in C1/red\nwire ML1:- to PS1:- in C1/black\n")


def test_the_next_gauge_is_the_first_that_loses_no_more_than_the_rule_allows() -> None:
    """By hand: 0.5 A out and back through 2 × 200 ft of stranded copper at 20 °C, of 24 V at most 5 %."""
    text = """plan "A long run"
ambient 20 degC to 20 degC
supply PS1 { output 24 Vdc, 2 A }
magnetic-lock ML1 { rated 24 Vdc, 500 mA; suppression built in }
cable C1 { conductors 2 of 22 AWG; length 200 ft; colours red, black }
wire PS1:+ to ML1:+ in C1/red
wire ML1:- to PS1:- in C1/black
"""
    (mended,) = _tried(text, "electrical/loop-drop").values()

    def lost(area: float) -> float:
        return 0.5 * resistance_per_length(area, 293.15, stranded=True) * 2 * 200 * 0.3048 / 24

    assert [lost(awg_area(gauge)) <= 0.05 for gauge in (22, 20, 18, 16)] == [False, False, False, True]
    assert "conductors 2 of 16 AWG" in mended
    assert [lost(area * 1e-6) <= 0.05 for area in (0.34, 0.5, 0.75, 1)] == [False, False, False, True]
    (mended,) = _tried(text.replace("22 AWG", "0.34 mm2"), "electrical/loop-drop").values()
    assert "conductors 2 of 1 mm2" in mended


TURNED = STRIKE.replace(
    "wire PS1", "diode D1 { rated 400 V, 1 A }\nwire D1:cathode to ES1:-\nwire D1:anode to ES1:+\nwire PS1", 1
)


def test_nothing_is_proposed_where_the_text_cannot_be_changed_so() -> None:
    """What a variance speaks of cannot be taken out, as a spare device can; and no gauge is larger than the largest."""
    spare = STRIKE + "cable C9 { conductors 2 of 18 AWG; length 20 ft }\n"
    claimed = spare + 'variance wiring/device-unused on C9 { reason "kept for later" }\n'
    assert [fix.title for fix in _fixes(view_of(spare), "wiring/device-unused")] == ["Take C9 out of the plan"]
    assert _fixes(view_of(claimed), "wiring/device-unused") == []
    (mended,) = _tried(TURNED, "electrical/suppression-polarity").values()
    assert "wire D1:anode to ES1:-\nwire D1:cathode to ES1:+\n" in mended


def test_a_text_of_a_pack_stays_as_it_is() -> None:
    view = view_of(TURNED)
    findings = [finding for finding in view.findings if finding.proposed]
    of_pack = Source("pack.plan", TURNED, of_pack=True)
    statements = read_statements(of_pack)[0]
    there = View(of_pack, statements, view.kinds, view.rulebook, statements, view.worked, findings)
    assert PlanAuthor(there, Tokens(view.kinds)).fixes(findings) == []


# --- rules of one's own ------------------------------------------------------------------------------------

RULE = """pack ours "Ours"

rule thick-runs {
    title     "Runs are thick"
    severity  warning
    basis     "house rule" grade common practice
    known limits "None."
    limit     thinnest = 16 AWG source "house rule"
    for each  cable C
    require   C.area >= thinnest
    found     "{C} is thin"
    required  "{thinnest}"
    remedy    "Pull thicker."
    fix       "Pull {C} in {thinnest}": thicken C by thinnest / C.area
    passes "thick" {
        cable C1 { conductors 2 of 16 AWG; length 20 ft }
    }
    fails "thin" {
        cable C1 { conductors 2 of 20 AWG; length 20 ft }
    }
}
"""


def _ours(text: str) -> tuple[Rulebook, list[Mistake]]:
    return load_rules([Source("ours.rules", text)], library().kinds)


def test_a_company_s_rule_proposes_too() -> None:
    book, mistakes = _ours(RULE)
    assert mistakes == []
    view = view_of(_text(book.rules[0].examples[1]), rulebook=book)
    (fix,) = _fixes(view, "ours/thick-runs")
    assert fix.title == "Pull C1 in 1.309 mm2"
    assert "2 of 16 AWG" in applied(view.source.text, fix.edits)


@pytest.mark.parametrize(
    ("step", "headline", "at"),
    [
        ("exchange C", "This cannot be done with such a thing", "C"),
        ("move C to the other throw", "This cannot be done with such a thing", "C"),
        ("thicken C by 5 V", "“by” wants another measure", "5 V"),
        ("thicken C for 5", "“for” wants another measure", "5"),
        ("thicken D", "Nothing here is called “D”", "D"),
        ("add gizmo across C", "This cannot be done with such a thing", "C"),
        ('write "length {C.gauge}" in C', "", "gauge"),
        ("take out C.area", "This cannot be done with such a thing", "C.area"),
        ("mend C", "", "mend"),
    ],
)
def test_a_step_that_is_wrong_is_told_where_it_stands(step: str, headline: str, at: str) -> None:
    text = RULE.replace("thicken C by thinnest / C.area", step)
    _, mistakes = _ours(text)
    assert len(mistakes) == 1
    assert headline in mistakes[0].headline
    assert (mistakes[0].at.line, mistakes[0].at.text) == (14, at)


@pytest.mark.parametrize(
    ("step", "headline"),
    [
        ("add gizmo across X", "There is no kind “gizmo”"),
        ("add exit-button across X", "What is put across something has two terminals"),
        ("add diode across X with gate to plus", "A diode has no such terminal"),
    ],
)
def test_a_part_that_cannot_be_added_is_told(step: str, headline: str) -> None:
    text = RULE.replace(
        "cable C\n    require   C.area >= thinnest", "load X of device C\n    require   X.rated-volts > 1 V"
    )
    _, mistakes = _ours(text.replace("thicken C by thinnest / C.area", step))
    assert [mistake.headline for mistake in mistakes] == [headline]
