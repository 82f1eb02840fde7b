"""Protectors that open on a short: what stays is told, by hand."""

from __future__ import annotations

import pytest

from plancheck.circuit.facts import Facts
from plancheck.circuit.replay import level_at, truth_at
from plancheck.circuit.variation import Variation
from tests.review.planned import reviewed

# A lamp behind a fuse of 1 A, and a lock without one, in one cable: the lamp's feed may touch the lock's return.
PLAN = """
supply PS1 {{ output 24 Vdc, 4 A }}
fuse F1 {{ rated {fuse} }}
magnetic-lock ML1 {{ rated 24 Vdc, 250 mA }}
indicator L1 {{ rated 24 Vdc, 150 mA }}
cable C1 {{ conductors 4 of 18 AWG; length 100 ft }}
wire PS1:+ to ML1:+ in C1/red
wire ML1:- to PS1:- in C1/black
wire PS1:+ to F1:1
wire F1:2 to L1:+ in C1/white
wire L1:- to PS1:- in C1/green
"""


ON = {"PS1.mains": True}


def _touching(fuse: str) -> tuple[Facts, Variation]:
    facts = reviewed(PLAN.format(fuse=fuse)).facts
    wanted = "C1/black (ML1:- to PS1:-) and C1/white (F1:2 to L1:+) touch"
    return facts, next(v for v in facts.failures.all if v.failure and v.failure.what == wanted)


def _lock(facts: Facts, failed: Variation) -> tuple[bool | None, float]:
    (coil,) = facts.branches("load", "ML1")
    return truth_at(facts.energised(coil, failed), ON), abs(level_at(facts.volts(coil, failed), ON))


def test_the_lock_is_held_again_when_the_fuse_has_opened() -> None:
    """The touch lays 24 V on F1 and one conductor of the return: the supply's 4 A, more than twice the fuse's 1 A.

    Then the lock has 24 V less 0.25 A through twice 0.65 ohm again: 23.68 V.
    """
    facts, failed = _touching("1 A")
    held, volts = _lock(facts, failed)
    assert held is True
    assert volts == pytest.approx(23.68, abs=0.02)
    (lamp,) = facts.branches("load", "L1")
    assert truth_at(facts.energised(lamp, failed), ON) is False


def test_a_fuse_that_the_supply_cannot_open_leaves_the_short() -> None:
    """A fuse of 3 A never carries 6 A of a supply of 4 A: the lock's return stays lifted to what the supply holds."""
    facts, failed = _touching("3 A")
    held, _ = _lock(facts, failed)
    assert held is False


def test_as_drawn_nothing_opens() -> None:
    facts, _ = _touching("100 mA")
    (lamp,) = facts.branches("load", "L1")
    assert truth_at(facts.energised(lamp), ON) is True
