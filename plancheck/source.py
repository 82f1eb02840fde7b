"""Source texts, and spans of them: where a thing stands in which file."""

from __future__ import annotations

import re
from bisect import bisect_right
from functools import cached_property
from typing import NamedTuple

# The only line ends are these three. str.splitlines would also split on form feeds and U+2028.
_LINE_END = re.compile(r"\r\n|\n|\r")


class Source:
    """A text with the name it is shown under; offsets count code points.

    One `of_pack` stands in an in-house pack, which may say less than a plan.
    """

    def __init__(self, name: str, text: str, *, of_pack: bool = False) -> None:
        self.name = name
        self.text = text
        self.of_pack = of_pack

    def __repr__(self) -> str:
        return f"Source({self.name!r}, {len(self.text)} characters)"

    @cached_property
    def line_starts(self) -> list[int]:
        """Offset at which each line starts; the first is 0."""
        return [0, *(m.end() for m in _LINE_END.finditer(self.text))]

    def position(self, offset: int) -> tuple[int, int]:
        """Line and column of an offset, both counted from 1."""
        line = bisect_right(self.line_starts, offset)
        return line, offset - self.line_starts[line - 1] + 1

    def line(self, number: int) -> str:
        """The text of a line, counted from 1, without its end."""
        start = self.line_starts[number - 1]
        end = self.line_starts[number] if number < len(self.line_starts) else len(self.text)
        return self.text[start:end].rstrip("\r\n")


class Span(NamedTuple):
    """A stretch of a source, from `start` up to but not including `end`, in code points."""

    source: Source
    start: int
    end: int

    @property
    def text(self) -> str:
        """The characters that the span covers."""
        return self.source.text[self.start : self.end]

    @property
    def line(self) -> int:
        """Line of the first character, from 1."""
        return self.source.position(self.start)[0]

    @property
    def column(self) -> int:
        """Column of the first character, from 1."""
        return self.source.position(self.start)[1]

    @property
    def finish(self) -> tuple[int, int]:
        """Line and column just behind the last character, from 1."""
        return self.source.position(self.end)

    @property
    def order(self) -> tuple[str, int, int]:
        """Key that sorts spans by file and place."""
        return self.source.name, self.start, self.end
