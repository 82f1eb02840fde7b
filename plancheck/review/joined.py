"""What the parts of a plan say, put together as one review of the whole says it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import partial

from plancheck.finding import Finding, Mistake
from plancheck.plan.mistakes import MOST_COMPARISONS, MOST_MISTAKES
from plancheck.plan.model import Variance
from plancheck.plan.partition import Partition
from plancheck.review.moved import Moved, Places
from plancheck.review.part import Names, PlanPart, Surroundings
from plancheck.review.report import in_order, reading_finding
from plancheck.review.review import nothing_drawn, packs_missing
from plancheck.rulebook.judge import Judgement, Named, inventory_of, judge_rest
from plancheck.rulebook.rule import Rulebook
from plancheck.rulebook.things import Gap
from plancheck.source import Source

MOST_DRAWN = 10_000
"""Devices of a plan that is reviewed in parts: near the limits of a plan, it matters what the whole holds."""


class Joined:
    """The parts of a plan, the first with its headers, and where their statements stand now."""

    def __init__(
        self,
        rulebook: Rulebook,
        partition: Partition,
        parts: Sequence[PlanPart],
        places: Places,
        texts: Mapping[str, Source],
    ) -> None:
        self.rulebook, self.partition, self.parts, self.texts = rulebook, partition, parts, texts
        self.places = places
        self._moved: dict[PlanPart, Moved] = {}

    def findings(
        self,
        source: Source,
        told: Sequence[Mistake],
        packs: Collection[str],
        today: date,
        on_progress: Callable[[int, int], None],
    ) -> tuple[Finding, ...] | None:
        """Every finding, in order; `told` are mistakes in reading the texts. None where the whole must be looked at."""
        for i, part in enumerate(self.parts):
            on_progress(i, 2 * len(self.parts))
            if part.asks_names:
                part.know_names(self._names())
        if self._is_near_limits(told):
            return None
        first = self.parts[0]
        mistakes = self._mistakes(told)
        mistakes += map(self.moved(first).mistake, packs_missing(first.plan, packs))
        if not mistakes:
            drawn = any(part.plan.devices for part in self.parts)
            mistakes += map(self.moved(first).mistake, nothing_drawn(first.plan, drawn))
        verdicts = judge_rest(
            self.rulebook, inventory_of(self.rulebook, first.facts), self._judged(on_progress), self._variances(), today
        )
        found = (self.moved(first).finding(finding) for finding in verdicts.findings)
        return in_order([reading_finding(mistake) for mistake in mistakes] + list(found))

    def _is_near_limits(self, told: Sequence[Mistake]) -> bool:
        """Whether limits of the whole plan may have been met: then parts may say too much, or too little."""
        return (
            sum(len(part.plan.devices) for part in self.parts) > MOST_DRAWN
            or sum(part.compared for part in self.parts) > MOST_COMPARISONS
            or len(told) + sum(len(part.mistakes) for part in self.parts) > MOST_MISTAKES
        )

    def moved(self, part: PlanPart) -> Moved:
        """Brings what a part says to where it stands now."""
        found = self._moved.get(part)
        if found is None:
            found = Moved(
                part.statements, (self.places[self.partition.order[piece]] for piece in part.pieces), self.texts
            )
            self._moved[part] = found
        return found

    # --- what parts must know of each other --------------------------------------------------------------------

    def _names(self) -> Names:
        """Names of the whole plan, in its order."""
        declared = self.partition.declared()
        every = [(_declared_at(name, declared), d) for part in self.parts for name, d in part.plan.devices.items()]
        devices = [device for _, device in sorted(every, key=lambda pair: pair[0])]
        found: dict[str, list[str]] = {"device": [device.name for device in devices]}
        for base in ("lock", "cable"):
            found[base] = [device.name for device in devices if device.base == base]
        defined = self.partition.defined()
        found["typical"], found["house device"] = defined["typical"], defined["house device"]
        own = dict.fromkeys(defined["kind"])
        found["kind"] = [*self.parts[0].kinds.by_name, *(k for k in own if k not in self.parts[0].kinds.by_name)]
        return found

    def _judged(self, on_progress: Callable[[int, int], None]) -> Judgement:
        elsewhere = Surroundings(self.parts)
        findings: list[Named] = []
        gaps: dict[Gap, None] = {}
        conditions = 0
        for i, part in enumerate(self.parts):
            done = len(self.parts) + i
            on_progress(done, 2 * len(self.parts))
            on_rule = partial(on_progress, done, 2 * len(self.parts))
            judgement = part.judged(self.rulebook, elsewhere.of(part), i == 0, on_rule)
            conditions += judgement.conditions
            if judgement.findings or judgement.gaps:
                moved = self.moved(part)
                findings += ((moved.finding(finding), names) for finding, names in judgement.findings)
                gaps.update((moved.gap(gap), None) for gap in judgement.gaps)
        return Judgement(findings, list(gaps), conditions)

    # --- what they say, together -------------------------------------------------------------------------------

    def _mistakes(self, told: Sequence[Mistake]) -> list[Mistake]:
        """Mistakes of the texts and of all parts, each place told once: a typical stands in many parts."""
        found: dict[tuple[str, int, int, str], Mistake] = {}
        for mistake in (*told, *self._moved_mistakes()):
            key = (mistake.at.source.name, mistake.at.start, mistake.at.end, mistake.expected)
            found.setdefault(key, mistake)
        return list(found.values())

    def _moved_mistakes(self) -> Iterator[Mistake]:
        for part in self.parts:
            if part.mistakes:
                yield from map(self.moved(part).mistake, part.mistakes)

    def _variances(self) -> list[Variance]:
        """The exceptions that the plan claims, in its order."""
        found: list[Variance] = []
        for part in self.parts:
            if part.plan.variances:
                moved = self.moved(part)
                found += (replace(variance, at=moved.span(variance.at)) for variance in part.plan.variances)
        order = {name: i for i, name in enumerate(self.texts)}
        return sorted(found, key=lambda variance: (order[variance.at.source.name], variance.at.start))


def _declared_at(name: str, declared: Mapping[str, int]) -> int:
    """The number of the statement that puts a device on the plan: that which declares it, or places what holds it."""
    while name not in declared and "/" in name:
        name = name.rpartition("/")[0]
    return declared.get(name, -1)
