"""A nodal solver of the tests' own for circuits in which things have failed: no part that could carry current is cut.

Sources that let no current in and stop at their limit, diodes, and electronics that block what comes the wrong way
are in one of a few states: every combination is tried until one agrees with itself.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import product

import numpy as np
from numpy.typing import NDArray

from tests.proof.circuits import Bits
from tests.proof.dense import NoAnswer
from tests.proof.doors import Piece

JOINT = 1e-5
"""Ohms of a made contact or a short: a wire of a few millimetres. What is nothing but a jumper or fuse joins nodes."""

INNER = 1e-6
"""Ohms inside a source, so that two of the same volts side by side share what they give."""

LEAK = 1e-9
"""Siemens from every node to ground, so that what nothing ties down has a voltage."""

LOADS = ("coil", "electronic")
BENDING = ("source", "diode")

RATED = 24.0
"""Volts of all electronics here: constant power above half of them, below that the resistance that draws as much."""

OFF, ON, LIMITED = 0, 1, 2
ROUNDS = 60

Floats = NDArray[np.float64]


def volts_of_loads(parts: Sequence[Piece], live: Bits, most: bool) -> tuple[Floats, Bits]:
    """Volts across each load, in the order of the parts, for many standings of the contacts and sources; and in
    which of them a supply is not what it is: at its limit, or dead and fed by another.

    `live` is (standings, parts): whether a part is there at all. `most`: sources at the high end of their band.
    """
    used = Counter(t for p in parts for t in (p.a, p.b))
    dangling = {i for i, p in enumerate(parts) if p.what == "contact" and min(used[p.a], used[p.b]) == 1}
    kept = [i for i, p in enumerate(parts) if p.what != "clamp" and i not in dangling]
    if not any(parts[i].what == "source" for i in kept):
        return np.zeros((len(live), sum(p.what in LOADS for p in parts))), np.zeros(len(live), dtype=bool)
    return _Network([parts[i] for i in kept], live[:, kept], most).settle()


def _nodes(parts: Sequence[Piece]) -> dict[str, int]:
    """Numbers of nodes by terminal: those that a jumper or fuse joins are one."""
    one = {t: t for p in parts for t in (p.a, p.b)}
    for part in parts:
        if part.what in ("wire", "fuse") and part.size == 0.0:
            gone, kept = one[part.a], one[part.b]
            one = {t: kept if leader == gone else leader for t, leader in one.items()}
    number = {leader: i for i, leader in enumerate(dict.fromkeys(one.values()))}
    return {t: number[leader] for t, leader in one.items()}


class _Network:
    def __init__(self, parts: Sequence[Piece], live: Bits, most: bool) -> None:
        nodes = _nodes(parts)
        self.parts, self.live, self.nodes = parts, live, len(set(nodes.values()))
        self.a = np.array([nodes[p.a] for p in parts])
        self.b = np.array([nodes[p.b] for p in parts])
        self.bending = np.array([i for i, p in enumerate(parts) if p.what in BENDING])
        self.coils = np.array([i for i, p in enumerate(parts) if p.what in LOADS])
        self.held = np.array([self._held(parts[i], most) for i in self.bending])
        self.limit = np.array([parts[i].gives for i in self.bending])
        self.ground = next(nodes[p.b] for p in parts if p.what == "source")
        self.draws: list[int] = [i for i, p in enumerate(parts) if p.what == "electronic"]
        self.siemens = np.array([[parts[i].size / RATED**2 for i in self.draws]] * len(live))

    @staticmethod
    def _held(part: Piece, most: bool) -> float:
        if part.what == "diode":
            return part.size
        return part.most if most else part.least

    def settle(self) -> tuple[Floats, Bits]:
        """Solve again and again until what electronics draw is what they draw at their volts."""
        found = np.full((len(self.live), len(self.coils)), np.nan)
        limited = np.zeros(len(self.live), dtype=bool)
        drawing = np.flatnonzero(np.isin(self.coils, self.draws))
        todo = np.arange(len(self.live))
        for _ in range(ROUNDS):
            found[todo], limited[todo] = self._solve(todo)
            if not self.draws:
                return found, limited
            todo = todo[self._moved(todo, found[np.ix_(todo, drawing)])]
            if not todo.size:
                return found, limited
        raise NoAnswer

    def _moved(self, todo: NDArray[np.int64], volts: Floats) -> Bits:
        """Let electronics draw what their volts make them; whether any of them has moved."""
        watts = np.array([self.parts[i].size for i in self.draws])
        wanted = np.where(volts < -1e-6, 0.0, watts / np.maximum(np.abs(volts), RATED / 2) ** 2)
        before = self.siemens[todo]
        self.siemens[todo] = wanted
        moved: Bits = (np.abs(wanted - before) > 1e-7 * watts / RATED**2).any(axis=1)
        return moved

    def _solve(self, rows: NDArray[np.int64]) -> tuple[Floats, Bits]:
        found = np.full((len(rows), len(self.coils)), np.nan)
        limited = np.zeros(len(rows), dtype=bool)
        there = self.live[np.ix_(rows, self.bending)]
        for states in product(*(self._choices(self.parts[i]) for i in self.bending)):
            state = np.array(states)
            # What is not there cannot be on, and one combination without it is enough.
            able = ~((state != OFF) & ~there).any(axis=1)
            todo = np.flatnonzero(np.isnan(found).any(axis=1) & able)
            if todo.size:
                volts, agrees = self._try(rows[todo], state)
                fed = self._fed(rows[todo], volts)
                across = volts[:, self.a[self.coils]] - volts[:, self.b[self.coils]]
                found[todo[agrees]] = across[agrees]
                limited[todo[agrees]] = fed[agrees] | bool((state == LIMITED).any())
        if np.isnan(found).any():
            raise NoAnswer
        return found, limited

    def _fed(self, rows: NDArray[np.int64], volts: Floats) -> Bits:
        """Whether a source that has nothing to give has volts all the same."""
        sources = np.array([i for i in self.bending if self.parts[i].what == "source"])
        across = np.abs(volts[:, self.a[sources]] - volts[:, self.b[sources]])
        fed: Bits = (~self.live[np.ix_(rows, sources)] & (across > 0.1)).any(axis=1)
        return fed

    @staticmethod
    def _choices(part: Piece) -> tuple[int, ...]:
        return (ON, OFF) if part.what == "diode" or part.gives == float("inf") else (ON, OFF, LIMITED)

    def _try(self, todo: NDArray[np.int64], state: NDArray[np.int64]) -> tuple[Floats, Bits]:
        matrix, right = self._matrix(todo, state)
        answer = np.linalg.solve(matrix, right[..., None])[..., 0]
        volts, amps = answer[:, : self.nodes], answer[:, self.nodes :]
        a, b = self.a[self.bending], self.b[self.bending]
        across = volts[:, a] - volts[:, b]
        forward = np.array([1.0 if self.parts[i].what == "diode" else -1.0 for i in self.bending])
        passes = (amps * forward >= -1e-6) & (amps * forward <= self.limit + 1e-6)
        blocks = (across - self.held) * forward <= 1e-6
        sags = across <= self.held + 1e-6
        holds = np.where(state == ON, passes, np.where(state == LIMITED, sags, blocks))
        agrees = holds | ~self.live[np.ix_(todo, self.bending)]
        every: Bits = agrees.all(axis=1)
        return volts.astype(np.float64), every

    def _matrix(self, todo: NDArray[np.int64], state: NDArray[np.int64]) -> tuple[Floats, Floats]:
        size = self.nodes + len(self.bending)
        matrix, right = np.zeros((todo.size, size, size)), np.zeros((todo.size, size))
        for i, part in enumerate(self.parts):
            a, b = self.a[i], self.b[i]
            if part.what in BENDING or a == b:
                continue
            drawn = self.siemens[todo, self.draws.index(i)] if i in self.draws else 1.0 / max(part.size, JOINT)
            g = self.live[todo, i] * drawn
            matrix[:, a, a] += g
            matrix[:, b, b] += g
            matrix[:, a, b] -= g
            matrix[:, b, a] -= g
        matrix[:, range(self.nodes), range(self.nodes)] += LEAK
        for k, i in enumerate(self.bending):
            row = self.nodes + k
            matrix[:, self.a[i], row] += 1.0
            matrix[:, self.b[i], row] -= 1.0
            if state[k] == ON:
                matrix[:, row, self.a[i]] += 1.0
                matrix[:, row, self.b[i]] -= 1.0
                matrix[:, row, row] = -INNER
                right[:, row] = self.held[k]
            else:
                matrix[:, row, row] = 1.0
                right[:, row] = -self.limit[k] if state[k] == LIMITED else 0.0
        matrix[:, self.ground, :] = 0.0
        matrix[:, self.ground, self.ground] = 1.0
        right[:, self.ground] = 0.0
        return matrix, right
