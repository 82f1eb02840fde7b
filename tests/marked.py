"""Plan texts that carry what is expected of them: carets under the place, the words behind them.

    wire PS1 to FA1:COM
    #    ^^^ terminal such as PS1:+

A `#` right before the carets counts as one of them, for places at the start of a line; `#<` marks the first
column alone. Behind the carets stand pieces, ` · ` between, each of which the mistake must say.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from plancheck.finding import Mistake

_MARK = re.compile(r"[ \t]*#(?:[ \t]*(\^+)|<)(.*)")


class Mark(NamedTuple):
    """A place, and what must be said of it."""

    line: int
    column: int
    end_column: int
    pieces: tuple[str, ...]


def marks(text: str) -> list[Mark]:
    """Every mark of a text, in order."""
    found: list[Mark] = []
    spoken_of = 0
    for number, line in enumerate(text.split("\n"), 1):
        mark = _MARK.match(line)
        if mark is None:
            spoken_of = number
            continue
        start, end = (mark.start(1), mark.end(1)) if mark[1] else (0, 1)
        start -= line[start - 1] == "#" and start > 0
        pieces = tuple(piece.strip() for piece in mark[2].split(" · ") if piece.strip())
        found.append(Mark(spoken_of, start + 1, end + 1, pieces))
    return found


def said(mistake: Mistake) -> str:
    """Everything that a mistake says, in one line."""
    return f"{mistake.headline}; found {mistake.found}; expected {mistake.expected}; {mistake.hint}"


def compare(text: str, mistakes: Iterable[Mistake]) -> None:
    """Fails where a mark is missed or a mistake unmarked, and tells the two apart."""
    left = list(mistakes)
    missed = []
    for mark in marks(text):
        fitting = next((m for m in left if _fits(mark, m)), None)
        if fitting is None:
            missed.append(mark)
        else:
            left.remove(fitting)
    lines = [f"missed: line {m.line}, columns {m.column} to {m.end_column}: {' · '.join(m.pieces)}" for m in missed]
    lines += [f"false alarm: line {m.at.line}, columns {m.at.column} to {m.at.finish[1]}: {said(m)}" for m in left]
    assert not lines, "\n" + "\n".join(lines)


def _fits(mark: Mark, mistake: Mistake) -> bool:
    at = mistake.at
    line, end = at.finish
    width = max(1, (end if line == at.line else mark.end_column) - at.column)
    place = (at.line, at.column, at.column + width)
    return place == mark[:3] and all(piece in said(mistake) for piece in mark.pieces)
