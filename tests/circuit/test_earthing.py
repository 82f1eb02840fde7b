"""Contacts in earthed returns, and what an earth fault leads past: by hand from small drawings."""

from __future__ import annotations

import pytest

from plancheck.circuit.earthing import contacts_in_earthed_return, load_held_past, lock_held_past
from plancheck.circuit.facts import Facts
from plancheck.rulebook.words_of_devices import SECURED
from tests.circuit.drawn import drawn, part

PARTS = """
supply PS1 { output 24 Vdc, 2 A; earthed }
fire-alarm-relay FA1 { contacts 3 A at 30 Vdc }
exit-button EB1 { contacts 3 A at 30 Vdc }
emergency-release ER1 { contacts 3 A at 30 Vdc }
fuse F1 { rated 1 A }
relay K1 { coil 24 Vdc, 40 mA; contacts 5 A at 30 Vdc; suppression built in }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
"""


def keys(facts: Facts, load: str = "ML1.coil") -> list[str]:
    return [contact.key.partition(".")[0] for contact in contacts_in_earthed_return(facts, part(facts, load))]


def held(facts: Facts, load: str = "ML1.coil") -> list[str]:
    return [contact.device for contact in load_held_past(facts, part(facts, load))]


PLUS = "wire PS1:+ to EB1:COM\nwire EB1:NC to ML1:+\nwire ML1:- to PS1:-"
MINUS = "wire PS1:+ to ML1:+\nwire ML1:- to F1:1\nwire F1:2 to EB1:COM\nwire EB1:NC to PS1:-"
BOTH = "wire PS1:+ to ER1:COM1\nwire ER1:NC1 to ML1:+\nwire ML1:- to ER1:COM2\nwire ER1:NC2 to PS1:-"
MIXED = "wire PS1:+ to FA1:COM\nwire FA1:NC to ML1:+\nwire ML1:- to EB1:COM\nwire EB1:NC to PS1:-"


@pytest.mark.parametrize(
    ("wires", "contacts", "past"),
    [
        (PLUS, [], []),
        (MINUS, ["EB1"], ["EB1"]),
        # Both poles break at once: an earth fault between them feeds nothing.
        (BOTH, ["ER1"], []),
        # The alarm still lets go, and the button no longer does.
        (MIXED, ["EB1"], ["EB1"]),
    ],
    ids=["plus", "minus", "both", "alarm in the plus, button in the minus"],
)
def test_by_where_the_contact_stands(wires: str, contacts: list[str], past: list[str]) -> None:
    facts = drawn(PARTS + wires)
    assert keys(facts) == contacts
    assert held(facts) == past
    assert [c.device for c in lock_held_past(facts, "ML1", SECURED)] == past


def test_without_earth_a_return_may_be_switched() -> None:
    facts = drawn(PARTS.replace("; earthed", "") + MINUS)
    assert keys(facts) == held(facts) == []
    assert lock_held_past(facts, "ML1", SECURED) == []


def test_a_coil_wired_the_other_way_round_has_its_return_at_its_plus() -> None:
    facts = drawn(PARTS + "wire PS1:+ to ML1:-\nwire ML1:+ to EB1:COM\nwire EB1:NC to PS1:-")
    assert held(facts) == ["EB1"]


def test_earth_reaches_a_second_supply_by_its_minus() -> None:
    text = PARTS + "supply PS2 { output 24 Vdc, 1 A }\nwire PS2:- to PS1:-\n" + MINUS.replace("PS1", "PS2")
    assert held(drawn(text)) == ["EB1"]


@pytest.mark.parametrize(("made", "past"), [("NO", ["EB1"]), ("NC", [])], ids=["held in", "pulled in to release"])
def test_the_return_of_a_relay_that_acts_on_the_lock(made: str, past: list[str]) -> None:
    """Held in, a relay that an earth fault keeps in keeps the lock; one that pulls in to release lets go instead."""
    pressed = "NC" if made == "NO" else "NO"
    facts = drawn(
        PARTS
        + f"""
        wire PS1:+ to K1:A1 to K1:COM
        wire K1:A2 to EB1:COM
        wire EB1:{pressed} to PS1:-
        wire K1:{made} to ML1:+
        wire ML1:- to PS1:-
        """
    )
    assert [c.device for c in lock_held_past(facts, "ML1", SECURED)] == past
    assert held(facts, "K1.coil") == ["EB1"]


def test_a_contact_beside_a_bare_return_holds_nothing() -> None:
    assert held(drawn(PARTS + MINUS + "\nwire ML1:- to PS1:-")) == []
