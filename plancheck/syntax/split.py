"""A text split into top-level statements, before any grammar sees it.

A statement begins on its own line and lasts until its braces close and no line goes on with it. Strings and
comments hide braces. Where a brace stays open, a line at column 1 that begins like a top-level statement ends
it, so that one forgotten brace costs one statement and not the rest of the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

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
    chunks: list[Chunk] = []
    braces: list[int] = []
    begin = end = -1
    balanced: bool | None = None
    for line_start, first, line_end in _lines(text):
        if begin >= 0 and braces and first == line_start and not balanced and _BEGINS.match(text, first):
            balanced = _balances(text) if balanced is None else balanced
            ends = not balanced
        else:
            ends = not braces and not _GOES_ON.match(text, first)
        if begin >= 0 and ends:
            chunks.append(Chunk(begin, end, tuple(braces)))
            braces.clear()
        if begin < 0 or ends:
            begin = first
        end = line_end
        if text.find("{", first, line_end) >= 0 or text.find("}", first, line_end) >= 0:
            _count(text, first, line_end, braces)
    if begin >= 0:
        chunks.append(Chunk(begin, end, tuple(braces)))
    return chunks


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


def _lines(text: str) -> Iterator[tuple[int, int, int]]:
    """Start, first character that is no blank, and end of each line that is not empty or mere comment."""
    position, size = 0, len(text)
    while position < size:
        first = _BLANK.match(text, position).end()  # type: ignore[union-attr]
        end = _LINE.match(text, first).end()  # type: ignore[union-attr]
        if first < end and text[first] != "#":
            yield position, first, end
        position = end + (2 if text.startswith("\r\n", end) else 1)


def _balances(text: str) -> bool:
    """Whether every brace of a text has its other: then no block was left open, however the lines stand."""
    braces: list[int] = []
    return all(_count(text, first, end, braces) for _, first, end in _lines(text)) and not braces


def _count(text: str, start: int, end: int, braces: list[int]) -> bool:
    """Takes the braces of a stretch into account; False where one closes nothing."""
    sound = True
    for piece in _PIECE.finditer(text, start, end):
        mark = piece.group()
        if (brace := _opening(mark)) >= 0:
            braces.append(piece.start() + brace)
        elif mark == "}" and braces:
            braces.pop()
        elif mark == "}":
            sound = False
    return sound


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
