"""What was said of a text, carried over to what the text has become: at once, before a review has seen it."""

from __future__ import annotations

from dataclasses import replace

from plancheck.finding import Finding
from plancheck.source import Span
from plancheck.syntax.reread import ReadText


class Carried:
    """From one state of a text to a later one. Statements that did not change carry what was said of them along."""

    def __init__(self, before: ReadText, now: ReadText) -> None:
        self.before, self.now = before, now

    def finding(self, found: Finding) -> Finding | None:
        """The finding where its statement stands now; None where that was changed."""
        at = self.span(found.at)
        if at is None:
            return None
        others = ((span, self.span(span)) for span in found.also_at)
        return replace(found, at=at, also_at=tuple(now for _, now in others if now is not None))

    def span(self, at: Span) -> Span | None:
        """A span where it stands now; what is of another text stays."""
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
