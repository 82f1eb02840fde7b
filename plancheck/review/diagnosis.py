"""Readings held against the plan as drawn, and what single failure or exchange of two wires would explain them.

What explains is tried, not guessed: each failure, and each exchange, is worked out and read where the readings were
taken. Those that predict the same cannot be told apart by these readings.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.plan.model import Plan
from plancheck.review.explaining import (
    Band,
    Candidate,
    NextReading,
    Prediction,
    Read,
    exchanged,
    failed,
    near,
    next_reading,
    ranked_by,
    spread_of,
)

MOST_EXCHANGES = 300
"""Exchanges of two wires that are tried; where there are more, that is told."""

LISTED = 8
"""Explanations that are told."""

RIVALS = 4
"""Explanations that are told apart by a further reading, where they explain as many."""


@dataclass(frozen=True, slots=True)
class Checked:
    """A reading beside what was expected; `why` where that could not be worked out."""

    read: Read
    expected: Band | None
    within: bool
    why: str = ""


@dataclass(frozen=True, slots=True)
class Explanation:
    """Something that would explain readings: how many of them, by how many volts it misses the others together.

    `alike` are others that predict the same at every reading.
    """

    what: str
    explained: int
    misfit: float
    alike: tuple[str, ...] = ()


@dataclass(frozen=True)
class Diagnosis:
    """What came of readings. `as_drawn` tells how many the plan itself explains."""

    plan: Plan
    checked: tuple[Checked, ...]
    explanations: tuple[Explanation, ...] = ()
    next_reading: NextReading | None = None
    tried: int = 0
    left_out: int = 0

    @property
    def as_drawn(self) -> int:
        """How many readings are as the plan, as drawn, has them."""
        return sum(each.within for each in self.checked)

    @property
    def outside(self) -> tuple[Checked, ...]:
        """The readings that are not."""
        return tuple(each for each in self.checked if not each.within and not each.why)

    @property
    def not_assessed(self) -> tuple[Checked, ...]:
        """Those of which nothing could be said."""
        return tuple(each for each in self.checked if each.why)


def diagnosis(facts: Facts, readings: Sequence[Read]) -> Diagnosis:
    """Hold readings against a plan, and look for what explains them."""
    checked = tuple(_checked(facts, readings))
    outside = [each.read for each in checked if not each.within and not each.why]
    if not outside:
        return Diagnosis(facts.plan, checked)
    told = [each.read for each in checked if not each.why]
    part = Facts(near(facts, told))
    exchanges = exchanged(part.plan, outside)
    candidates = list(failed(part))
    candidates += [Candidate(what, Facts(plan)) for what, plan in exchanges[:MOST_EXCHANGES]]
    as_drawn = sum(each.within for each in checked)
    ranked = [(c, p) for c, p in ranked_by(told, candidates, spread_of(part)) if p.explained > as_drawn]
    groups = _groups(ranked)
    following = None
    if groups:
        alike = [candidate for candidate, _ in groups[0]]
        best = [g[0][0] for g in groups[:RIVALS] if g[0][1].explained == groups[0][0][1].explained]
        among = alike if len(alike) > 1 else best
        following = next_reading(part, outside, among) if len(among) > 1 else None
    return Diagnosis(
        facts.plan,
        checked,
        tuple(_explanation(group) for group in groups[:LISTED]),
        following,
        len(candidates),
        max(0, len(exchanges) - MOST_EXCHANGES),
    )


def _checked(facts: Facts, readings: Sequence[Read]) -> Iterator[Checked]:
    drawn = Candidate("as drawn", facts)
    for read in readings:
        try:
            band = drawn.band(read)
        except NotAssessed as why:
            yield Checked(read, None, False, str(why))
            continue
        yield Checked(read, band, band.misses(read.volts) == 0)


def _groups(ranked: Sequence[tuple[Candidate, Prediction]]) -> list[list[tuple[Candidate, Prediction]]]:
    """Candidates that predict the same together, in the order of the first of each."""
    groups: dict[tuple[float | None, ...], list[tuple[Candidate, Prediction]]] = {}
    for candidate, prediction in ranked:
        groups.setdefault(prediction.told, []).append((candidate, prediction))
    return list(groups.values())


def _explanation(group: Sequence[tuple[Candidate, Prediction]]) -> Explanation:
    (first, prediction), *others = group
    return Explanation(
        first.what, prediction.explained, prediction.misfit, tuple(candidate.what for candidate, _ in others)
    )
