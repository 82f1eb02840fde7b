"""The connection graph of a plan: terminals joined by primitives and conductors.

The only module that imports networkx. What other layers ask of a graph (blocks, cycles of dependence) is
answered here in plain names and branches.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import networkx as nx

from plancheck.plan.conductor import run_resistance
from plancheck.plan.guard import Guard
from plancheck.plan.model import Device, Plan, Wire
from plancheck.source import Span
from plancheck.units import Quantity


@dataclass(frozen=True, slots=True, eq=False)
class Branch:
    """One electrical part between two terminals: a device's primitive, or a conductor.

    `what` is a primitive's name or `conductor`; `a` and `b` are `device:terminal`, plus before minus. `data` is in
    SI; a conductor's holds `ohms`, 0 for a jumper, and lacks it where the plan does not tell the run.
    """

    key: str
    what: str
    device: str
    name: str
    a: str
    b: str
    style: str
    guard: Guard | None
    data: Mapping[str, float | str | bool]
    at: Span
    wire: Wire | None = None

    def number(self, setting: str) -> float | None:
        """A numeric setting, or None where the plan does not give it."""
        value = self.data.get(setting)
        return value if isinstance(value, float) else None


@dataclass(slots=True)
class ConnectionGraph:
    """All branches of a plan, indexed."""

    plan: Plan
    branches: list[Branch]
    by_key: dict[str, Branch]
    by_device: dict[str, list[Branch]]
    wires_at: dict[str, list[Branch]]
    """Conductors that reach each terminal."""
    at: dict[str, list[Branch]]
    """Branches at each terminal."""
    jumpers: int = 0
    """Conductors taken to have no resistance, since they run in no cable and state no length."""
    _nets: dict[str, str] = field(default_factory=dict)

    def net(self, terminal: str) -> str:
        """Name of the net that a terminal is on: all that wire and links alone join, whatever the contacts do."""
        if not self._nets:
            self._nets = _nets(self.branches)
        return self._nets.get(terminal, terminal)


def build_graph(plan: Plan) -> ConnectionGraph:
    """Draw the connections of a resolved plan."""
    branches = [b for d in plan.devices.values() for b in _device_branches(d)]
    wires_at: dict[str, list[Branch]] = defaultdict(list)
    jumpers = 0
    for wire in plan.wires:
        branch = _conductor(plan, wire)
        branches.append(branch)
        jumpers += branch.data.get("ohms") == 0.0
        wires_at[branch.a].append(branch)
        wires_at[branch.b].append(branch)
    by_device: dict[str, list[Branch]] = defaultdict(list)
    at: dict[str, list[Branch]] = defaultdict(list)
    for branch in branches:
        by_device[branch.device].append(branch)
        at[branch.a].append(branch)
        at[branch.b].append(branch)
    by_key = {b.key: b for b in branches}
    return ConnectionGraph(plan, branches, by_key, dict(by_device), dict(wires_at), dict(at), jumpers)


def _device_branches(device: Device) -> list[Branch]:
    name, at = device.name, device.at
    prefix = f"{name}:"
    return [
        Branch(f"{name}.{p.name}", p.what, name, p.name, prefix + p.a, prefix + p.b, p.style, p.guard, p.data, at)
        for p in device.primitives
    ]


def _conductor(plan: Plan, wire: Wire) -> Branch:
    a, b = wire.a.key, wire.b.key
    ohms, missing = _ohms(plan, wire)
    data: dict[str, float | str | bool] = {"missing": missing} if ohms is None else {"ohms": ohms}
    where = f" in {wire.cable}/{wire.colour}" if wire.cable else ""
    key = f"wire {a} to {b}{where}"
    return Branch(key, "conductor", "", key, a, b, "", None, data, wire.at, wire)


def _ohms(plan: Plan, wire: Wire) -> tuple[float | None, str]:
    """Resistance of a wire in ohms, or None and what the plan does not tell of the run."""
    cable = plan.devices.get(wire.cable)

    def given(slot: str) -> float | None:
        value = wire.values.get(slot, cable.get(slot) if cable else None)
        return value.value if isinstance(value, Quantity) else None

    length, area = given("length"), given("area")
    if cable is None and length is None:
        return 0.0, ""
    if length is None:
        return None, f"{wire.cable} states no length"
    per_length = given("resistance")
    if per_length is not None:
        return per_length * length, ""
    if area is None:
        return None, f"{wire.cable or 'the wire'} states no gauge"
    solid = bool(cable and cable.get("solid"))
    material = cable.get("material") if cable else None
    metal = material if isinstance(material, str) else "copper"
    return run_resistance(length, area, plan.ambient_high, stranded=not solid, material=metal), ""


def _nets(branches: Iterable[Branch]) -> dict[str, str]:
    wired = nx.Graph()
    wired.add_edges_from((b.a, b.b) for b in branches if b.what in ("conductor", "link"))
    return {terminal: min(net) for net in nx.connected_components(wired) for terminal in net}


def blocks(branches: Sequence[Branch]) -> list[list[Branch]]:
    """Sets of branches that can carry current together: each lies on a loop with every other.

    A branch on no loop (a stub, the one wire between two returns) carries none and is in no block.
    """
    return [piece for piece in pieces(branches) if len(piece) > 1]


def pieces(branches: Sequence[Branch]) -> list[list[Branch]]:
    """Every block, and every branch on no loop as a piece of its own; pieces share no more than a terminal."""
    between: dict[tuple[str, str], list[int]] = defaultdict(list)
    for i, branch in enumerate(branches):
        between[min(branch.a, branch.b), max(branch.a, branch.b)].append(i)
    simple = nx.Graph(pair for pair in between if pair[0] != pair[1])
    found = []
    for edges in nx.biconnected_component_edges(simple):
        # In plan order, so that two doors drawn alike make networks alike.
        found.append(sorted(i for a, b in edges for i in between[min(a, b), max(a, b)]))
    return [[branches[i] for i in piece] for piece in sorted(found)]


def on_a_loop_with(branch: Branch, others: Sequence[Branch]) -> list[Branch]:
    """Those of `others` that lie on some loop through `branch` and others alone, passing no terminal twice."""
    return on_the_way(branch.a, branch.b, others)


def on_the_way(start: str, goal: str, branches: Sequence[Branch]) -> list[Branch]:
    """Branches that lie on some path from one terminal to another, passing no terminal twice."""
    chain = _only_way(start, goal, branches)
    if chain is not None:
        return [b for b in branches if b.key in chain]
    # With a branch of its own from start to goal, the paths are the loops through it.
    graph = nx.Graph([(start, goal), *((b.a, b.b) for b in branches if b.a != b.b)])
    own = frozenset((start, goal))
    for edges in nx.biconnected_component_edges(graph):
        pairs = {frozenset(edge) for edge in edges}
        if own in pairs:
            return [b for b in branches if frozenset((b.a, b.b)) in pairs]
    return []


def _only_way(start: str, goal: str, branches: Sequence[Branch]) -> set[str] | None:
    """Keys of the branches from one terminal to another where there is never a choice, as mostly; else None."""
    at: dict[str, list[Branch]] = defaultdict(list)
    for branch in branches:
        if branch.a != branch.b:
            at[branch.a].append(branch)
            at[branch.b].append(branch)
    chain: set[str] = set()
    node = goal
    while node != start:
        onward = [b for b in at[node] if b.key not in chain]
        if len(onward) != 1:
            return None if onward else set()
        chain.add(onward[0].key)
        node = onward[0].b if onward[0].a == node else onward[0].a
    return chain


def in_dependence_order(count: int, needs: Iterable[tuple[int, int]]) -> list[list[int]]:
    """Numbers 0 to count-1 in groups: those that depend on one another in a circle share a group.

    `needs` holds pairs (a, b) where a depends on b; a group comes behind all that it depends on.
    """
    graph = nx.DiGraph()
    graph.add_nodes_from(range(count))
    graph.add_edges_from(needs)
    # Components come out of this algorithm in reverse topological order: what is depended on comes first.
    return [sorted(group) for group in nx.strongly_connected_components(graph)]
