"""Judging, on circuits that say what the test wants: every expectation was worked out by hand.

The space of conditions is that of small.SPACE: bit 0 mains of PS1 (rests on), bit 1 EB1 pressed, bit 2 fire alarm;
condition 1 is rest. Masks are written with the condition's number as the bit.
"""

from __future__ import annotations

import pytest

from plancheck.circuit.conditions import Levels, Truth
from plancheck.circuit.variation import Variation
from plancheck.finding import Finding
from plancheck.rulebook.judge import judge
from tests.rulebook.small import (
    ALARM,
    EVERY,
    MAINS,
    PRESSED,
    SPACE,
    TODAY,
    Said,
    book,
    judged,
    levels,
    plan,
    rule_text,
)

NAN = float("nan")
Facts = dict[str, Levels | Truth | str | float]


def truth(yes: int, no: int | None = None) -> Truth:
    """True in the conditions of one mask, false in the rest unless said otherwise."""
    return Truth(SPACE, yes, EVERY & ~yes if no is None else no)


def findings(body: str, facts: Facts, **rule: str) -> list[Finding]:
    verdicts = judged(book(rule_text(body, **rule)), facts)
    assert verdicts.gaps == ()
    return list(verdicts.findings)


def gaps(body: str, facts: Facts) -> list[tuple[str, str]]:
    verdicts = judged(book(rule_text(body)), facts)
    assert verdicts.findings == ()
    return [(g.subject, g.reason) for g in verdicts.gaps]


def subjects(body: str, facts: Facts | None = None, **rule: str) -> list[str]:
    return [f.subject for f in findings(body, facts or {}, **rule)]


# --- things and what the plan gives ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "wrong"),
    [
        ("for each lock L\nrequire no", ["L1", "L2"]),
        ("for each lock L of door D\nwhere D.egress is sensor release\nrequire no", ["L1", "L2"]),
        ("for each lock L of door D\nwhere D.egress is not sensor release\nrequire no", []),
        ("for each lock L\nrequire L.rated-volts >= 24 V", ["L2"]),
        ("for each lock L\nrequire L.rated-volts > 24 V", ["L1", "L2"]),
        ("for each lock L\nrequire L.rated-volts * L.rated-amps <= 12 W", []),
        ("for each load X\nrequire X.rated-volts / X.rated-amps > 12 ohm", ["L2"]),
        ("for each load X\nrequire 0 V - X.rated-volts < -20 V", ["L2"]),
        ("for each load X\nrequire X.rated-volts - 4 V * 2 >= 16 V", ["L2"]),
        ("for each lock L\nrequire L.keeps is latch", ["L2"]),
        ("for each lock L\nrequire L.keeps is not latch", ["L1"]),
        ("for each lock L\nrequire L.keeps is given", ["L2"]),
        ("for each lock L\nrequire L.keeps is not given", ["L1"]),
        ("for each lock L\nrequire L.keeps is one of latch, nothing at all", ["L2"]),
        ("for each lock L\nrequire L suppression-built-in", ["L1", "L2"]),
        ("for each lock L\nrequire L.fails is safe", []),
        ('for each lock L\nrequire L.name is "L1"', ["L2"]),
        ("for each door D\nrequire D.title is given", ["D2"]),
        ("for each door D\nrequire (count lock L of D) is 2 locks", ["D2"]),
        ("for each door D\nrequire 1 <= count lock L of D where L.rated-volts > 20 V", ["D2"]),
        ("for each door D\nrequire some lock L of D: L.rated-volts > 20 V", ["D2"]),
        ("for each door D\nrequire every lock L of D: L.rated-volts > 20 V", ["D1"]),
        ("for each door D\nrequire every lock L of D where L.keeps is given: L.rated-volts > 20 V", []),
        ("for each door D, device B in D.button\nrequire no", ["EB1"]),
        ("for each door D, lock B in D.button\nrequire no", []),
        ("for each lock L, door D of L\nrequire no\nat D", ["D1", "D1"]),
        ("for each lock L, lock M\nwhere L is not M\nrequire no", ["L2", "L1"]),
        ("for each load X of lock L\nrequire X.device is not L", ["L1", "L2"]),
        ("for each terminal T\nwhere T.device.kind is knob\nrequire no", ["EB1:COM", "EB1:NC"]),
        ("for each source S\nrequire S.rated-amps >= most", ["PS1"]),
        ("for each plan P\nrequire P.revision is given", ["Small"]),
    ],
)
def test_which_things_are_found_wrong(body: str, wrong: list[str]) -> None:
    assert subjects(body, head="limit most = 3 A") == wrong


