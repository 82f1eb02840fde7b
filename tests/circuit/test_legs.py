"""Wires drawn in one conductor: what the copper carries where they begin together, by hand."""

from __future__ import annotations

import pytest

from plancheck.circuit.conductors import Conductors
from plancheck.circuit.facts import Facts
from plancheck.circuit.legs import greatest_in_conductor
from tests.circuit.drawn import drawn

PARTS = """
supply PS1 { output 12 Vdc, 8 A }
cable C1 { conductors 2 of 16 AWG; length 3 ft; colours red, black }
magnetic-lock ML1 { rated 12 Vdc, 2 A; suppression built in }
magnetic-lock ML2 { rated 12 Vdc, 1.5 A; suppression built in }
exit-button EB1 { contacts 5 A at 30 Vdc }
exit-button EB2 { contacts 5 A at 30 Vdc }
"""
BACK = "wire PS1:- to ML1:- in C1/black\nwire PS1:- to ML2:- in C1/black\n"


def carried(facts: Facts) -> dict[str, list[float]]:
    """By colour, what is told of each wire."""
    conductors = Conductors(facts.graph)
    found: dict[str, list[float]] = {}
    for wire in facts.graph.branches:
        if wire.wire is not None and wire.wire.cable:
            found.setdefault(wire.wire.colour, []).append(round(greatest_in_conductor(facts, conductors, wire), 6))
    return found


def test_wires_from_one_end_add_up_there_and_in_the_return() -> None:
    facts = drawn(PARTS + "wire PS1:+ to ML1:+ in C1/red\nwire PS1:+ to ML2:+ in C1/red\n" + BACK)
    assert carried(facts) == {"red": [3.5, 3.5], "black": [3.5, 3.5]}


def test_circuits_that_do_not_feel_each_other_add_up_too() -> None:
    feed = (
        "wire PS1:+ to EB1:COM in C1/red\nwire EB1:NC to ML1:+\nwire PS1:+ to EB2:COM in C1/red\nwire EB2:NC to ML2:+\n"
    )
    assert carried(drawn(PARTS + feed + BACK)) == {"red": [3.5, 3.5], "black": [3.5, 3.5]}


def test_what_cannot_draw_together_does_not() -> None:
    # one button: pressed it feeds ML2, else ML1
    feed = "wire PS1:+ to EB1:COM in C1/red\nwire PS1:+ to EB1:COM2 in C1/red\n"
    feed += "wire EB1:NC to ML1:+\nwire EB1:NO2 to ML2:+\n"
    assert carried(drawn(PARTS + feed + BACK)) == {"red": [2.0, 2.0], "black": [2.0, 2.0]}


def test_a_conductor_from_load_to_load_counts_at_its_first_length() -> None:
    feed = "wire PS1:+ to ML1:+ to ML2:+ in C1/red\nwire ML2:- to ML1:- to PS1:- in C1/black\n"
    most = {colour: max(amps) for colour, amps in carried(drawn(PARTS + feed)).items()}
    assert most == {"red": 3.5, "black": 3.5}


def test_a_conductor_that_parts_behind_another_cable() -> None:
    text = PARTS + "cable C2 { conductors 1 of 16 AWG; length 3 ft; colours red }\nterminal-block TB1 { positions 2 }\n"
    feed = "wire PS1:+ to TB1:a1 in C2/red\nwire TB1:b1 to ML1:+ in C1/red\nwire TB1:a2 to ML2:+ in C1/red\n"
    # the two places of the block are bridged on the side of a
    facts = drawn(text + feed + "wire TB1:a1 to TB1:a2\n" + BACK)
    assert carried(facts)["red"] == pytest.approx([3.5, 3.5, 3.5])
