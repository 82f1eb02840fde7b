"""Every property of 500 circuits against solving them condition by condition, as drawn and with one thing failed."""

from __future__ import annotations

from random import Random

import pytest

from plancheck.circuit.variation import Variation
from tests.circuit.drawn import drawn as facts_of
from tests.proof.circuits import Drawing, drawing
from tests.proof.claims import differences, failed, single_failures
from tests.proof.outcomes import Outcomes

CIRCUITS, AT_ONCE, FAILURES = 500, 50, 3


@pytest.mark.parametrize("first", range(0, CIRCUITS, AT_ONCE))
def test_locks_and_relays_of_generated_circuits(first: int) -> None:
    for seed in range(first, first + AT_ONCE):
        agrees(drawing(seed))


def agrees(drawn: Drawing) -> None:
    """Fail unless engine and brute force say the same of a circuit, with and without failures."""
    facts, single = facts_of(drawn.text), single_failures(drawn)
    assert not differences(drawn, facts, Outcomes(drawn)), drawn.text
    for failure in Random(drawn.seed).sample(single, min(FAILURES, len(single))):
        variation = Variation(failure=failure)
        wrong = differences(drawn, facts, Outcomes(drawn, failed(variation)), variation)
        assert not wrong, (len(wrong), wrong[0], drawn.text)


WEAK = 1.0
"""Amperes of a supply that a short of anything on it takes down."""


@pytest.mark.parametrize("first", range(0, 100, 25))
def test_what_a_short_does_to_everything_else_on_its_supply(first: int) -> None:
    """Nothing is certain that is not so, of circuits with next to no reserve and every kind of short.

    The supply is taken in circuits, not in one piece: less certain than need be is allowed.
    """
    judged = 0
    for seed in range(first, first + 25):
        drawn = drawing(seed, WEAK)
        facts = facts_of(drawn.text)
        shorts = [v for v in facts.failures.all if v.failure is not None and v.failure.joined is not None]
        for variation in Random(seed).sample(shorts, min(2 * FAILURES, len(shorts))):
            outcomes = Outcomes(drawn, failed(variation))
            wrong = [d for d in differences(drawn, facts, outcomes, variation) if d.proved]
            assert not wrong, (len(wrong), wrong[0], drawn.text)
            judged += 1
    assert judged > 75


@pytest.mark.parametrize("seed", range(0, 40))
def test_failures_that_the_engine_lists_itself(seed: int) -> None:
    """Each single failure that the tests know is listed, and judged in bulk as it is judged alone."""
    drawn = drawing(1000 + seed)
    facts, alone = facts_of(drawn.text), facts_of(drawn.text)
    listed = {(v.failure.kind, v.failure.parts): v for v in facts.failures.all if v.failure}
    for failure in single_failures(drawn):
        in_bulk = listed[failure.kind, failure.parts]
        for lock in drawn.secured_when_on:
            bulk, single = (
                facts.state(lock, "secured", in_bulk),
                alone.state(lock, "secured", Variation(failure=failure)),
            )
            space = bulk.space.joined(single.space)
            one, other = bulk.over(space), single.over(space)
            assert (one.yes, one.no) == (other.yes, other.no), (seed, failure.what, lock)
