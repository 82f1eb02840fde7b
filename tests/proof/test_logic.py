"""Claims about 100 circuits put to a solver of logic and linear arithmetic (Z3), which has its own encoding."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest

from plancheck.circuit.facts import Facts
from tests.circuit.drawn import drawn as facts_of
from tests.circuit.drawn import part
from tests.proof.circuits import Drawing, drawing
from tests.proof.claims import sayings
from tests.proof.logic import Formulas
from tests.proof.outcomes import Outcomes

CIRCUITS, AT_ONCE = 100, 20


def is_plain(drawn: Drawing) -> bool:
    """Whether in every condition relays have one resting state and all coils are on or off: no history, no batteries.

    The formulas know resting states only, not which of them can be reached, and one end of a source's band.
    """
    outcomes = Outcomes(drawn)
    must, _ = outcomes.moves
    one_rest = bool(((must == 0).sum(axis=0) == 1).all())
    return one_rest and not outcomes.unsure and not any("reserve" in s for s in drawn.signals)


@cache
def circuits() -> list[Drawing]:
    """The first so many plain circuits."""

    def search() -> Iterator[Drawing]:
        seed = 2000
        while True:
            drawn = drawing(seed)
            if is_plain(drawn):
                yield drawn
            seed += 1

    found = search()
    return [next(found) for _ in range(CIRCUITS)]


@pytest.mark.parametrize("first", range(0, CIRCUITS, AT_ONCE))
def test_claims_are_decided_alike(first: int) -> None:
    """For each lock: can it ever be energised, or not, at all and with each signal on?"""
    for drawn in circuits()[first : first + AT_ONCE]:
        facts, formulas = facts_of(drawn.text), Formulas(drawn)
        for lock in drawn.secured_when_on:
            decided_alike(drawn, facts, formulas, lock)


def decided_alike(drawn: Drawing, facts: Facts, formulas: Formulas, lock: str) -> None:
    said = sayings(facts.energised(part(facts, f"{lock}.coil")), drawn.signals)
    coil = next(p for p in drawn.parts if p.key == f"{lock}.coil")
    numbers = np.arange(len(said))
    for i, signal in [(-1, ""), *enumerate(drawn.signals)]:
        given = {signal: True} if signal else {}
        within = numbers >> i & 1 > 0 if signal else numbers >= 0
        for energised in (True, False):
            # Less than pull-in is "off or unsure" to the engine.
            claimed = said[:, 0] if energised else said[:, 1] | said[:, 2]
            found = formulas.can_be(coil, energised, given)
            assert (found is not None) == bool((claimed & within).any()), (drawn.seed, lock, signal, energised)
            if found is not None:
                assert claimed[sum(found[s] << j for j, s in enumerate(drawn.signals))], (drawn.seed, lock, found)


def test_relays_are_among_them() -> None:
    """A third of the circuits have relays that rest in one way only."""
    assert sum(bool(drawn.relays) for drawn in circuits()) > CIRCUITS / 3
