"""The symbols within a box: each stands upright in a lane between the rows of its two terminals."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from plancheck.render.drawing.shapes import Box, Symbol


@dataclass(frozen=True, slots=True)
class Lane:
    """A symbol in lane `number`, counted from the terminals inwards; heights of its ends and of its middle."""

    symbol: Symbol
    number: int
    a: float
    b: float
    middle: float


def lanes(box: Box, rows: Mapping[str, tuple[float, ...]]) -> tuple[Lane, ...]:
    """Lanes of a box's symbols, given the heights of its ports' rows; the leads are drawn at the first of each.

    A symbol whose terminals are not both there is left out. Its middle stands between two neighbouring leads, so that
    no lead runs through it.
    """
    leads = sorted({rows[end][0] for s in box.symbols for end in (s.a, s.b) if end in rows})
    taken: list[list[tuple[float, float, frozenset[str]]]] = []
    found: dict[str, Lane] = {}
    inside = [s for s in box.symbols if s.a in rows and s.b in rows and s.a != s.b]
    for symbol in sorted(inside, key=lambda s: abs(rows[s.a][0] - rows[s.b][0])):
        a, b = rows[symbol.a][0], rows[symbol.b][0]
        low, high = min(a, b), max(a, b)
        ends = frozenset((symbol.a, symbol.b))
        number = next((i for i, lane in enumerate(taken) if all(_apart(low, high, ends, *t) for t in lane)), len(taken))
        if number == len(taken):
            taken.append([])
        taken[number].append((low, high, ends))
        found[symbol.key] = Lane(symbol, number, a, b, _middle(low, high, leads))
    return tuple(found[s.key] for s in inside)


def _apart(
    low: float, high: float, ends: frozenset[str], other_low: float, other_high: float, other_ends: frozenset[str]
) -> bool:
    """Whether two symbols can stand in one lane: one above the other, at most touching at a terminal of both."""
    if high < other_low or other_high < low:
        return True
    return bool(ends & other_ends) and (high == other_low or other_high == low)


def _middle(low: float, high: float, leads: list[float]) -> float:
    inside = [y for y in leads if low <= y <= high]
    pairs = [(a + b) / 2 for a, b in pairwise(inside)]
    return min(pairs, key=lambda y: abs(y - (low + high) / 2))
