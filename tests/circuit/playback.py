"""A whole plan played through on the circuit simulator: nothing of the engine is used, neither its networks nor
its states. Signals are set, and contacts follow coils, coils follow volts, from all coils off to rest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from plancheck.plan.graph import Branch, ConnectionGraph
from plancheck.plan.guard import Atom
from tests.netlist import holds, joined_by_metal, netlist, thresholds
from tests.simulator import Part, Point, operating_points

MANY_ROUNDS = 12


@dataclass(slots=True)
class Play:
    """One condition of a plan: which signals are on, which loads energised and inputs made so far."""

    graph: ConnectionGraph
    signals: Mapping[str, bool]
    on_now: frozenset[str] = frozenset()
    rests: bool = True
    """Whether it came to rest; relays that chatter never do."""
    point: Point | None = None
    parts: list[Part] = field(default_factory=list)

    def on(self, branch: Branch) -> bool:
        """Whether a contact is made or a source alive."""
        return holds(branch.guard, lambda atom: self._true(branch, atom))

    def _true(self, branch: Branch, atom: Atom) -> bool:
        if atom.what == "signal":
            return self.signals[self.graph.plan.devices[branch.device].signals[atom.name].key]
        return f"{branch.device}.{atom.name}" in self.on_now

    def advance(self, point: Point) -> bool:
        """Let loads and inputs follow; True where one moved."""
        self.point = point
        before, self.on_now = self.on_now, frozenset(b.key for b in self.graph.branches if self._is_on(b, point))
        return self.on_now != before

    def _is_on(self, branch: Branch, point: Point) -> bool:
        if branch.what == "sense":
            metal = joined_by_metal(self.graph.branches, self.on)
            return metal[branch.a] == metal[branch.b]
        if branch.what != "load":
            return False
        pull_in, drop_out = thresholds(branch)
        volts = self.volts(branch)
        held = branch.key in self.on_now
        return volts >= pull_in or (held and volts > drop_out)

    def volts(self, branch: Branch) -> float:
        """Volts across a branch; without their sign where the part does not mind."""
        assert self.point is not None
        volts = self.point.volts.get(branch.a, 0.0) - self.point.volts.get(branch.b, 0.0)
        return volts if branch.data.get("polarised") else abs(volts)


def play(graph: ConnectionGraph, conditions: Sequence[Mapping[str, bool]]) -> list[Play]:
    """Every condition played until it rests or has had its rounds; all are simulated together, round after round."""
    plays = [Play(graph, signals) for signals in conditions]
    moving = plays
    for _ in range(MANY_ROUNDS):
        for one in moving:
            one.parts = netlist(graph.branches, one.on)
        points = operating_points([one.parts for one in moving])
        moving = [one for one, point in zip(moving, points, strict=True) if one.advance(point)]
    for one in moving:
        one.rests = False
    return plays
