"""Batteries across a supply: what they hold together, worked out by hand, and what is drawn from them."""

from __future__ import annotations

import pytest

from plancheck.circuit.banks import bank_across
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.reserve import amps_together
from tests.circuit.drawn import drawn

HOUR = 3600.0
PARTS = """
supply PS1 { output 24 Vdc, 2 A }
magnetic-lock ML1 { rated 24 Vdc, 400 mA; tolerates 18 Vdc to 30 Vdc; suppression built in }
wire PS1:+ to ML1:+
wire ML1:- to PS1:-
"""


def cells(volts: int, **ampere_hours: float) -> str:
    return "".join(f"battery {name} {{ rated {volts} Vdc, {ah} Ah }}\n" for name, ah in ampere_hours.items())


def held(facts: Facts) -> float:
    """Ah of the bank across PS1."""
    bank = bank_across(facts, "PS1")
    assert bank is not None
    return bank.charge / HOUR


def drawn_from(facts: Facts) -> float:
    bank = bank_across(facts, "PS1")
    assert bank is not None
    return amps_together(facts, bank.last, alarm=False, asking=True)


def test_in_series_the_least_counts_and_the_current_once() -> None:
    wires = "wire PS1:- to B1:-\nwire B1:+ to B2:-\nwire B2:+ to PS1:+\n"
    facts = drawn(PARTS + cells(12, B1=9, B2=4) + wires)
    assert held(facts) == pytest.approx(4.0)
    assert drawn_from(facts) == pytest.approx(0.4)


def test_side_by_side_they_add_up_and_share_the_current() -> None:
    facts = drawn(PARTS + cells(24, B1=9, B2=4) + "wire PS1:+ to B1:+ to B2:+\nwire PS1:- to B1:- to B2:-\n")
    assert held(facts) == pytest.approx(13.0)
    assert drawn_from(facts) == pytest.approx(0.4)


STRINGS = (
    PARTS
    + cells(12, B1=4, B2=10, B3=8, B4=2)
    + "wire PS1:- to B1:- to B3:-\nwire B1:+ to B2:-\nwire B3:+ to B4:-\nwire PS1:+ to B2:+ to B4:+\n"
)


def test_two_strings_and_the_same_joined_in_the_middle() -> None:
    # 4 with 10 holds 4, 8 with 2 holds 2; joined in the middle, 4 + 8 stand below 10 + 2.
    assert held(drawn(STRINGS)) == pytest.approx(6.0)
    assert held(drawn(STRINGS + "wire B1:+ to B3:+\n")) == pytest.approx(12.0)


def test_past_a_fuse_but_not_past_a_contact() -> None:
    fused = "fuse F1 { rated 5 A }\nwire PS1:+ to F1:1\nwire F1:2 to B1:+\nwire PS1:- to B1:-\n"
    assert held(drawn(PARTS + cells(24, B1=7) + fused)) == pytest.approx(7.0)
    switched = "key-switch KS1\nwire PS1:+ to KS1:COM\nwire KS1:NC to B1:+\nwire PS1:- to B1:-\n"
    assert bank_across(drawn(PARTS + cells(24, B1=7) + switched), "PS1") is None


def test_what_is_no_bank() -> None:
    text = PARTS + cells(24, B1=7)
    assert bank_across(drawn(PARTS), "PS1") is None
    assert bank_across(drawn(text), "PS1") is None
    assert bank_across(drawn(text + "wire PS1:+ to B1:+\nwire PS1:- to B1:-\n"), "B1") is None
    # the wrong way round it gives nothing
    assert bank_across(drawn(text + "wire PS1:- to B1:+\nwire PS1:+ to B1:-\n"), "PS1") is None
    # a battery that stands on the supply's plus, for other volts, is not across it
    stacked = "battery B2 { rated 24 Vdc, 2 Ah }\nwire PS1:+ to B1:+ to B2:-\nwire PS1:- to B1:-\n"
    assert held(drawn(text + stacked)) == pytest.approx(7.0)


def test_a_battery_of_no_stated_charge_is_not_assessed() -> None:
    facts = drawn(PARTS + cells(24, B1=7) + "wire PS1:+ to B1:+\nwire PS1:- to B1:-\n")
    facts.plan.devices["B1"].values.pop("battery-charge")
    with pytest.raises(NotAssessed, match="B1 does not state the charge"):
        bank_across(facts, "PS1")
