"""Sag: supplies that more is asked of than they give.

A supply that holds its volts falls apart into circuits that do not feel each other. One that is shorted or overloaded
does not hold them: what hangs on it is then worked out in one piece.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from plancheck.circuit.conditions import Levels
from plancheck.circuit.demand import greatest_together
from plancheck.circuit.engine import Engine
from plancheck.circuit.network import Network, split_into_networks
from plancheck.circuit.readings import demands
from plancheck.circuit.values import source_limit
from plancheck.plan.graph import Branch, ConnectionGraph


@dataclass(frozen=True, slots=True)
class Working:
    """A plan's networks, worked out as drawn. `held_up` names supplies that should sag and are too large for it."""

    networks: list[Network]
    engine: Engine
    held_up: tuple[str, ...]


def worked_out(graph: ConnectionGraph) -> Working:
    """Work out a plan, first with every supply holding its volts, then with those in one piece that cannot."""
    networks, engine = _with_whole(graph, ())
    asked = {s.device for s in graph.branches if s.what == "source" and _beyond_limit(engine, s)}
    if not asked:
        return Working(networks, engine, ())
    whole, sagging = _with_whole(graph, asked)
    concerned = [n for n in whole if any(s.device in asked for s in n.sources)]
    if any(isinstance(sagging.states(n), str) for n in concerned):
        return Working(networks, engine, tuple(sorted(asked)))
    return Working(whole, sagging, ())


def _with_whole(graph: ConnectionGraph, whole: Collection[str]) -> tuple[list[Network], Engine]:
    networks = split_into_networks(graph.branches, whole)
    engine = Engine(graph, networks, whole)
    engine.solve_as_drawn()
    return networks, engine


def _beyond_limit(engine: Engine, source: Branch) -> bool:
    """Whether a source's circuits together ask for all that it gives, or more, in some condition."""
    found: list[Levels] = []
    for network, number in engine.homes.get(source.key, ()):
        states = engine.states(network)
        if isinstance(states, str):
            return False
        found.append(demands(states, number, states.groups))
    limit = source_limit(source) * (1 - 1e-6)
    if sum(max((amps for _, amps in levels.parts if amps == amps), default=0.0) for levels in found) < limit:
        return False  # not even if each asked for its most at once
    together = greatest_together(found)
    return together is not None and together[0] >= limit
