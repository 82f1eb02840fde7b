"""Operating points: volts and amps of many networks of one shape at a time. The only module that imports numpy.

Modified nodal analysis, on nodes that what loses no volts has joined. Resistive parts stamp a conductance; sources
and one-ways get a row of their own, so that an ideal voltage needs no large conductance. States of sources (holding,
at their current limit, blocked) and one-ways (conducting or not), and the conductance of loads that are no plain
resistance, are found by iteration.

AC is worked in RMS with loads as resistances.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from plancheck.circuit.frame import Core

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Array = NDArray[np.floating]

ROW_OHMS = 1e-6
"""What a source or a conducting one-way resists inside: enough for two in parallel to share the current."""

SENSE_OHMS = 1e6
"""What a dry input shows to volts from outside."""

UNLOADED = 1e-2
"""Fraction of rated current that loads draw in the unloaded model: volts divide as ever, hardly any drop."""

LEAK = 1e-11
"""Siemens from every node to its ground, so that a node behind a blocking diode has a voltage."""

_MANY_STATES, _MANY_ROUNDS = 12, 1000
_SETTLED = 1e-7
_NOISE = 1e-7
"""Volts and amperes below which a state is not changed: rounding makes as much of nothing."""


class Model(IntEnum):
    """How loads draw."""

    OHMS = 0
    """Coils as the resistance of their rated volts and amps."""
    AMPS = 1
    """Coils at rated amps as long as they have half their rated volts."""
    UNLOADED = 2
    """Everything at a hundredth, for the greatest volts."""


class _State(IntEnum):
    OFF = 0
    HOLDING = 1
    LIMITED = 2


@dataclass(frozen=True, slots=True)
class Points:
    """Operating points: `volts` (points, core nodes), `amps` from a to b (points, core branches), `settled`."""

    volts: Floats
    amps: Floats
    settled: NDArray[np.bool_]


def operating_points(core: Core, values: Sequence[Sequence[Sequence[float]]], models: Sequence[int]) -> Points:
    """Solve a core for many sets of values at once.

    `values` is (points, branches, 3): ohms for resistive parts; volts and greatest amps for a source; forward
    drop for a one-way; rated volts, rated amps (watts where electronic) and whether polarised for a load.
    """
    return _Batch(core, np.asarray(values, dtype=float), np.asarray(models)).solve()


class _Batch:
    """Working arrays of one call."""

    def __init__(self, core: Core, values: Floats, models: NDArray[np.int64]) -> None:
        self.core, self.values, self.models = core, values, models
        self.count = len(values)
        kinds = [w[0] for w in core.wiring]
        self.rowed = [i for i, k in enumerate(kinds) if k in ("source", "one-way")]
        self.one_way = np.array([kinds[i] == "one-way" for i in self.rowed], dtype=bool)
        self.bending = [i for i, k in enumerate(kinds) if k in ("coil", "electronic", "resistive")]
        self.electronic = np.array([kinds[i] == "electronic" for i in self.bending], dtype=bool)
        self.coil = np.array([kinds[i] == "coil" for i in self.bending], dtype=bool)
        self.from_node = np.array([w[1] for w in core.wiring])
        self.to_node = np.array([w[2] for w in core.wiring])
        self.nodes = int(max(self.from_node.max(), self.to_node.max())) + 1
        self.state = np.where(self.one_way, _State.OFF, _State.HOLDING) * np.ones((self.count, 1), dtype=int)
        self.conductance = self._fixed_conductance(kinds)
        self.held_volts = values[:, self.rowed, 0]
        self.limit = values[:, self.rowed, 1]

    def _fixed_conductance(self, kinds: list[str]) -> Floats:
        g = np.zeros((self.count, len(kinds)))
        for i, kind in enumerate(kinds):
            if kind == "conductor":
                g[:, i] = 1.0 / np.maximum(self.values[:, i, 0], ROW_OHMS)
            elif kind == "sense":
                g[:, i] = 1.0 / SENSE_OHMS
        g[:, self.bending] = self._load_conductance(None)
        return g

    def _load_conductance(self, volts: Floats | None) -> Floats:
        """Current per volt of each load at `volts` across it (points, loads); None: at rated volts."""
        rated, draw, polarised = (self.values[:, self.bending, k] for k in range(3))
        across = rated if volts is None else np.abs(volts)
        most = np.maximum(across, rated / 2)
        model = self.models[:, None]
        ohmic = np.where(self.electronic, draw / most**2, draw / rated)
        constant = np.where(self.coil, draw / most, ohmic)
        g = np.where(model == Model.AMPS, constant, ohmic)
        g = np.where(model == Model.UNLOADED, UNLOADED * np.where(self.electronic, draw / rated**2, draw / rated), g)
        if volts is not None:
            # A dead island stands at no volts, give or take a rounding: that is not the wrong way round.
            g = np.where((polarised > 0) & (volts < -_NOISE) & self.electronic, 0.0, g)
        return g

    def solve(self) -> Points:
        volts = np.zeros((self.count, self.nodes))
        amps = np.zeros((self.count, len(self.core.wiring)))
        settled = np.zeros(self.count, dtype=bool)
        todo = np.arange(self.count)
        for round_number in range(_MANY_ROUNDS):
            volts[todo], amps[todo] = self._linear(todo)
            moved = self._change_states(todo, volts[todo], amps[todo], round_number)
            moved |= self._change_conductance(todo, volts[todo])
            settled[todo[~moved]] = True
            todo = todo[moved]
            if not todo.size:
                break
        return Points(volts, amps, settled)

    def _linear(self, todo: NDArray[np.int64]) -> tuple[Array, Array]:
        nodes, rows = self.nodes, len(self.rowed)
        size = nodes + rows
        matrix = np.zeros((todo.size, size, size))
        right = np.zeros((todo.size, size))
        g = self.conductance[todo]
        for i, (kind, _, _) in enumerate(self.core.wiring):
            a, b = self.from_node[i], self.to_node[i]
            if kind in ("source", "one-way") or a == b:
                continue
            matrix[:, a, a] += g[:, i]
            matrix[:, b, b] += g[:, i]
            matrix[:, a, b] -= g[:, i]
            matrix[:, b, a] -= g[:, i]
        matrix[:, range(nodes), range(nodes)] += LEAK
        self._stamp_rows(matrix, right, todo)
        for ground in self.core.grounds:
            matrix[:, ground, :] = 0.0
            matrix[:, ground, ground] = 1.0
            right[:, ground] = 0.0
        answer = np.linalg.solve(matrix, right[..., None])[..., 0]
        volts = answer[:, :nodes]
        amps = g * (volts[:, self.from_node] - volts[:, self.to_node])
        amps[:, self.rowed] = answer[:, nodes:]
        return volts, amps

    def _stamp_rows(self, matrix: Floats, right: Floats, todo: NDArray[np.int64]) -> None:
        """A row for each source and one-way: it holds its volts, gives its limit, or carries nothing."""
        for k, i in enumerate(self.rowed):
            a, b = self.from_node[i], self.to_node[i]
            row = self.nodes + k
            state = self.state[todo, k]
            holding = state == _State.HOLDING
            matrix[:, a, row] += 1.0
            matrix[:, b, row] -= 1.0
            matrix[:, row, a] += holding
            matrix[:, row, b] -= holding
            matrix[:, row, row] = np.where(holding, -ROW_OHMS, 1.0)
            limited = np.where(state == _State.LIMITED, -self.limit[todo, k], 0.0)
            right[:, row] = np.where(holding, self.held_volts[todo, k], limited)

    def _change_states(
        self, todo: NDArray[np.int64], volts: Floats, amps: Floats, round_number: int
    ) -> NDArray[np.bool_]:
        """Bring each source and one-way into the state that its volts and amps ask for; True where one moved."""
        if not self.rowed:
            return np.zeros(todo.size, dtype=bool)
        rowed = np.array(self.rowed)
        across = volts[:, self.from_node[rowed]] - volts[:, self.to_node[rowed]]
        through = amps[:, rowed]
        state = self.state[todo]
        held, limit = self.held_volts[todo], self.limit[todo]
        over, under = across > held + _NOISE, across < held - _NOISE
        # A one-way conducts from a to b; a source gives, so its current from a to b is negative.
        diode = np.where(state == _State.OFF, np.where(over, _State.HOLDING, state), state)
        diode = np.where((state == _State.HOLDING) & (through < -_NOISE), _State.OFF, diode)
        source = np.where((state == _State.HOLDING) & (through > _NOISE), _State.OFF, state)
        source = np.where((state == _State.HOLDING) & (-through > limit + _NOISE), _State.LIMITED, source)
        source = np.where((state == _State.LIMITED) & over, _State.HOLDING, source)
        source = np.where((state == _State.OFF) & under, _State.HOLDING, source)
        wanted = np.where(self.one_way, diode, source)
        changes = wanted != state
        if round_number >= _MANY_STATES:
            # All at once may swing for ever; one at a time, the first, does not.
            first = np.zeros_like(changes)
            first[np.arange(todo.size), changes.argmax(axis=1)] = True
            wanted = np.where(first, wanted, state)
        self.state[todo] = wanted
        return _any_in_row(changes)

    def _change_conductance(self, todo: NDArray[np.int64], volts: Floats) -> NDArray[np.bool_]:
        """Fit the conductance of each load to its volts; True where one moved."""
        if not self.bending:
            return np.zeros(todo.size, dtype=bool)
        loads = np.array(self.bending)
        across = np.zeros((self.count, loads.size))
        across[todo] = volts[:, self.from_node[loads]] - volts[:, self.to_node[loads]]
        wanted = self._load_conductance(across)[todo]
        old = self.conductance[np.ix_(todo, loads)]
        self.conductance[np.ix_(todo, loads)] = wanted
        return _any_in_row(np.abs(wanted - old) > _SETTLED * (np.abs(old) + 1e-15))


def _any_in_row(table: NDArray[np.bool_]) -> NDArray[np.bool_]:
    return np.asarray(table.any(axis=1), dtype=np.bool_)


def shared(joints: Sequence[tuple[int, int]], into: Mapping[int, float]) -> list[float]:
    """Amperes through joints from a to b, given what the other branches bring `into` each node.

    The least currents that balance every node: that is how equal small resistances would share.
    """
    number = {n: k for k, n in enumerate(dict.fromkeys(n for joint in joints for n in joint))}
    brought = np.array([into.get(n, 0.0) for n in number])
    shares = _shares(tuple((number[a], number[b]) for a, b in joints))
    return [float(amps) for amps in shares @ brought]


@lru_cache(maxsize=4096)
def _shares(joints: tuple[tuple[int, int], ...]) -> Array:
    """Joints by nodes: what part of the amperes brought into each node passes each joint."""
    ends = np.zeros((1 + max(n for joint in joints for n in joint), len(joints)))
    for i, (a, b) in enumerate(joints):
        ends[a, i] += 1.0
        ends[b, i] -= 1.0
    return np.asarray(np.linalg.pinv(ends), dtype=float)
