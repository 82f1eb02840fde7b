"""Wires: legs of a chain, cables and colours, attributes of their own."""

from __future__ import annotations

import pytest

from plancheck.units import Quantity
from tests.plan.drawn import sound

THINGS = """feed PS1 { output 24 Vdc, 2 A }
magnet ML1 { rated 24 Vdc, 250 mA }
magnet ML2 { rated 24 Vdc, 250 mA }
cable C1 { conductors 2 of 18 AWG; length 85 ft }
"""


def test_a_chain_is_a_wire_for_each_leg() -> None:
    plan = sound(THINGS + "wire PS1:+ to ML1:+\n  to ML2:+ in C1/red")
    first, second = plan.wires
    assert (first.a.key, first.b.key, first.cable, first.colour) == ("PS1:+", "ML1:+", "C1", "red")
    assert (second.a.key, second.b.key, second.cable, second.colour) == ("ML1:+", "ML2:+", "C1", "red")
    assert first.at.text == "PS1:+ to ML1:+"
    assert (second.at.line, second.at.finish) == (5, (6, 11))
    assert second.b.at.text == "ML2:+"


def test_a_jumper_is_in_no_cable() -> None:
    [wire] = sound(THINGS + "wire PS1:+ to ML1:+").wires
    assert (wire.cable, wire.colour, dict(wire.values)) == ("", "", {})


def test_attributes_of_a_wire() -> None:
    [wire] = sound(THINGS + "wire PS1:+ to ML1:+ { size 2.5 mm2; length 10 ft }").wires
    assert wire.values["area"] == Quantity(pytest.approx(2.5e-6), "area", "2.5 mm2")
    assert wire.values["length"] == Quantity(pytest.approx(3.048), "length", "10 ft")


def test_line_ends_tabs_and_form_feeds_make_no_difference() -> None:
    text = THINGS + "wire PS1:+ to ML1:+\n  in C1/red\n"
    for other in (
        text.replace("\n", "\r\n"),
        text.replace("\n", "\r"),
        text.replace(" ", "\t"),
        text.replace(" ", "  \x0c"),
        "\ufeff" + text,
        text.replace(" ", "\xa0"),
    ):
        [wire] = sound(other).wires
        assert (wire.a.key, wire.b.key, wire.cable, wire.colour) == ("PS1:+", "ML1:+", "C1", "red")


def test_names_in_any_script() -> None:
    plan = sound("feed Питание { output 24 Vdc, 2 A }\nmagnet 磁鎖 { rated 24 Vdc, 250 mA }\nwire Питание:+ to 磁鎖:+")
    assert plan.wires[0].b.key == "磁鎖:+"
