"""The lines of a text, each with its tokens and how deep in blocks it stands; and how far each is to be set in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from plancheck.authoring.lexed import Sort, Token, lexed

STEP = 4
"""Columns that a block is set in."""
GOING_ON = ("to", "in")
"""Words that begin a line which goes on with a wire."""


@dataclass(slots=True)
class Line:
    """A line of the text. `inset` is where it is to start, `gaps` how many blanks are to stand before each token."""

    start: int
    end: int
    """Behind its last character, before its line end."""
    tokens: list[Token] = field(default_factory=list)
    kept: bool = False
    """Whether it stays to the letter: it belongs to a statement that could not be read."""
    statement: int = -1
    """Which statement it belongs to, -1 for none."""
    inset: int = 0
    gaps: list[int] = field(default_factory=list)

    @property
    def column(self) -> int:
        """Where its first token stands now."""
        return self.tokens[0].start - self.start if self.tokens else 0

    @property
    def is_comment(self) -> bool:
        """Whether it holds a comment and nothing else."""
        return bool(self.tokens) and self.tokens[0].sort is Sort.COMMENT

    def columns(self) -> list[int]:
        """Where each token is to stand."""
        found: list[int] = []
        at = self.inset
        for token, gap in zip(self.tokens, self.gaps, strict=True):
            at += gap
            found.append(at)
            at += len(token.text)
        return found

    def fair(self, text: str) -> str:
        """The line as it is to be."""
        if self.kept:
            return text[self.start : self.end]
        parts = [" " * self.inset]
        for token, gap in zip(self.tokens, self.gaps, strict=True):
            parts += (" " * gap, token.text)
        return "".join(parts).rstrip()


def lines_of(text: str, statements: Iterable[tuple[int, int, bool]], rules: bool) -> list[Line]:
    """The lines of a text, their insets worked out. `statements` are spans, and whether they could be read."""
    lines = list(_lines(text))
    spans = list(statements)
    numbers = iter(range(len(spans)))
    number = next(numbers, -1)
    inside: list[Line] = []
    for line in lines:
        while number >= 0 and spans[number][1] <= line.start:
            _set_in(inside, rules)
            inside, number = [], next(numbers, -1)
        if number >= 0 and spans[number][0] < max(line.end, line.start + 1):
            line.kept, line.statement = not spans[number][2], number
            inside.append(line)
    _set_in(inside, rules)
    return lines


def _lines(text: str) -> Iterator[Line]:
    line = Line(0, 0)
    for token in lexed(text):
        if token.sort is Sort.LINE_END:
            line.end = token.start
            yield line
            line = Line(token.end, token.end)
        else:
            line.tokens.append(token)
    line.end = len(text)
    yield line


def _set_in(lines: list[Line], rules: bool) -> None:
    """Works out the insets of one statement's lines: by depth, and further in where a line goes on with another."""
    depth = 0
    first_member: int | None = None
    entry_at = 0
    wire = False
    for line in lines:
        code = [token for token in line.tokens if token.sort is Sort.SIGN]
        own = depth - _closers_in_front(line)
        if rules and own == 1 and first_member is None and line.tokens and not line.is_comment:
            first_member = line.column
        line.inset = STEP * max(own, 0)
        if rules and own == 1 and first_member is not None:
            if line.column > first_member and not line.is_comment:
                line.inset += max(line.column - entry_at, 1)
            else:
                entry_at = line.column
        elif wire and _goes_on(line):
            line.inset += STEP
        elif line.tokens and not line.is_comment:
            wire = line.tokens[0].text == "wire"
        depth += sum((token.text == "{") - (token.text == "}") for token in code)


def _closers_in_front(line: Line) -> int:
    count = 0
    for token in line.tokens:
        if token.text != "}" or token.sort is not Sort.SIGN:
            break
        count += 1
    return count


def _goes_on(line: Line) -> bool:
    """Whether a line goes on with the wire of the line before it."""
    return bool(line.tokens) and line.tokens[0].sort is Sort.NAME and line.tokens[0].text in GOING_ON
