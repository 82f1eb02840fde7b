"""Bridging: which parts of a plan come to lie on a loop when two terminals touch.

The connection graph falls apart into pieces (a block whose branches share loops, or one branch on no loop) that hang
together at single terminals like a forest. A short makes a loop of every piece on the one way between its ends.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from plancheck.plan.graph import Branch, pieces


class Passed(NamedTuple):
    """A piece on the way, and the terminals at which the way enters and leaves it."""

    branches: list[Branch]
    enters: str
    leaves: str


class Bridging:
    """The forest of pieces of a plan; made once, asked for each short."""

    def __init__(self, branches: Sequence[Branch]) -> None:
        self._pieces = pieces(branches)
        self._above: dict[str | int, str | int | None] = {}
        """By terminal or piece number, what is next on the way to the root of its tree."""
        self._depth: dict[str | int, int] = {}
        self._grow()

    def _grow(self) -> None:
        at: dict[str, list[int]] = defaultdict(list)
        ends = [list(dict.fromkeys(t for b in piece for t in (b.a, b.b))) for piece in self._pieces]
        for number, terminals in enumerate(ends):
            for terminal in terminals:
                at[terminal].append(number)
        for root in at:
            if root in self._above:
                continue
            self._above[root], self._depth[root] = None, 0
            queue: list[str | int] = [root]
            for node in queue:
                for onward in at[node] if isinstance(node, str) else ends[node]:
                    if onward not in self._above:
                        self._above[onward], self._depth[onward] = node, self._depth[node] + 1
                        queue.append(onward)

    def way(self, start: str, goal: str) -> list[Passed]:
        """The pieces between two terminals, in order; empty where nothing joins them, or they are one terminal."""
        if start not in self._above or goal not in self._above:
            return []
        here: list[str | int] = [start]
        there: list[str | int] = [goal]
        while here[-1] != there[-1]:
            lower = here if self._depth[here[-1]] >= self._depth[there[-1]] else there
            above = self._above[lower[-1]]
            if above is None:
                return []
            lower.append(above)
        nodes = here + there[-2::-1]
        steps = zip(nodes[1::2], nodes[:-1:2], nodes[2::2], strict=True)
        return [Passed(self._pieces[int(piece)], str(enters), str(leaves)) for piece, enters, leaves in steps]
