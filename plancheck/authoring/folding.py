"""What can be folded away: blocks, and comments of several lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from plancheck.authoring.lexed import Sort, lexed
from plancheck.source import Source


@dataclass(frozen=True, slots=True)
class Fold:
    """Lines that can be folded away behind the first of them, counted from 0; `end` is the last that goes."""

    start: int
    end: int
    comment: bool = False


def folds(source: Source) -> list[Fold]:
    """The folds of a text, of plans or of rules, in order; an open block is none."""
    return sorted((*_blocks(source), *_comments(source)), key=lambda fold: (fold.start, -fold.end))


def _blocks(source: Source) -> Iterator[Fold]:
    opened: list[int] = []
    for token in lexed(source.text):
        if token.sort is not Sort.SIGN or token.text not in "{}":
            continue
        line = source.position(token.start)[0] - 1
        if token.text == "{":
            opened.append(line)
        elif opened:
            start = opened.pop()
            # The line of the closing brace stays: it shows where the block ends.
            if line - 1 > start:
                yield Fold(start, line - 1)


def _comments(source: Source) -> Iterator[Fold]:
    first = last = -2
    for number in range(1, len(source.line_starts) + 1):
        if not source.line(number).lstrip().startswith("#"):
            continue
        line = number - 1
        if line != last + 1:
            if last > first:
                yield Fold(first, last, comment=True)
            first = line
        last = line
    if last > first:
        yield Fold(first, last, comment=True)
