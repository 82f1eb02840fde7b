"""Words about what people do at a device and what acts on it: judged on drawings worked out by hand."""

from __future__ import annotations

from datetime import date

import pytest

from plancheck.circuit.acting import devices_acting_on
from plancheck.circuit.facts import Facts
from plancheck.library.load import load_library
from plancheck.plan.resolve import resolve
from plancheck.rulebook.judge import Verdicts, judge
from plancheck.rulebook.load import load_rules
from plancheck.source import Source
from tests.rulebook.small import rule_text

PARTS = """
plan "acting"
supply PS1 { output 24 Vdc, 1 A }
fire-alarm-relay FA1 { contacts 2 A at 30 Vdc }
exit-button EB1 { contacts 3 A at 30 Vdc }
timer-relay TR1 { rated 24 Vdc, 40 mA; holds 30 s; contacts 5 A at 30 Vdc }
relay K1 { coil 24 Vdc, 40 mA; contacts 5 A at 30 Vdc; suppression built in }
push-button SB1 { contacts 3 A at 30 Vdc }
buzzer BZ1 { rated 24 Vdc, 25 mA }
door-contact DC1
magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
"""
# The alarm drops K1, K1 feeds the timer's contact, the button starts the timer. SB1 works the buzzer alone.
WIRES = """
wire PS1:+ to FA1:COM to K1:COM to TR1:power+
wire FA1:NC to K1:A1
wire K1:NO to TR1:COM
wire TR1:NC to ML1:+
wire EB1:COM to TR1:start-com
wire EB1:NO to TR1:start
wire PS1:+ to SB1:COM
wire SB1:NO to BZ1:+
wire ML1:- to K1:A2 to TR1:power- to BZ1:- to PS1:-
"""


def facts(text: str) -> Facts:
    plan, mistakes = resolve(Source("a.plan", text), load_library([]).kinds, lambda name, by: "nothing to use here")
    assert mistakes == []
    return Facts(plan)


def verdicts(rule: str, text: str) -> Verdicts:
    rules, mistakes = load_rules([Source("t.rules", f"pack test\n{rule_text(rule)}")], load_library([]).kinds)
    assert [f"{m.headline} {m.found}" for m in mistakes] == []
    return judge(rules, facts(text), date(2026, 11, 25))


@pytest.mark.parametrize(
    ("device", "acting"),
    [
        ("ML1", {"TR1", "K1", "EB1", "FA1"}),
        ("K1", {"FA1"}),
        ("BZ1", {"SB1"}),
        ("TR1", {"EB1"}),
        ("EB1", set()),
    ],
)
def test_who_acts_on_a_device_is_followed_through_relays_and_inputs(device: str, acting: set[str]) -> None:
    assert set(devices_acting_on(facts(PARTS + WIRES), device)) == acting


def test_a_relay_that_holds_itself_in_acts_on_itself() -> None:
    seal = "wire PS1:+ to SB1:COM to K1:COM\nwire SB1:NO to K1:A1\nwire K1:NO to K1:A1\nwire K1:A2 to PS1:-"
    assert set(devices_acting_on(facts(PARTS + seal), "K1")) == {"SB1", "K1"}


def test_the_word_names_the_same_devices() -> None:
    rule = "for each device A\nwhere A.name is FA1\nrequire some lock L, device T in L.acted-on-by: T is A"
    assert verdicts(rule, PARTS + WIRES).findings == ()
    (finding,) = verdicts(rule, PARTS).findings
    assert finding.subject == "FA1"


def test_worked_is_what_somebody_does_there() -> None:
    pressed = "for each device B\nwhere B.name is SB1\nrequire in every condition where B worked: B pressed"
    assert verdicts(pressed, PARTS + WIRES).findings == ()
    lets_go = "for each lock L, device B\nwhere B.name is EB1\nrequire in every condition where B worked: L released"
    assert verdicts(lets_go, PARTS + WIRES).findings == ()
    assert len(verdicts(lets_go.replace("EB1", "SB1"), PARTS + WIRES).findings) == 1


@pytest.mark.parametrize("name", ["DC1", "FA1", "PS1", "BZ1"])
def test_where_nobody_does_anything_it_is_not_judged(name: str) -> None:
    found = verdicts(
        f"for each device B\nwhere B.name is {name}\nrequire in every condition: not B worked", PARTS + WIRES
    )
    assert found.findings == ()
    assert [gap.reason for gap in found.gaps] == [f"nothing that people do at {name} is a signal of the plan"]


def test_live_follows_the_sources_of_its_own_circuit() -> None:
    alive = "for each lock L\nrequire in every condition where not L live: L released"
    assert verdicts(alive, PARTS + WIRES).findings == ()
    ever = "for each lock L\nrequire in some condition: L live"
    assert verdicts(ever, PARTS + WIRES).findings == ()
    assert len(verdicts(ever, PARTS).findings) == 1
    always = "for each lock L\nrequire in every condition: L live"
    (finding,) = verdicts(always, PARTS + WIRES).findings
    assert finding.subject == "ML1"


def test_a_circuit_chatters_with_its_relay() -> None:
    rule = "for each circuit C\nrequire in every condition: not C chattering"
    assert verdicts(rule, PARTS + WIRES).findings == ()
    rattle = "wire PS1:+ to K1:COM\nwire K1:NC to K1:A1\nwire K1:A2 to PS1:-"
    assert len(verdicts(rule, PARTS + rattle).findings) == 1