def test_a_value_that_is_not_given_is_a_gap_and_no_pass() -> None:
    body = "for each lock L\nrequire L.drop-out-volts <= 6 V"
    assert gaps(body, {}) == [("L2", "L2 does not state “drop-out-volts”")]
    assert gaps("for each lock L\nwhere L.drop-out-volts > 6 V\nrequire no", {}) == [
        ("L2", "L2 does not state “drop-out-volts”")
    ]


def test_is_given_guards_what_stands_beside_it() -> None:
    assert subjects("for each lock L\nrequire L.drop-out-volts is not given or L.drop-out-volts <= 5 V") == ["L1"]
    assert subjects("for each lock L\nwhere L.drop-out-volts is given and L.drop-out-volts <= 6 V\nrequire no") == [
        "L1"
    ]


def test_a_calm_where_is_asked_first_and_guards_an_upsettable_one() -> None:
    body = "for each lock L of door D\nwhere L.drop-out-volts <= 6 V and D.egress is none\nrequire no"
    assert subjects(body) == []


def test_division_by_nothing_is_a_gap() -> None:
    body = "for each lock L\nwhere L.keeps is given\nrequire 1 V / (L.rated-volts - 24 V) > 1"
    assert gaps(body, {}) == [("L1", "a number in it could not be worked out")]


# --- conditions --------------------------------------------------------------------------------------------

SECURED_UNLESS_PRESSED = truth(0b00110011)
"""Held whatever the alarm does: conditions 0, 1, 4, 5, in which EB1 is not pressed."""


def secured(of: Truth, other: Truth = Truth.constant(False)) -> Facts:  # noqa: B008 - a frozen value
    return {"L1 secured": of, "L2 secured": other}


@pytest.mark.parametrize(
    ("demand", "wrong"),
    [
        ("in every condition: not L secured", ["L1"]),
        ("in every condition with fire alarm: not L secured", ["L1"]),
        ("in every condition where B pressed: not L secured", []),
        ("in every condition where B pressed and not B fire-alarm: L released", []),
        ("in every condition with fire alarm where B pressed: L released", []),
        ("in some condition: L secured", ["L2"]),
        ("in some condition with fire alarm: L released", []),
        ("in some condition where B pressed: L secured", ["L1", "L2"]),
        ("in normal condition: L secured", ["L2"]),
        ("not in some condition: L secured", ["L1"]),
        ("in every condition: L secured is no or B pressed is no", []),
        ("in every condition: L secured is not (B pressed)", ["L2"]),
        ("L.keeps is not given or (in every condition: L released)", ["L1"]),
        ("in every condition: every lock M of D: M released", ["L1", "L2"]),
        ("in every condition: some lock M of D: M released", []),
        ("in every condition: (count lock M of D where M secured) <= 1 locks", []),
        ("in every condition: (count lock M of D where M secured) is 0 locks", ["L1", "L2"]),
    ],
)
def test_conditions(demand: str, wrong: list[str]) -> None:
    body = f"for each lock L of door D, device B in D.button\nrequire {demand}\nat L"
    assert subjects(body, secured(SECURED_UNLESS_PRESSED)) == wrong


