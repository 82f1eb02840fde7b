"""Locks behind many contacts: what holds them, counted by hand, and what one contact carries."""

from __future__ import annotations

import pytest

from plancheck.circuit.facts import NotAssessed
from plancheck.circuit.failures import STUCK, WELDED
from tests.circuit.cones import ladder, parallel, series
from tests.circuit.drawn import drawn, part


@pytest.mark.parametrize(
    ("text", "held"),
    [
        # Mains on and no button pressed: one condition of 2^20.
        (series(19), 1),
        # Mains on and not all 19 pressed.
        (parallel(19), 2**19 - 1),
        # Mains on, of each of nine pairs not both pressed (three ways of four), the last button not pressed.
        (ladder(9, 1), 3**9),
    ],
)
def test_twenty_signals(text: str, held: int) -> None:
    """The conditions in which the lock holds are as many as can be counted beforehand."""
    truth = drawn(text).state("ML1", "secured")
    assert len(truth.space.signals) == 20
    assert truth.yes.bit_count() == held
    assert truth.no.bit_count() == 2**20 - held


@pytest.mark.parametrize("text", [series(19), parallel(19), ladder(9, 1)])
def test_a_million_conditions_are_one_circuit(text: str) -> None:
    """Whatever joins the lock to the supply, it is one lock on one supply: solved once by each model of loads."""
    assert drawn(text).engine.points_solved == 3


@pytest.mark.parametrize(
    ("kind", "contact", "held"),
    [
        # One of a pair never made: its fellow must be, one way of four is lost for good: 2 of 4 times 3^8.
        (STUCK, "EA4.COM-NC", 2 * 3**8),
        # One of a pair always made: all four ways of the pair hold.
        (WELDED, "EA4.COM-NC", 4 * 3**8),
        # The single one never made: nothing holds. Always made: pressed or not, twice as many.
        (STUCK, "EC0.COM-NC", 0),
        (WELDED, "EC0.COM-NC", 2 * 3**9),
    ],
)
def test_a_contact_of_a_ladder_fails(kind: str, contact: str, held: int) -> None:
    """The conditions that are left to hold the lock, counted beforehand."""
    facts = drawn(ladder(9, 1))
    (failure,) = (
        v for v in facts.failures.all if v.failure and (v.failure.kind, v.failure.parts[0]) == (kind, contact)
    )
    truth = facts.state("ML1", "secured", failure)
    assert truth.yes.bit_count() * 2 ** (20 - len(truth.space.signals)) == held
    assert not truth.maybe


def test_the_path_is_by_the_contact_made_in_that_condition() -> None:
    """Of twelve side by side all but one are pressed: current goes by that one."""
    facts = drawn(parallel(12))
    condition = {"PS1.mains": True} | {f"EB{i}.pressed": i != 7 for i in range(12)}
    path = facts.path(part(facts, "ML1.coil"), condition)
    assert path == ("PS1:+", "EB7:COM", "EB7:NC", "ML1:+", "ML1:-", "PS1:-")


def test_a_contact_among_ten_carries_all_when_it_is_alone() -> None:
    """The lock's 240 mA; as one of ten, a tenth."""
    facts = drawn(parallel(10))
    contact = part(facts, "EB3.COM-NC")
    assert facts.greatest_amps(contact)[0] == pytest.approx(0.24, abs=1e-6)
    amps = facts.amps(contact)
    mains_alone = 1 << amps.space.signals.index("PS1.mains")
    assert amps.at(mains_alone) == pytest.approx(0.024, abs=1e-6)


def test_too_many_for_the_current_of_each() -> None:
    """What the lock does is known; what each of nineteen contacts carries is not assessed, with the reason."""
    facts = drawn(parallel(19))
    assert facts.volts(part(facts, "ML1.coil")).space.size == 2**20
    with pytest.raises(NotAssessed, match="more than 2,000 patterns"):
        facts.greatest_amps(part(facts, "EB3.COM-NC"))
