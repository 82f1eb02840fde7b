"""Supplies that a single failure shorts or overloads: their other circuits lose volts. Worked by hand."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pytest

from plancheck.circuit.conditions import Truth
from plancheck.circuit.facts import Facts
from plancheck.circuit.replay import truth_at
from plancheck.circuit.variation import Variation
from tests.circuit.drawn import drawn, part

TWO_DOORS = (
    'supply PS1 "24 V" { output 24 Vdc, 2 A }\n'
    + "exit-button EB1 { holds 30 s }\nmagnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"
    + "electric-strike ES1 { rated 24 Vdc, 240 mA; fails secure }\n"
    + "wire PS1:+ to EB1:COM\nwire EB1:NC to ML1:+\nwire ML1:- to PS1:-\n"
    + "exit-button EB2 { holds 30 s }\nwire PS1:+ to EB2:COM\nwire EB2:NO to ES1:+\nwire ES1:- to PS1:-\n"
)
"""A magnet that EB1 lets go, and a strike that EB2 feeds, on one supply."""


def after(facts: Facts, what: str) -> Variation:
    """The failure of that name."""
    return next(v for v in facts.failures.all if v.failure and v.failure.what == what)


def when(truth: Truth, **signals: bool) -> bool | None:
    """The verdict where signals are as told; whatever the others do, it must be the same."""
    told: Mapping[str, bool] = {name.replace("_", "."): on for name, on in signals.items()}
    verdicts = set()
    for index in range(truth.space.size):
        condition = truth.space.condition(index)
        if all(condition.get(name, on) is on for name, on in told.items()):
            verdicts.add(truth_at(truth, condition))
    (verdict,) = verdicts
    return verdict


def test_a_short_at_one_door_lets_go_the_magnet_of_another_and_leaves_the_strike_locked() -> None:
    # EB2:NO to minus: once EB2 is pressed the poles touch, and 24 V at 2 A become nothing.
    facts = drawn(TWO_DOORS)
    short = after(facts, "wire EB2:NO to ES1:+ shorted to PS1:-")
    held, locked = facts.state("ML1", "secured", short), facts.state("ES1", "secured", short)
    assert when(held, PS1_mains=True, EB1_pressed=False, EB2_pressed=False) is True
    assert when(held, PS1_mains=True, EB1_pressed=False, EB2_pressed=True) is False
    assert when(locked, PS1_mains=True, EB2_pressed=True) is True
    volts = facts.volts(part(facts, "ML1.coil"), short)
    pulled_down = volts.space.on("EB2.pressed") & volts.space.on("PS1.mains")
    assert all(math.isnan(v) for _, v in volts.within(pulled_down))


def test_a_short_before_every_contact_takes_the_volts_from_a_strike_elsewhere() -> None:
    # EB1:COM to minus is a short without end: the strike opens no more, whatever is pressed.
    facts = drawn(TWO_DOORS)
    short = after(facts, "wire PS1:+ to EB1:COM shorted to PS1:-")
    assert facts.state("ES1", "secured").no
    secured = facts.state("ES1", "secured", short)
    assert (secured.yes, secured.no) == (secured.space.everything, 0)
    assert short in facts.failures.reaching(["ES1.coil"])


def test_a_protector_of_less_than_half_the_limit_opens_and_leaves_the_others_their_volts() -> None:
    # Twice 500 mA are less than the 2 A that the supply gives into a short behind the fuse.
    fused = TWO_DOORS.replace("wire PS1:+ to EB1:COM\n", "wire PS1:+ to F1:1\nwire F1:2 to EB1:COM\n")
    facts = drawn(fused + "fuse F1 { rated 500 mA }\n")
    secured = facts.state("ES1", "secured", after(facts, "wire F1:2 to EB1:COM shorted to PS1:-"))
    assert when(secured, PS1_mains=True, EB2_pressed=True) is False
    before = facts.state("ES1", "secured", after(facts, "wire PS1:+ to F1:1 shorted to PS1:-"))
    assert when(before, PS1_mains=True, EB2_pressed=True) is True


def test_an_end_of_a_long_run_leaves_volts_that_a_magnet_may_hold_at_and_a_relay_does() -> None:
    # 100 m of 1 mm2 at 40 ohm/km, one way: 4 ohm; 2 A lose 8 V there. A magnet lets go for sure at 25 % (6 V).
    facts = drawn(
        TWO_DOORS
        + "cable C1 { conductors 2 of 1 mm2; length 100 m; resistance 40 ohm/km }\n"
        + "terminal-block TB1 { positions 1 }\nreader RD1 { rated 24 Vdc, 100 mA }\n"
        + "wire PS1:+ to RD1:power+ in C1/red\nwire RD1:power- to PS1:- in C1/black\n"
    )
    short = after(facts, "C1/red (PS1:+ to RD1:power+) shorted to PS1:-")
    held = facts.state("ML1", "secured", short)
    assert when(held, PS1_mains=True, EB1_pressed=False) is None
    assert when(held, PS1_mains=True, EB1_pressed=True) is False


def test_circuits_that_together_ask_for_more_than_there_is_may_lose_volts() -> None:
    # As drawn EB1 takes from ML1 what it gives ML2: never both, 1.5 A of 2. EB1:NC welded: 3 A of 2 when pressed.
    facts = drawn(
        'supply PS1 "24 V" { output 24 Vdc, 2 A }\nexit-button EB1 { holds 30 s }\n'
        + "magnetic-lock ML1 { rated 24 Vdc, 1.5 A }\nmagnetic-lock ML2 { rated 24 Vdc, 1.5 A }\n"
        + "wire PS1:+ to EB1:COM\nwire EB1:NC to ML1:+\nwire ML1:- to PS1:-\n"
        + "wire PS1:+ to EB1:COM2\nwire EB1:NO2 to ML2:+\nwire ML2:- to PS1:-\n"
    )
    assert when(facts.state("ML2", "secured"), PS1_mains=True, EB1_pressed=True) is True
    welded = after(facts, "EB1:COM–NC welded")
    assert when(facts.state("ML2", "secured", welded), PS1_mains=True, EB1_pressed=True) is None
    assert when(facts.state("ML2", "secured", welded), PS1_mains=True, EB1_pressed=False) is False


RELAY_RELEASE = (
    'supply PS1 "24 V" { output 24 Vdc, 2 A }\nfire-alarm-relay FA1 { held in }\n'
    + "relay K1 { coil 24 Vdc, 20 mA; poles 2 }\nmagnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"
    + "wire PS1:+ to FA1:COM\nwire FA1:NO to K1:A1\nwire K1:A2 to PS1:-\n"
    + "wire PS1:+ to K1:COM1\nwire K1:NO1 to ML1:+\nwire ML1:- to PS1:-\n"
)


def test_a_relay_whose_contact_shorts_its_own_supply_may_stand_either_way() -> None:
    # K1 in: its NO joins the poles, K1 loses its volts, the short is gone, K1 pulls in: nobody knows.
    facts = drawn(RELAY_RELEASE)
    short = after(facts, "wire K1:NO1 to ML1:+ shorted to PS1:-")
    coil = facts.energised(part(facts, "K1.coil"), short)
    assert when(coil, PS1_mains=True, panel=True, alarm=False) is None
    assert when(coil, PS1_mains=True, panel=True, alarm=True) is False
    assert when(facts.state("ML1", "secured", short), PS1_mains=True, alarm=True) is False


def test_a_relay_on_a_shorted_supply_drops_its_contact_in_the_feed_of_another() -> None:
    # K1's coil on PS1, its NC in a lock's feed from PS2: PS1 shorted, K1 out, the lock held whatever the button says.
    facts = drawn(
        'supply PS1 "24 V" { output 24 Vdc, 2 A }\nsupply PS2 "24 V" { output 24 Vdc, 2 A }\n'
        + "exit-button EB1 { holds 30 s }\nrelay K1 { coil 24 Vdc, 20 mA }\nreader RD1 { rated 24 Vdc, 80 mA }\n"
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"
        + "wire PS1:+ to EB1:COM\nwire EB1:NO to K1:A1\nwire K1:A2 to PS1:-\n"
        + "wire PS1:+ to RD1:power+\nwire RD1:power- to PS1:-\n"
        + "wire PS2:+ to K1:COM\nwire K1:NC to ML1:+\nwire ML1:- to PS2:-\n"
    )
    pressed = {"PS1_mains": True, "PS2_mains": True, "EB1_pressed": True}
    assert when(facts.state("ML1", "secured"), **pressed) is False
    short = after(facts, "wire PS1:+ to RD1:power+ shorted to PS1:-")
    assert when(facts.state("ML1", "secured", short), **pressed) is True
    assert short in facts.failures.reaching(["ML1.coil"])


def test_two_supplies_that_a_cable_joins_feed_each_other() -> None:
    # Conductors of two supplies touch in a cable, minus joined: with PS1 dead, PS2 holds what hangs on PS1.
    facts = drawn(
        'supply PS1 "24 V" { output 24 Vdc, 2 A }\nsupply PS2 "24 V" { output 24 Vdc, 2 A }\n'
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\nmagnetic-lock ML2 { rated 24 Vdc, 240 mA }\n"
        + "magnetic-lock ML3 { rated 24 Vdc, 240 mA }\ncable C1 { conductors 2 of 1.5 mm2; length 10 m }\n"
        + "wire PS1:+ to ML1:+ in C1/red\nwire PS2:+ to ML2:+ in C1/black\nwire ML1:- to PS1:- to PS2:-\n"
        + "wire ML2:- to PS2:-\nwire PS1:+ to ML3:+\nwire ML3:- to PS1:-\n"
    )
    touching = next(v for v in facts.failures.all if v.failure and v.failure.kind == "conductors shorted")
    assert when(facts.state("ML1", "secured", touching), PS1_mains=False, PS2_mains=True) is True
    assert when(facts.state("ML3", "secured"), PS1_mains=False) is False
    assert when(facts.state("ML3", "secured", touching), PS1_mains=False, PS2_mains=True) is True
    assert when(facts.state("ML3", "secured", touching), PS1_mains=False, PS2_mains=False) is False


@pytest.mark.parametrize("text", [TWO_DOORS, RELAY_RELEASE])
def test_alone_a_failure_does_what_it_does_among_all(text: str) -> None:
    among, alone = drawn(text), drawn(text)
    for failed in among.failures.all:
        for lock in among.plan.with_base("lock"):
            one, other = among.state(lock.name, "secured", failed), alone.state(lock.name, "secured", failed)
            space = one.space.joined(other.space)
            assert one.over(space) == other.over(space), (failed, lock.name)
