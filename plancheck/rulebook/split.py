"""A rules file cut into statements, and a rule into members, before any grammar sees it.

A statement begins with its keyword at the start of a line and ends with its closing brace; a keyword at the
start of a line ends a statement whose brace was forgotten. Within a rule a member begins on its own line, and
a line that is set deeper than the rule's first member continues the line before it. Comments and the plans of
examples are blanked by spaces, so that offsets stay true and an example costs nothing until it is asked for.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from plancheck.syntax.split import BLANKS

KEYWORDS = ("pack", "situation", "clauses", "rule", "change", "house")

# A string, a string never closed, a comment (a `#` right behind a name is part of it), a brace, a keyword.
_BEGIN = r"(?:\A|(?<=[\r\n\ufeff]))"
_PIECE = re.compile(rf'"[^"\r\n]*"?|(?<![\w+\-~./])#[^\r\n]*|[{{}}]|{_BEGIN}(?:{"|".join(KEYWORDS)})(?![\w\-])')
_CHANGE_PIECE = re.compile(
    rf'"[^"\r\n]*"?|(?<![\w+\-~./])#[^\r\n]*|[{{}}]|{_BEGIN}[{BLANKS}]*(?P<change>change)(?![\w\-])'
)
_STRAY = re.compile(r"[^\s\ufeff]+[^\r\n]*")
_LINE = re.compile(rf"(?<![^\r\n{{])([{BLANKS}]*)([^{BLANKS}\r\n][^\r\n]*)")
_NOT_LINE_END = re.compile(r"[^\r\n]+")


@dataclass(slots=True)
class Chunk:
    """A statement's stretch of the text. `open` and `close` are its own braces, -1 where it has none."""

    keyword: str
    start: int
    end: int = -1
    open: int = -1
    close: int = -1
    blocks: list[tuple[int, int]] = field(default_factory=list)
    """Offsets of the braces of each block within: the plans of examples."""
    unclosed: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Cut:
    """A file cut up: `text` is as long as the file, with comments and examples blanked."""

    text: str
    chunks: list[Chunk]
    stray: list[tuple[int, int]]
    """Stretches that belong to no statement."""


def cut(text: str) -> Cut:
    """Cut a file into its statements."""
    cutter = _Cutter(text)
    for piece in _PIECE.finditer(text):
        cutter.take(piece)
    cutter.finish(len(text))
    blanked = _blank(text, cutter.hidden)
    return Cut(blanked, cutter.chunks, list(_stray(blanked, cutter.chunks)))


class _Cutter:
    def __init__(self, text: str) -> None:
        self.text = text
        self.chunks: list[Chunk] = []
        self.hidden: list[tuple[int, int]] = []
        self.chunk: Chunk | None = None
        self.braces: list[int] = []

    def take(self, piece: re.Match[str]) -> None:
        mark = piece.group()
        if mark[0] == "#":
            if len(self.braces) < 2:
                self.hidden.append(piece.span())
        elif mark == "{" or (mark[0] == '"' and mark.endswith("{")):  # a string never closed may hide a brace
            self.braces.append(piece.end() - 1)
        elif mark == "}":
            self._close(piece.start())
        elif mark in KEYWORDS:
            self.finish(piece.start())
            self.chunk = Chunk(mark, piece.start())

    def _close(self, at: int) -> None:
        if not self.braces:
            return
        opened = self.braces.pop()
        chunk = self.chunk
        if len(self.braces) == 1:
            self.hidden.append((opened + 1, at))
            if chunk:
                chunk.blocks.append((opened, at))
        elif not self.braces and chunk and chunk.open < 0:
            chunk.open, chunk.close, chunk.end = opened, at, at + 1
            self.chunks.append(chunk)
            self.chunk = None

    def finish(self, at: int) -> None:
        """End the statement at hand, if any, before `at`."""
        chunk, self.chunk = self.chunk, None
        braces, self.braces = self.braces, []
        if chunk is None:
            return
        if braces:
            chunk.unclosed, chunk.open, chunk.close = tuple(braces), braces[0], at
            if len(braces) > 1:
                self.hidden.append((braces[1] + 1, at))
            chunk.end = at
        else:
            line_end = _NOT_LINE_END.match(self.text, chunk.start)
            chunk.end = line_end.end() if line_end else at
        self.chunks.append(chunk)


def _blank(text: str, hidden: list[tuple[int, int]]) -> str:
    pieces: list[str] = []
    position = 0
    for start, end in sorted(hidden):
        if start >= position:
            pieces += (text[position:start], " " * (end - start))
            position = end
    pieces.append(text[position:])
    return "".join(pieces)


def without_comments(text: str, start: int, end: int) -> str:
    """The text with the comments of a stretch blanked."""
    comments = (piece.span() for piece in _PIECE.finditer(text, start, end) if piece.group()[0] == "#")
    return _blank(text, list(comments))


def changes_in(text: str) -> list[tuple[int, int]]:
    """Stretches of the `change` blocks in the plan of an example, each at the start of a line of its own."""
    found: list[tuple[int, int]] = []
    begun, depth = -1, 0
    for piece in _CHANGE_PIECE.finditer(text):
        mark = piece.group()
        if piece["change"] and depth == 0:
            begun = piece.start("change")
        depth = max(0, depth + (mark == "{") - (mark == "}"))
        if mark == "}" and depth == 0 and begun >= 0:
            found.append((begun, piece.end()))
            begun = -1
    return found + ([(begun, len(text))] if begun >= 0 else [])


def _stray(text: str, chunks: list[Chunk]) -> list[tuple[int, int]]:
    found, position = [], 0
    for chunk in [*chunks, Chunk("", len(text), len(text))]:
        found += [m.span() for m in _STRAY.finditer(text, position, chunk.start)]
        position = max(position, chunk.end)
    return found


def members(text: str, chunk: Chunk) -> list[tuple[int, int]]:
    """Stretches of the members of a rule, in a blanked text; each with the lines that continue it."""
    found: list[tuple[int, int]] = []
    own = None
    for line in _LINE.finditer(text, chunk.open + 1, chunk.close):
        begins_line = line.start() > chunk.open + 1
        depth = len(line.group(1).expandtabs(8)) if begins_line else 0
        if begins_line and own is None:
            own = depth
        start, end = line.start(2), line.end(2)
        if found and own is not None and depth > own:
            found[-1] = (found[-1][0], end)
        else:
            found.append((start, end))
    return [(start, start + len(text[start:end].rstrip())) for start, end in found]
