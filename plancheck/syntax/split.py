"""A text split into top-level statements, before any grammar sees it.

A statement begins on its own line and lasts until its braces close and no line goes on with it. Strings and
comments hide braces. Where a brace stays open, a line at column 1 that begins like a top-level statement ends
it, so that one forgotten brace costs one statement and not the rest of the file.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

BLANKS = " \t\f\v\xa0\u1680\u2000-\u200a\u202f\u205f\u3000\ufeff"
_BLANK = re.compile(f"[{BLANKS}]*")
_EMPTY_LINES = re.compile(rf"(?:[{BLANKS}]*(?:#[^\r\n]*)?(?:\r\n?|\n))*[{BLANKS}]*")
_LINE = re.compile(r"[^\r\n]*")
_GOES_ON = re.compile(rf"(?:to|in)(?![^{BLANKS}\r\n\"{{}}#])|{{")
_NAME = r"[^\W\d_][^\s\"{};,:#]*"
_BEGINS = re.compile(
    r"(?:plan|revision|jurisdiction|edition|adopt|ambient|use|device|typical|place|variance|wire|cable|door|gate|kind)"
    rf"(?![^{BLANKS}\r\n\"{{}}#])"
    rf"|(?:{_NAME}|\"[^\"\r\n]*\")[{BLANKS}]+{_NAME}[^\r\n]*{{"
)
# A string, a string never closed, a comment (a `#` right behind a name is part of it), a brace, a separator.
_SEPARATORS = frozenset((";", "\r\n", "\n", "\r"))
_PIECE = re.compile(r'"[^"\r\n]*"|"[^\r\n]*|(?<![\w+\-~./])#[^\r\n]*|[{};]|\r\n?|\n')


@dataclass(frozen=True, slots=True)
class Chunk:
    """A statement's stretch of the text. `unclosed` holds the offsets of braces that never close, outermost first."""

    start: int
    end: int
    unclosed: tuple[int, ...] = ()


def split(text: str) -> list[Chunk]:
    """Every top-level statement, in order."""
    return list(Splitting(text).chunks())


class Splitting:
    """One text on its way to be split, from its beginning or from where a statement begins."""

    def __init__(self, text: str, balances: Callable[[], bool] | None = None) -> None:
        self.text = text
        self._balances = balances or (lambda: not depth_of(text, 0, len(text)).unmatched)
        self.balanced: bool | None = None
        """Whether every brace of the text has its other: then no block was left open, however the lines stand. None
        where nothing hung on it."""
        self.next = -1
        """Where the statement behind the last chunk begins."""

    def chunks(self, start: int = 0) -> Iterator[Chunk]:
        """The statements from `start` on."""
        text = self.text
        braces: list[int] = []
        begin = end = -1
        for line_start, first, line_end in _lines(text, start):
            if begin >= 0 and braces and first == line_start and _BEGINS.match(text, first):
                ends = not self._is_balanced()
            else:
                ends = not braces and not _GOES_ON.match(text, first)
            if begin >= 0 and ends:
                self.next = first
                yield Chunk(begin, end, tuple(braces))
                braces.clear()
            if begin < 0 or ends:
                begin = first
            end = line_end
            if text.find("{", first, line_end) >= 0 or text.find("}", first, line_end) >= 0:
                _count(text, first, line_end, braces)
        self.next = len(text)
        if begin >= 0:
            yield Chunk(begin, end, tuple(braces))

    def _is_balanced(self) -> bool:
        if self.balanced is None:
            self.balanced = self._balances()
        return self.balanced


class Depth(NamedTuple):
    """What a stretch of text does to the depth of braces: the lowest that it comes to, and where it ends, from 0."""

    lowest: int = 0
    end: int = 0

    def then(self, other: Depth) -> Depth:
        """Both stretches, one behind the other."""
        return Depth(min(self.lowest, self.end + other.lowest), self.end + other.end)

    @property
    def unmatched(self) -> bool:
        """Whether a brace lacks its other."""
        return self.lowest < 0 or self.end != 0


def depth_of(text: str, start: int, stop: int) -> Depth:
    """The depth of a stretch that begins and ends at the edge of a statement, or of the text."""
    depth = lowest = 0
    for _, first, end in _lines(text, start, stop):
        if text.find("{", first, end) >= 0 or text.find("}", first, end) >= 0:
            for piece in _PIECE.finditer(text, first, end):
                depth += 1 if _opening(piece.group()) >= 0 else -1 if piece.group() == "}" else 0
                lowest = min(lowest, depth)
    return Depth(lowest, depth)


def split_block(text: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    """Stretches of the parts of a block's inside: separated by line ends or `;` outside inner braces."""
    depth, begin, position = 0, start, start
    while piece := _PIECE.search(text, position, end):
        mark, position = piece.group(), piece.end()
        if mark == "{":
            depth += 1
        elif mark == "}":
            depth = max(0, depth - 1)
        elif depth == 0 and mark in _SEPARATORS:
            position = _EMPTY_LINES.match(text, position, end).end()  # type: ignore[union-attr]
            if mark == ";" or not _GOES_ON.match(text, position, end):
                yield from _filled(text, begin, piece.start())
                begin = position
    yield from _filled(text, begin, end)


def outline(text: str, start: int, end: int) -> tuple[int, int] | None:
    """Offsets of the first `{` of a stretch and of the `}` that closes it (or of the stretch's end)."""
    opened, depth = -1, 0
    for piece in _PIECE.finditer(text, start, end):
        mark = piece.group()
        if (brace := _opening(mark)) >= 0:
            opened = piece.start() + brace if depth == 0 else opened
            depth += 1
        elif mark == "}" and depth:
            depth -= 1
            if depth == 0:
                return opened, piece.start()
    return (opened, end) if opened >= 0 else None


def _lines(text: str, start: int = 0, stop: int | None = None) -> Iterator[tuple[int, int, int]]:
    """Start, first character that is no blank, and end of each line that is not empty or mere comment."""
    position, size = start, len(text) if stop is None else stop
    while position < size:
        first = _BLANK.match(text, position).end()  # type: ignore[union-attr]
        end = _LINE.match(text, first).end()  # type: ignore[union-attr]
        if first < end and text[first] != "#":
            yield position, first, end
        position = end + (2 if text.startswith("\r\n", end) else 1)


def _count(text: str, start: int, end: int, braces: list[int]) -> None:
    """Takes the braces of a line into account."""
    for piece in _PIECE.finditer(text, start, end):
        mark = piece.group()
        if (brace := _opening(mark)) >= 0:
            braces.append(piece.start() + brace)
        elif mark == "}" and braces:
            braces.pop()


def _opening(mark: str) -> int:
    """Offset of the brace that opens a block, or -1; a string never closed may have swallowed it."""
    if mark == "{":
        return 0
    bare = mark.rstrip() if mark[0] == '"' else ""
    return len(bare) - 1 if bare.endswith("{") else -1


def _filled(text: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    first = _BLANK.match(text, start, end).end()  # type: ignore[union-attr]
    if first < end and text[first] != "#":
        yield first, end
