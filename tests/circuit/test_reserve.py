"""What is drawn from batteries, and how they are wired to one another: sums worked out by hand."""

from __future__ import annotations

import pytest

from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.reserve import amps_on_reserve, sources_on_reserve, string_volts
from tests.circuit.drawn import drawn, part

# On standby 420 mA, on alarm 3.38 A more: the currents of a printed example (a guide to NFPA 72).
GUIDE = """
supply PS1 { output 24 Vdc, 5 A; battery 18 Ah }
fire-alarm-relay FA1 { contacts 5 A at 30 Vdc }
magnetic-lock ML1 { rated 24 Vdc, 420 mA; suppression built in }
electric-bolt BT1 { rated 24 Vdc, 3.38 A; fails secure; suppression built in }
wire PS1:+ to ML1:+ to FA1:COM
wire FA1:NO to BT1:+
wire ML1:- to BT1:- to PS1:-
"""
READER = """
supply PS1 { output 24 Vdc, 2 A; battery 7 Ah }
reader RD1 { rated 24 Vdc, 80 mA; contacts 2 A at 30 Vdc }
electric-strike ES1 { rated 24 Vdc, 225 mA; fails secure; suppression built in }
key-switch KS1 { action maintained; contacts 2 A at 30 Vdc }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
wire PS1:+ to RD1:power+ to RD1:COM to KS1:COM
wire RD1:NO to ES1:+
wire KS1:NC to ML1:+
wire ES1:- to RD1:power- to ML1:- to PS1:-
"""


def amps(facts: Facts, device: str, *, alarm: bool = False, asking: bool = True) -> float:
    return amps_on_reserve(facts, device, alarm=alarm, asking=asking)


def test_standby_and_alarm_apart() -> None:
    facts = drawn(GUIDE)
    assert amps(facts, "PS1") == pytest.approx(0.42)
    assert amps(facts, "PS1", alarm=True) == pytest.approx(3.8)


def test_with_nobody_at_the_door_the_strike_draws_nothing() -> None:
    # Together at most 80 + 225 + 250 mA. Nobody asking: the reader and the magnet, 330 mA.
    facts = drawn(READER)
    assert amps(facts, "PS1") == pytest.approx(0.555)
    assert amps(facts, "PS1", asking=False) == pytest.approx(0.33)


def test_what_another_supply_feeds_is_not_drawn_from_this_battery() -> None:
    facts = drawn(
        READER
        + """
        supply PS2 { output 24 Vdc, 2 A }
        magnetic-lock ML2 { rated 24 Vdc, 500 mA; suppression built in }
        wire PS2:+ to ML2:+
        wire PS2:- to ML2:-
        """
    )
    assert amps(facts, "PS1", asking=False) == pytest.approx(0.33)
    assert sources_on_reserve(facts, "PS2") == []


def test_a_shared_alarm_decides_over_all_circuits_alike() -> None:
    # FA1 drops the magnet (250 mA) and lets the strike in (400 mA): never both.
    facts = drawn(
        """
        supply PS1 { output 24 Vdc, 2 A; battery 7 Ah }
        fire-alarm-relay FA1 { poles 2; contacts 5 A at 30 Vdc }
        magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
        electric-strike ES1 { rated 24 Vdc, 400 mA; fails secure; suppression built in }
        wire PS1:+ to FA1:COM1 to FA1:COM2
        wire FA1:NC1 to ML1:+
        wire FA1:NO2 to ES1:+
        wire ML1:- to ES1:- to PS1:-
        """
    )
    assert amps(facts, "PS1") == pytest.approx(0.25)
    assert amps(facts, "PS1", alarm=True) == pytest.approx(0.4)


def test_batteries_side_by_side_share_and_in_a_string_carry_the_same() -> None:
    strike = "electric-strike ES1 { rated 24 Vdc, 240 mA; fails secure; suppression built in }\n"
    pair = "battery B1 { rated 24 Vdc, 7 Ah }\nbattery B2 { rated 24 Vdc, 7 Ah }\n"
    side = drawn(strike + pair + "wire B1:+ to B2:+ to ES1:+\nwire ES1:- to B1:- to B2:-")
    assert amps(side, "B1") == pytest.approx(0.12)
    string = drawn(strike + pair.replace("24", "12") + "wire B2:+ to ES1:+\nwire B1:+ to B2:-\nwire ES1:- to B1:-")
    assert amps(string, "B1") == pytest.approx(0.24)
    assert amps(string, "B2") == pytest.approx(0.24)


# --- strings -----------------------------------------------------------------------------------------------


def across(wires: str, count: int = 2, volts: int = 12) -> float | None:
    """Volts of the batteries that stand across PS1."""
    batteries = "".join(f"battery B{i + 1} {{ rated {volts} Vdc, 7 Ah }}\n" for i in range(count))
    facts = drawn("supply PS1 { output 24 Vdc, 2 A }\nfuse F1 { rated 5 A }\n" + batteries + wires)
    return string_volts(facts, part(facts, "PS1.main"))


@pytest.mark.parametrize(
    ("wires", "volts"),
    [
        ("wire PS1:- to B1:-\nwire B1:+ to B2:-\nwire B2:+ to F1:1\nwire F1:2 to PS1:+", 24.0),
        ("wire PS1:- to B1:- to B2:-\nwire B1:+ to B2:+ to PS1:+", 12.0),
        ("wire PS1:- to B1:-\nwire B1:+ to B2:+\nwire B2:- to PS1:+", 0.0),
        ("wire PS1:- to B1:+\nwire B1:- to B2:+\nwire B2:- to PS1:+", -24.0),
        ("wire PS1:- to B1:-\nwire B1:+ to B2:-", None),
    ],
    ids=["string", "side by side", "against each other", "reversed", "open"],
)
def test_batteries_across_a_supply(wires: str, volts: float | None) -> None:
    assert across(wires) == volts


def test_of_two_strings_the_one_further_off_is_told() -> None:
    wires = "wire PS1:- to B1:- to B3:-\nwire B1:+ to B2:-\nwire B2:+ to B3:+ to PS1:+"
    assert across(wires, 3) == 12.0


def test_a_battery_has_none_across_itself() -> None:
    facts = drawn("battery B1 { rated 24 Vdc, 7 Ah }\nbattery B2 { rated 24 Vdc, 7 Ah }\nwire B1:+ to B2:+")
    assert string_volts(facts, part(facts, "B1.cells")) is None


def test_more_strings_than_can_be_followed_are_not_assessed() -> None:
    # 14 steps, at each of them a battery of 1 V beside one of 2 V: 2^14 ways, of which none may be left out.
    levels = 14
    ends = ["PS1:-", *(f"A{i}:+" for i in range(levels - 1)), "PS1:+"]
    text = "supply PS1 { output 24 Vdc, 2 A }\n"
    for i in range(levels):
        text += f"battery A{i} {{ rated 1 Vdc, 7 Ah }}\nbattery C{i} {{ rated 2 Vdc, 7 Ah }}\n"
        text += f"wire {ends[i]} to A{i}:-\nwire {ends[i]} to C{i}:-\nwire A{i}:+ to C{i}:+\n"
    text += f"wire A{levels - 1}:+ to PS1:+\n"
    facts = drawn(text)
    with pytest.raises(NotAssessed, match="too many batteries"):
        string_volts(facts, part(facts, "PS1.main"))
