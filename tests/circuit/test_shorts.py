"""Shorts and dead islands: small plans worked by hand."""

from __future__ import annotations

import pytest

from tests.circuit.drawn import drawn, when


def test_a_short_past_a_shared_contact_is_felt_by_the_other_door_behind_it() -> None:
    """Worked by hand: on alarm FA1 cuts both magnets. Red (behind F1) touching white (the plus of the sensor) feeds
    ML1, and round F1 the node behind FA1, and so ML2: ML2 is no longer surely let go. Red touching black does not."""
    facts = drawn(
        'plan "Two doors behind one relay"\nsupply PS1 { output 24 Vdc, 5 A }\nfire-alarm-relay FA1 { poles 1 }\n'
        "exit-sensor XS1 { rated 24 Vdc, 35 mA }\nmagnetic-lock ML1 { rated 24 Vdc, 250 mA }\n"
        "magnetic-lock ML2 { rated 24 Vdc, 250 mA }\nfuse F1 { rated 1 A }\n"
        "cable C1 { conductors 3 of 1.5 mm2; length 30 m; solid; colours red, black, white }\n"
        "wire PS1:+ to FA1:COM\nwire FA1:NC to F1:1\nwire F1:2 to ML1:+ in C1/red\nwire ML1:- to PS1:- in C1/black\n"
        "wire FA1:NC to ML2:+\nwire ML2:- to PS1:-\nwire PS1:+ to XS1:power+ in C1/white\nwire XS1:power- to PS1:-\n"
    )
    after = {v.failure.what: v for v in facts.failures.all if v.failure is not None}
    fed = after["C1/red (F1:2 to ML1:+) and C1/white (PS1:+ to XS1:power+) touch"]
    alarm = {"PS1_mains": True, "alarm": True}
    assert when(facts.state("ML2", "secured"), **alarm) is False
    assert when(facts.state("ML2", "secured", fed), **alarm) is None
    assert fed in facts.failures.reaching(["ML2.coil"])
    dead = after["C1/red (F1:2 to ML1:+) and C1/black (ML1:- to PS1:-) touch"]
    assert when(facts.state("ML2", "secured", dead), **alarm) is False


def test_electronics_on_a_dead_island_are_off_and_nothing_on_it_is_in_doubt() -> None:
    """By hand: FA1 open and PS2 dead, nothing feeds T2 and ML1, which hang on PS1's minus by one wire alone."""
    facts = drawn(
        'plan "An island"\nsupply PS1 { output 24 Vdc, 2 A }\nsupply PS2 { output 24 Vdc, 2 A }\n'
        "fire-alarm-relay FA1 { contacts 2 A at 30 Vdc }\nreader RD1 { rated 24 Vdc, 80 mA }\n"
        "magnetic-lock ML1 { rated 24 Vdc, 300 mA; drop-out 6 V }\nexit-sensor XS1 { rated 24 Vdc, 35 mA }\n"
        "wire PS1:+ to FA1:COM\nwire PS1:- to PS2:-\nwire PS2:+ to FA1:NC\nwire FA1:NC to RD1:power+ to ML1:+\n"
        "wire ML1:- to RD1:power- to PS2:-\nwire PS1:+ to XS1:power+\nwire XS1:power- to PS1:-\n"
    )
    held = facts.state("ML1", "secured")
    assert held.maybe == 0
    assert when(held, PS1_mains=True, PS2_mains=False, alarm=True) is False
    assert when(held, PS1_mains=True, PS2_mains=False, alarm=False) is True


@pytest.mark.parametrize("wire", ["PS1:- to PS2:- shorted to PS1:+", "PS1:- to PS2:- shorted to PS2:+",
                                  "PS1:+ to PS2:+ shorted to PS1:-", "PS1:+ to PS2:+ shorted to PS2:-"])  # fmt: skip
def test_a_dead_short_of_paralleled_supplies_is_one_whichever_poles_are_named(wire: str) -> None:
    """By hand: plus and minus of both are two nodes, joined; the lock between them has no volts."""
    facts = drawn(
        'plan "Paralleled"\nsupply PS1 { output 24 Vdc, 2 A }\nsupply PS2 { output 24 Vdc, 2 A }\n'
        "exit-button EB1 { contacts 3 A at 30 Vdc }\nmagnetic-lock ML1 { rated 24 Vdc, 250 mA; drop-out 6 V }\n"
        "wire PS1:- to PS2:-\nwire PS1:+ to PS2:+\nwire PS1:+ to EB1:COM\nwire EB1:NC to ML1:+\nwire ML1:- to PS1:-\n"
    )
    assert facts.state("ML1", "secured").yes
    shorted = next(v for v in facts.failures.all if v.failure and v.failure.what == f"wire {wire}")
    held = facts.state("ML1", "secured", shorted)
    assert held.no == held.space.everything


def test_a_short_between_a_lock_and_two_circuits_that_both_decide_over_it() -> None:
    """By hand: red touches white, which feeds reader and sensor. The magnet is then fed past FA1 and RX1; the button
    still cuts it, and so does the sensor, whose relay the same wire feeds. The lock asks both, and both share it."""
    facts = drawn(
        'plan "One lock, two that decide"\nsupply PS1 { output 24 Vdc, 5 A }\nfire-alarm-relay FA1 { held in }\n'
        "radio-receiver RX1 { channels 1; rated 24 Vdc, 45 mA }\nexit-sensor XS1 { rated 24 Vdc, 35 mA }\n"
        "exit-button EB1 { holds 30 s }\nmagnetic-lock ML1 { rated 24 Vdc, 250 mA }\n"
        "terminal-block TB1 { positions 1 }\n"
        "cable C1 { conductors 3 of 1.5 mm2; length 30 m; solid; colours red, black, white }\n"
        "wire PS1:+ to FA1:COM\nwire FA1:NO to RX1:COM\nwire RX1:NC to EB1:COM in C1/red\nwire EB1:NC to XS1:COM\n"
        "wire XS1:NO to ML1:+\nwire ML1:- to PS1:- in C1/black\nwire PS1:+ to TB1:a\nwire TB1:a to RX1:power+\n"
        "wire TB1:a to XS1:power+ in C1/white\nwire XS1:power- to PS1:-\nwire RX1:power- to PS1:-\n"
    )
    names = [v.failure.what for v in facts.failures.all if v.failure is not None]
    touching = "C1/red (RX1:NC to EB1:COM) and C1/white (TB1:a to XS1:power+) touch"
    fed = facts.failures.all[names.index(touching)]
    held = facts.state("ML1", "secured", fed)
    rest = dict.fromkeys(held.space.signals, False) | {"PS1_mains": True}
    assert when(facts.state("ML1", "secured"), **rest | {"alarm": True}) is False
    assert when(held, **rest | {"alarm": True}) is True
    assert when(held, **rest | {"EB1_pressed": True}) is False
    assert when(held, **rest | {"XS1_motion": True}) is False
