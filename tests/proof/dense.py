"""A dense nodal solver of the tests' own: every part of a circuit is stamped, nothing is cut away.

Sources let no current in: they hold their volts, give the most that they can at fewer, or stand off. Diodes are on
or off. Every combination is tried until one agrees with itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
from numpy.typing import NDArray

from tests.proof.circuits import Bits, Part

JOINT = 1e-5
"""Ohms of a jumper and a made contact: a wire of a few millimetres."""

LEAK = 1e-9
"""Siemens from every node to ground, so that what nothing ties down has a voltage."""

Floats = NDArray[np.float64]
States = NDArray[np.int64]

OFF, HOLDING, LIMITED = 0, 1, 2
"""How a source stands; a diode is off or holds its drop."""


class NoAnswer(Exception):
    """No combination of sources and diodes agrees with itself."""


def volts_of_coils(parts: Sequence[Part], live: Bits, most: bool) -> Floats:
    """Volts across each coil, in the order of the parts, for many standings of the contacts and sources.

    `live` is (standings, parts): whether a part is there at all. `most`: sources at the high end of their band.
    """
    return _Circuit(parts, live, most).solve()


class _Circuit:
    def __init__(self, parts: Sequence[Part], live: Bits, most: bool) -> None:
        nodes = {n: i for i, n in enumerate(dict.fromkeys(t for p in parts for t in (p.a, p.b)))}
        self.parts, self.live, self.nodes = parts, live, len(nodes)
        self.a = np.array([nodes[p.a] for p in parts])
        self.b = np.array([nodes[p.b] for p in parts])
        self.bending = [i for i, p in enumerate(parts) if p.what in ("source", "diode")]
        self.coils = [i for i, p in enumerate(parts) if p.what == "coil"]
        self.held = np.array([self._held(parts[i], most) for i in self.bending])
        self.limit = np.array([parts[i].limit for i in self.bending])
        self.source = np.array([parts[i].what == "source" for i in self.bending], dtype=bool)
        self.ground = next(nodes[p.b] for p in parts if p.what == "source")

    @staticmethod
    def _held(part: Part, most: bool) -> float:
        if part.what == "diode":
            return part.size
        return part.most if most else part.least

    def solve(self) -> Floats:
        found = np.full((len(self.live), len(self.coils)), np.nan)
        ways = [
            (HOLDING, OFF, LIMITED) if there and np.isfinite(self.limit[k]) else (HOLDING, OFF)
            for k, there in enumerate(self.source)
        ]
        for combination in product(*ways):
            states = np.array(combination)
            # What is not there cannot be on, and one combination without it is enough.
            able = ~((states != OFF) & ~self.live[:, self.bending]).any(axis=1)
            todo = np.flatnonzero(np.isnan(found).any(axis=1) & able)
            if todo.size:
                volts, agrees = self._try(todo, states)
                across = volts[:, self.a[self.coils]] - volts[:, self.b[self.coils]]
                found[todo[agrees]] = across[agrees]
        if np.isnan(found).any():
            raise NoAnswer
        return found

    def _try(self, todo: NDArray[np.int64], states: States) -> tuple[Floats, Bits]:
        matrix, right = self._matrix(todo, states)
        answer = np.linalg.solve(matrix, right[..., None])[..., 0]
        volts, amps = answer[:, : self.nodes], answer[:, self.nodes :]
        a, b = self.a[self.bending], self.b[self.bending]
        across = volts[:, a] - volts[:, b]
        forward = np.where(self.source, -1.0, 1.0)
        passes = (amps * forward >= -1e-6) & (np.abs(amps) <= self.limit + 1e-6)
        blocks = (across - self.held) * forward <= 1e-6
        stands_off: Bits = blocks | ~self.live[todo][:, self.bending]
        agrees: Bits = np.where(states == HOLDING, passes, stands_off)
        # At its limit a source has fewer volts than it would hold, whatever the sign of what it blocks.
        agrees = np.where(states == LIMITED, across <= self.held + 1e-6, agrees)
        return np.asarray(volts, dtype=np.float64), np.asarray(agrees.all(axis=1), dtype=np.bool_)

    def _matrix(self, todo: NDArray[np.int64], states: States) -> tuple[Floats, Floats]:
        size = self.nodes + len(self.bending)
        matrix, right = np.zeros((todo.size, size, size)), np.zeros((todo.size, size))
        for i, part in enumerate(self.parts):
            if part.what in ("source", "diode"):
                continue
            g = self.live[todo, i] / max(part.size, JOINT)
            a, b = self.a[i], self.b[i]
            matrix[:, a, a] += g
            matrix[:, b, b] += g
            matrix[:, a, b] -= g
            matrix[:, b, a] -= g
        matrix[:, range(self.nodes), range(self.nodes)] += LEAK
        for k, i in enumerate(self.bending):
            row = self.nodes + k
            matrix[:, self.a[i], row] += 1.0
            matrix[:, self.b[i], row] -= 1.0
            if states[k] == HOLDING:
                matrix[:, row, self.a[i]], matrix[:, row, self.b[i]] = 1.0, -1.0
                right[:, row] = self.held[k]
            else:
                matrix[:, row, row] = 1.0
                right[:, row] = -self.limit[k] if states[k] == LIMITED else 0.0
        matrix[:, self.ground, :] = 0.0
        matrix[:, self.ground, self.ground] = 1.0
        right[:, self.ground] = 0.0
        return matrix, right
