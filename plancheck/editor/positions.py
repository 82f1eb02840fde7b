"""Offsets to positions of the protocol and back: the only place that counts UTF-16 units or bytes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache

from lsprotocol.types import Position, PositionEncodingKind, Range

from plancheck.source import Source, Span

Encoding = PositionEncodingKind | str


class Positions:
    """Positions in the units that were agreed on with the client; unless agreed otherwise, UTF-16 units."""

    def __init__(self, encoding: Encoding = PositionEncodingKind.Utf16) -> None:
        self._width: Callable[[str], int] = _WIDTHS[PositionEncodingKind(encoding)]

    def offset(self, source: Source, at: Position) -> int:
        """The offset of a position: the nearest before it where it is inside a character or behind a line's end."""
        starts = source.line_starts
        if at.line >= len(starts):
            return len(source.text)
        if at.line < 0:
            return 0
        start = starts[at.line]
        line = _line(source, at.line)
        if line.isascii():
            return start + max(0, min(at.character, len(line)))
        left = at.character
        for number, character in enumerate(line):
            left -= self._width(character)
            if left < 0:
                return start + number
        return start + len(line)

    def position(self, source: Source, offset: int) -> Position:
        """The position of an offset; one between the two characters of a line end is that of the line's end."""
        line, column = source.position(max(0, min(offset, len(source.text))))
        before = _line(source, line - 1)[: column - 1]
        return Position(line - 1, len(before) if before.isascii() else sum(map(self._width, before)))

    def range(self, at: Span) -> Range:
        """The range of a span."""
        return Range(self.position(at.source, at.start), self.position(at.source, at.end))

    def length(self, text: str) -> int:
        """How long a stretch of one line is, in the units agreed on."""
        return len(text) if text.isascii() else sum(map(self._width, text))

    def span(self, source: Source, at: Range) -> Span:
        """The span of a range; one that ends before it starts is empty."""
        start = self.offset(source, at.start)
        return Span(source, start, max(start, self.offset(source, at.end)))


def _line(source: Source, number: int) -> str:
    """The text of a line, counted from 0, without its end."""
    starts = source.line_starts
    end = starts[number + 1] if number + 1 < len(starts) else len(source.text)
    return source.text[starts[number] : end].rstrip("\r\n")


def _utf16(character: str) -> int:
    return 2 if character > "\uffff" else 1


@lru_cache(maxsize=4096)
def _utf8(character: str) -> int:
    return len(character.encode("utf-8", "surrogatepass"))


def _utf32(character: str) -> int:
    return 1


_WIDTHS: Mapping[PositionEncodingKind, Callable[[str], int]] = {
    PositionEncodingKind.Utf8: _utf8,
    PositionEncodingKind.Utf16: _utf16,
    PositionEncodingKind.Utf32: _utf32,
}