def test_uncertainty_counts_against_whatever_is_demanded() -> None:
    # L1 is neither held nor let go for certain in condition 5 (mains on, alarm on), and let go everywhere else.
    unsure = secured(truth(0, EVERY & ~(1 << 5)), truth(0))
    assert subjects("for each lock L\nrequire in every condition: L released", unsure) == ["L1"]
    assert subjects("for each lock L\nrequire in some condition: L secured", unsure) == ["L1", "L2"]
    assert subjects("for each lock L\nrequire not in some condition: L secured", unsure) == ["L1"]
    # A condition that may be meant is meant: L1 may be held in 5, where the alarm is on.
    body = """
        for each lock L of door D, device B in D.button
        require in every condition where L secured: not B fire-alarm
        at L"""
    assert subjects(body, unsure) == ["L1"]


def test_what_could_not_be_worked_out_is_a_gap() -> None:
    nowhere = levels(SPACE, (EVERY & ~(1 << 4), 3.0), (1 << 4, NAN))
    facts: Facts = {"L1 volts": nowhere, "L2 volts": Levels.constant(3.0)}
    body = "for each load X\nrequire in every condition: X.volts <= 6 V"
    assert gaps(body, facts) == [("L1", "a number could not be worked out, mains of PS1 off and fire alarm on")]
    facts["L1 volts"] = "the run has no length"
    assert gaps(body, facts) == [("L1", "the run has no length")]


def test_what_is_unknown_where_nobody_asks_harms_nothing() -> None:
    facts: Facts = {
        "L1 volts": levels(SPACE, (EVERY & ~SPACE.on(ALARM), 3.0), (SPACE.on(ALARM), NAN)),
        "L2 volts": Levels.constant(3.0),
    }
    body = """
        for each load X, device B
        where B.kind is knob
        require in every condition where not B fire-alarm: X.volts <= 6 V
        at X"""
    assert subjects(body, facts) == []


def test_a_violation_stands_even_where_something_else_is_unknown() -> None:
    facts: Facts = {
        "L1 volts": levels(SPACE, (1, NAN), (2, 9.0), (EVERY & ~3, 3.0)),
        "L2 volts": Levels.constant(3.0),
    }
    assert subjects("for each load X\nrequire in every condition: X.volts <= 6 V", facts) == ["L1"]


def test_numbers_within_rounding_are_equal() -> None:
    facts: Facts = {"L1 volts": Levels.constant(0.1 + 0.2), "L2 volts": Levels.constant(0.3)}
    assert subjects("for each load X\nrequire in every condition: X.volts <= 0.3 V", facts) == []
    assert subjects("for each load X\nrequire in every condition: X.volts < 0.3 V", facts) == ["L1", "L2"]


def test_variations_reach_the_circuit() -> None:
    circuit = Said(plan(), secured(truth(0), truth(0)))
    body = """
        for each lock L, source S
        require in every condition with power to S lost whatever the electronics do: L released
        at L"""
    judge(book(rule_text(body)), circuit, TODAY)  # type: ignore[arg-type]
    assert circuit.varied == [Variation(frozenset({"PS1"}), True)] * 2


# --- the condition shown -----------------------------------------------------------------------------------

VOLTS = """
for each lock L of door D
where L.keeps is given
require in every condition{}: {}
found "{{L}} at {{L.volts}}, {{condition}}"
"""


def shown(facts: Facts, demand: str, of: str = "") -> Finding:
    (finding,) = findings(VOLTS.format(of, demand), facts)
    return finding


def test_the_worst_condition_of_a_comparison_is_shown() -> None:
    # 24 V with mains, 27 V with mains on alarm, 0 without: the demand is "at most 6 V".
    facts: Facts = {"L1 volts": levels(SPACE, (0b00001010, 24.0), (0b10100000, 27.0), (0b01010101, 0.0))}
    finding = shown(facts, "L.volts <= 6 V")
    assert finding.found == "L1 at 27 V, fire alarm on"
    assert finding.condition == {MAINS: True, PRESSED: False, ALARM: True}


