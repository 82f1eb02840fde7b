"""Two columns that face each other: which boxes stand on which side, and in which order."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from plancheck.render.drawing.shapes import Box, Link

LEFT, RIGHT = 0, 1

HEADER = 2
"""Slots that a box's name and what it is take, above its first row."""

_PASSES = 8


@dataclass(frozen=True)
class Columns:
    """The boxes of both sides from above to below, and the side of each box."""

    boxes: tuple[tuple[Box, ...], tuple[Box, ...]]
    side: Mapping[str, int]


def columns(boxes: Sequence[Box], links: Sequence[Link]) -> Columns:
    """Boxes on two sides, so that most links lead across, in an order in which few of them cross.

    What feeds stands on the left. Where two ways are equal the order of the plan decides: same plan, same sheet.
    """
    home = {port.key: box.key for box in boxes for port in box.ports}
    between: dict[str, Counter[str]] = defaultdict(Counter)
    for link in links:
        a, b = home[link.a], home[link.b]
        if a != b:
            between[a][b] += 1
            between[b][a] += 1
    side = _sides(boxes, between)
    sides = [[box for box in boxes if side[box.key] == which] for which in (LEFT, RIGHT)]
    return Columns(_ordered(sides, links), side)


def _sides(boxes: Sequence[Box], between: Mapping[str, Counter[str]]) -> dict[str, int]:
    side = {box.key: LEFT for box in boxes if box.feeds}
    height = [0, 0]
    rows = {box.key: len(box.ports) + HEADER for box in boxes}
    height[LEFT] = sum(rows[key] for key in side)
    waiting = [box.key for box in boxes if box.key not in side]
    while waiting:
        key = max(waiting, key=lambda k: sum(n for other, n in between[k].items() if other in side))
        waiting.remove(key)
        side[key] = _better(key, side, between, height)
        height[side[key]] += rows[key]
    fixed = {box.key for box in boxes if box.feeds}
    for _ in range(_PASSES):
        moved = [k for k in rows if k not in fixed and _gain(k, side, between) > 0]
        if not moved:
            break
        side[moved[0]] = 1 - side[moved[0]]
    return side


def _better(key: str, side: Mapping[str, int], between: Mapping[str, Counter[str]], height: Sequence[int]) -> int:
    there = [sum(n for other, n in between[key].items() if side.get(other) == which) for which in (LEFT, RIGHT)]
    if there[LEFT] != there[RIGHT]:
        return RIGHT if there[LEFT] > there[RIGHT] else LEFT
    return RIGHT if height[RIGHT] <= height[LEFT] else LEFT


def _gain(key: str, side: Mapping[str, int], between: Mapping[str, Counter[str]]) -> int:
    """How many more links would lead across, were a box on the other side."""
    return sum(n if side[other] == side[key] else -n for other, n in between[key].items())


def _ordered(sides: Sequence[Sequence[Box]], links: Sequence[Link]) -> tuple[tuple[Box, ...], tuple[Box, ...]]:
    """Each side sorted by the middle of what its boxes lead to, back and forth; the order with fewest crossings."""
    current = (list(sides[LEFT]), list(sides[RIGHT]))
    best, fewest = (tuple(current[LEFT]), tuple(current[RIGHT])), crossings(current, links)
    for turn in range(2 * _PASSES):
        which = RIGHT if turn % 2 == 0 else LEFT
        at = _rows(current)
        middles = {box.key: _middle(box, links, at) for box in current[which]}
        current[which].sort(key=lambda box: middles[box.key])
        count = crossings(current, links)
        if count < fewest:
            best, fewest = (tuple(current[LEFT]), tuple(current[RIGHT])), count
    return best


def _rows(sides: Sequence[Sequence[Box]]) -> dict[str, float]:
    """The row of each port, were every port one row high."""
    at: dict[str, float] = {}
    for side in sides:
        row = 0
        for box in side:
            row += HEADER
            for port in box.ports:
                at[port.key] = row
                row += 1
    return at


def _middle(box: Box, links: Sequence[Link], at: Mapping[str, float]) -> float:
    own = {port.key for port in box.ports}
    others = [at[link.b if link.a in own else link.a] for link in links if (link.a in own) != (link.b in own)]
    mine = [at[port.key] for port in box.ports] or [0.0]
    return sum(others) / len(others) if others else sum(mine) / len(mine)


def crossings(sides: Sequence[Sequence[Box]], links: Sequence[Link]) -> int:
    """How many pairs of links that lead across would cross, were they drawn straight."""
    at = _rows(sides)
    left = {port.key for box in sides[LEFT] for port in box.ports}
    ends = [(link.a, link.b) if link.a in left else (link.b, link.a) for link in links]
    across = [(at[a], at[b]) for a, b in ends if a in left and b not in left]
    return sum(
        (a - c) * (b - d) < 0 for i, (a, b) in enumerate(across) for c, d in across[i + 1 :]
    )  # sheets hold some forty links
