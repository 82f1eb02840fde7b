"""What was said of a text, carried over to what the text has become: at once, before a review has seen it."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import replace
from functools import cached_property

from plancheck.finding import Finding
from plancheck.source import Source, Span
from plancheck.syntax.reread import ReadText


class Carried(ABC):
    """From one state of a text to a later one."""

    def finding(self, found: Finding) -> Finding | None:
        """The finding where its statement stands now; None where that was changed."""
        at = self.span(found.at)
        if at is None:
            return None
        others = ((span, self.span(span)) for span in found.also_at)
        return replace(found, at=at, also_at=tuple(now for _, now in others if now is not None))

    @abstractmethod
    def span(self, at: Span) -> Span | None:
        """A span where it stands now; what is of another text stays."""


class CarriedStatements(Carried):
    """Of a plan: statements that did not change carry what was said of them along."""

    def __init__(self, before: ReadText, now: ReadText) -> None:
        self.before, self.now = before, now

    def span(self, at: Span) -> Span | None:
        """A span where its statement stands now."""
        if at.source is not self.before.source:
            return at
        number = self.before.at(at.start)
        if number < 0:
            return None
        piece, by = self.before.pieces[number], at.start - self.before.starts[number]
        now = self.now.number.get(piece)
        if now is None or by > len(piece.text):
            return None
        start = self.now.starts[now] + by
        return Span(self.now.source, start, min(start + at.end - at.start, len(self.now.source.text)))


class CarriedLines(Carried):
    """Of any text: what stands before all that was changed, or behind it, carries along what was said of it."""

    def __init__(self, before: Source, now: Source) -> None:
        self.before, self.now = before, now

    @cached_property
    def _alike(self) -> tuple[int, int]:
        """How many characters at the start, and how many at the end, are the same."""
        old, new = self.before.text, self.now.text
        ahead = _alike(old, new)
        most = min(len(old), len(new)) - ahead
        return ahead, min(most, _alike(old[::-1], new[::-1]))

    def span(self, at: Span) -> Span | None:
        """A span where its line stands now."""
        if at.source is not self.before:
            return at
        ahead, behind = self._alike
        if at.end <= ahead:
            return Span(self.now, at.start, at.end)
        if at.start >= len(self.before.text) - behind:
            by = len(self.now.text) - len(self.before.text)
            return Span(self.now, at.start + by, at.end + by)
        return None


def _alike(one: str, other: str) -> int:
    """How many characters at the start of two texts are the same."""
    pairs = enumerate(zip(one, other, strict=False))
    return next((i for i, (a, b) in pairs if a != b), min(len(one), len(other)))