def test_otherwise_the_condition_nearest_to_rest_is_shown() -> None:
    # Held in 2 (mains off, pressed), 4 (mains off, alarm), 7 (pressed, alarm): 4 and 7 and 2 are each two away from
    # rest (condition 1); of these the first in the order of distance from rest is 7 ^ 1 = 6, 4 ^ 1 = 5, 2 ^ 1 = 3: 2.
    facts = {**secured(truth(0b10010100)), "L1 volts": Levels.constant(5.0)}
    finding = shown(facts, "L released")
    assert finding.condition == {MAINS: False, PRESSED: True, ALARM: False}
    assert finding.found == "L1 at 5 V, mains of PS1 off and EB1 pressed"


def test_rest_is_called_normal() -> None:
    facts = {**secured(truth(EVERY)), "L1 volts": Levels.constant(24.0)}
    assert shown(facts, "L released").found == "L1 at 24 V, in normal condition"


def test_a_situation_is_shown_though_nothing_depends_on_it() -> None:
    facts = {**secured(Truth.constant(True)), "L1 volts": levels(SPACE, (SPACE.on(ALARM), 24.0), (0x0F, 12.0))}
    finding = shown(facts, "L released", " with fire alarm")
    assert finding.found == "L1 at 24 V, fire alarm on"
    assert finding.condition == {ALARM: True}


def test_a_situation_that_the_plan_cannot_have_is_told() -> None:
    text = """
        plan "No alarm"
        holder L1 { rated 24 Vdc, 1 A; keeps latch }
        feed PS1 { output 24 Vdc, 2 A }
        door D1 { locks L1 }
    """
    rules = book(rule_text(VOLTS.format(" with fire alarm", "L released")))
    (finding,) = judged(rules, {"L1 secured": Truth.constant(True), "L1 volts": Levels.constant(24.0)}, text).findings
    assert finding.found == "L1 at 24 V, in normal condition (no alarm in the plan)"


def test_power_lost_is_told() -> None:
    facts = {**secured(Truth.constant(True)), "L1 volts": Levels.constant(24.0)}
    body = """
        for each lock L, source S
        where L.keeps is given
        require in every condition with power to S lost: L released
        at L
        found "{condition}"
    """
    (finding,) = findings(body, facts)
    assert finding.found == "power to PS1 lost"


# --- bounds ------------------------------------------------------------------------------------------------


def test_a_rule_that_asks_for_too_many_combinations_is_not_assessed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("plancheck.rulebook.scope.MOST_STEPS", 10)
    body = "for each terminal T, terminal U, terminal V\nrequire yes"
    assert gaps(body, {}) == [("the plan", "it would look at more than 10 combinations of things")]


def test_rules_that_together_ask_for_too_many_are_not_assessed(monkeypatch: pytest.MonkeyPatch) -> None:
    # The small plan has eight terminals: the second rule is in the midst of them at twelve.
    monkeypatch.setattr("plancheck.rulebook.scope.MOST_STEPS_IN_ALL", 12)
    rules = [rule_text("for each terminal T\nrequire yes", name=f"r{i}") for i in range(3)]
    rules.append(rule_text("for each gap G\nrequire no", name="told"))
    verdicts = judged(book(*rules), {})
    reason = "the rules together would look at more than 12 combinations of things"
    assert [(g.rule, g.reason) for g in verdicts.gaps] == [("test/r1", reason), ("test/r2", reason)]
    assert [f.rule for f in verdicts.findings] == ["test/told"]


def test_progress_is_told_rule_by_rule() -> None:
    told: list[tuple[int, int]] = []
    rules = book(*(rule_text("for each lock L\nrequire yes", name=f"r{i}") for i in range(3)))
    judge(rules, Said(plan(), {}), TODAY, lambda done, total: told.append((done, total)))  # type: ignore[arg-type]
    assert told == [(1, 3), (2, 3), (3, 3)]
