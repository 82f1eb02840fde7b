"""Spans of texts as they stood, brought to where the same statements stand now."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from plancheck.finding import Finding, Mistake
from plancheck.plan.include import Run
from plancheck.rulebook.things import Gap
from plancheck.source import Source, Span
from plancheck.syntax.nodes import Statement
from plancheck.syntax.reread import ReadText

Place = tuple[Source, int]
"""A text, and where in it a statement starts."""


class Places:
    """Where the statements of a plan stand, by their number in it."""

    def __init__(self, runs: Iterable[Run[ReadText]]) -> None:
        self._runs: list[Run[ReadText]] = []
        self._firsts: list[int] = []
        count = 0
        for text, start, end in runs:
            self._runs.append((text, start, end))
            self._firsts.append(count)
            count += end - start

    def __getitem__(self, number: int) -> Place:
        run = bisect_right(self._firsts, number) - 1
        text, start, _ = self._runs[run]
        return text.source, text.starts[start + number - self._firsts[run]]


class Moved:
    """Where each of some statements stands now. What stands in none of them, such as a kind's own text, stays."""

    def __init__(self, before: Sequence[Statement], now: Iterable[Place], texts: Mapping[str, Source]) -> None:
        self.texts = texts
        self._starts: dict[str, list[int]] = {}
        self._places: dict[str, list[Place]] = {}
        for statement, place in sorted(zip(before, now, strict=True), key=lambda pair: pair[0].offset):
            self._starts.setdefault(statement.source.name, []).append(statement.offset)
            self._places.setdefault(statement.source.name, []).append(place)

    def span(self, at: Span) -> Span:
        """A span as it stands now."""
        name = at.source.name
        now = self.texts.get(name)
        if now is None or at.source is now:
            return at  # of no text of the plan, or brought there already
        starts = self._starts.get(name, ())
        number = bisect_right(starts, at.start) - 1
        if number < 0:
            return Span(now, min(at.start, len(now.text)), min(at.end, len(now.text)))
        source, start = self._places[name][number]
        by = start - starts[number]
        return Span(source, at.start + by, at.end + by)

    def finding(self, found: Finding) -> Finding:
        """A finding, its places as they stand now."""
        return replace(found, at=self.span(found.at), also_at=tuple(map(self.span, found.also_at)))

    def mistake(self, mistake: Mistake) -> Mistake:
        """A mistake, its places as they stand now."""
        return replace(mistake, at=self.span(mistake.at), also_at=tuple(map(self.span, mistake.also_at)))

    def gap(self, gap: Gap) -> Gap:
        """A gap, its place as it stands now."""
        return replace(gap, at=self.span(gap.at))
