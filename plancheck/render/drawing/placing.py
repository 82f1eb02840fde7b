"""Where boxes and rows stand: every end of every link has a row of its own, in slots from above.

Rows of the left side stand in whole slots, those of the right side in half ones, or straight across from the other end
of their own link: so no two links ever run along one line.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from plancheck.render.drawing.facing import HEADER, LEFT, RIGHT, Columns
from plancheck.render.drawing.shapes import Box, Link, Port

GAP = 1
"""Slots between two boxes."""

_PULL = 6
"""Slots that a box on the right is moved down at most, to come straight across from what it leads to."""

_STRETCH = 2
"""Slots that a row within a box is moved down at most, for the same."""


@dataclass(frozen=True, slots=True)
class End:
    """One end of a link: 0 for its `a`, 1 for its `b`."""

    link: str
    number: int

    @property
    def other(self) -> End:
        """The other end of the same link."""
        return End(self.link, 1 - self.number)


@dataclass(frozen=True)
class PlacedBox:
    """A box with its slots: `top` of its header, `bottom` of its last line, and the rows of each port."""

    box: Box
    side: int
    top: float
    bottom: float
    rows: Mapping[str, tuple[float, ...]]


@dataclass(frozen=True)
class Placing:
    """Every box in its place, and the slot and side of every end."""

    boxes: tuple[PlacedBox, ...]
    slot: Mapping[End, float]
    side: Mapping[End, int]

    @property
    def slots(self) -> float:
        """How many slots all of it takes."""
        return max((box.bottom for box in self.boxes), default=0.0)


def placed(sides: Columns, links: Sequence[Link]) -> Placing:
    """Boxes and ends in their places."""
    ends = _ends(sides, links)
    slot: dict[End, float] = {}
    boxes = [*_column(LEFT, sides, ends, slot), *_column(RIGHT, sides, ends, slot)]
    side = {end: placed.side for placed in boxes for port in placed.box.ports for end in ends[port.key]}
    return Placing(tuple(boxes), slot, side)


def _ends(sides: Columns, links: Sequence[Link]) -> dict[str, list[End]]:
    """The ends at each port, in the order of where they lead: across from above to below, then to the own side."""
    number = {port.key: i for side in sides.boxes for i, port in enumerate(p for box in side for p in box.ports)}
    side = {port.key: which for which, boxes in enumerate(sides.boxes) for box in boxes for port in box.ports}
    found: dict[str, list[tuple[bool, int, int, End]]] = defaultdict(list)
    for i, link in enumerate(links):
        for mine, there, end in ((link.a, link.b, End(link.key, 0)), (link.b, link.a, End(link.key, 1))):
            found[mine].append((side[mine] == side[there], number[there], i, end))
    ordered = {key: [end for *_, end in sorted(each, key=lambda e: e[:3])] for key, each in found.items()}
    return defaultdict(list, ordered)


def _column(which: int, sides: Columns, ends: Mapping[str, list[End]], slot: dict[End, float]) -> list[PlacedBox]:
    found: list[PlacedBox] = []
    cursor = 0.0
    for box in sides.boxes[which]:
        top = cursor if which == LEFT else _pulled(box, ends, slot, cursor)
        rows: dict[str, tuple[float, ...]] = {}
        at = top + HEADER
        for port in box.ports:
            rows[port.key] = _rows_of(port, which, ends, slot, at)
            at = rows[port.key][-1] + 1
        bottom = math.ceil(at - 0.5 + bool(box.foot))
        found.append(PlacedBox(box, which, top, bottom, rows))
        cursor = bottom + GAP
    return found


def _rows_of(
    port: Port, which: int, ends: Mapping[str, list[End]], slot: dict[End, float], at: float
) -> tuple[float, ...]:
    """Rows of one port from slot `at` on; a port that nothing reaches has one too."""
    rows: list[float] = []
    for end in ends[port.key]:
        across = slot.get(end.other) if which == RIGHT else None
        if across is not None and across.is_integer() and at <= across <= at + _STRETCH:
            row = across
        else:
            row = float(math.ceil(at)) if which == LEFT else math.ceil(at - 0.5) + 0.5
        slot[end] = row
        rows.append(row)
        at = row + 1
    return tuple(rows) or (float(math.ceil(at)) if which == LEFT else math.ceil(at - 0.5) + 0.5,)


def _pulled(box: Box, ends: Mapping[str, list[End]], slot: Mapping[End, float], cursor: float) -> float:
    """The top of a box on the right: as high as may be, or down to where its first link leads straight across."""
    for i, port in enumerate(box.ports):
        across = [slot[end.other] for end in ends[port.key] if end.other in slot]
        if across:
            wished = across[0] - HEADER - i
            return wished if cursor <= wished <= cursor + _PULL else cursor
    return cursor
