"""Sag: supplies that more is asked of than they give.

A supply that holds its volts falls apart into circuits that do not feel each other. One that is shorted or overloaded
does not hold them: what hangs on it is then worked out in one piece.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from plancheck.circuit.conditions import Levels
from plancheck.circuit.demand import greatest_together
from plancheck.circuit.engine import Engine
from plancheck.circuit.memory import Memory
from plancheck.circuit.network import Network, split_into_networks
from plancheck.circuit.readings import demands
from plancheck.circuit.values import source_limit
from plancheck.plan.graph import Branch, ConnectionGraph

Together = tuple[float, dict[str, bool]]
"""Amperes, and the condition of the signals that circuits share in which they are drawn."""


@dataclass(frozen=True, slots=True)
class Working:
    """A plan's networks, worked out as drawn. `held_up` names supplies that should sag and are too large for it.

    `asked` tells of each source that is asked for all that it gives or more, by key, how many amperes its loads draw
    together at worst, did it hold its volts: once they sink, loads come and go, and what they draw tells nothing.
    """

    networks: list[Network]
    engine: Engine
    held_up: tuple[str, ...]
    asked: Mapping[str, Together]


def worked_out(graph: ConnectionGraph, memory: Memory | None = None) -> Working:
    """Work out a plan, first with every supply holding its volts, then with those in one piece that cannot."""
    networks, engine = _with_whole(graph, (), memory)
    sources = [b for b in graph.branches if b.what == "source"]
    asked = {s.key: together for s in sources if (together := _beyond_limit(engine, s)) is not None}
    if not asked:
        return Working(networks, engine, (), asked)
    devices = {s.device for s in sources if s.key in asked}
    whole, sagging = _with_whole(graph, devices, memory)
    concerned = [n for n in whole if any(s.device in devices for s in n.sources)]
    if any(isinstance(sagging.states(n), str) for n in concerned):
        return Working(networks, engine, tuple(sorted(devices)), asked)
    return Working(whole, sagging, (), asked)


def _with_whole(graph: ConnectionGraph, whole: Collection[str], memory: Memory | None) -> tuple[list[Network], Engine]:
    networks = split_into_networks(graph.branches, whole)
    engine = Engine(graph, networks, whole, memory)
    engine.solve_as_drawn()
    return networks, engine


def _beyond_limit(engine: Engine, source: Branch) -> Together | None:
    """What a source's circuits together ask for at worst, if that is all that it gives, or more."""
    found: list[Levels] = []
    for network, number in engine.homes.get(source.key, ()):
        states = engine.states(network)
        if isinstance(states, str):
            return None
        found.append(demands(states, number, states.groups))
    limit = source_limit(source) * (1 - 1e-6)
    if sum(max((amps for _, amps in levels.parts if amps == amps), default=0.0) for levels in found) < limit:
        return None  # not even if each asked for its most at once
    together = greatest_together(found)
    return together if together is not None and together[0] >= limit else None
