"""Plans in which something has failed, played through on the circuit simulator: the netlist is altered by hand.

Nothing of the engine is used: a part is left out, a contact loses its guard, a joint is added, and then signals are
set, contacts follow coils, coils follow volts, from all coils off to rest.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from plancheck.plan.graph import Branch, ConnectionGraph
from tests.circuit.playback import MANY_ROUNDS, Play
from tests.netlist import netlist
from tests.proof.mishaps import Broken
from tests.simulator import Source, search

JOINT = 1e-4
"""Ohms of a short: a few amperes lose less than a millivolt in it."""


def altered(graph: ConnectionGraph, broken: Broken) -> ConnectionGraph:
    """The plan's connections, something having failed."""
    kept = [b for b in graph.branches if b.key not in broken.removed]
    branches = [replace(b, guard=None) if b.key in broken.welded else b for b in kept]
    if broken.joined is not None:
        a, b = broken.joined
        branches.append(
            Branch("joint", "conductor", "", "joint", a, b, "", None, {"ohms": JOINT}, graph.branches[0].at)
        )
    return replace(graph, branches=branches)


def played(plays: Sequence[Play]) -> list[Play | None]:
    """Each played until it rests, all of them simulated together; None where relays do not come to rest, or where the
    simulator finds no operating point."""
    moving, lost = list(plays), set[int]()
    for _ in range(MANY_ROUNDS):
        for play in moving:
            play.parts = netlist(play.graph.branches, play.on)
        points = search([play.parts for play in moving])
        lost |= {id(play) for play, point in zip(moving, points, strict=True) if point is None}
        moving = [p for p, point in zip(moving, points, strict=True) if point is not None and p.advance(point)]
        if not moving:
            break
    lost |= {id(play) for play in moving}
    return [None if id(play) in lost else play for play in plays]


def strained(play: Play) -> bool:
    """Whether a source stands at its limit, or has volts though it has nothing to give."""
    assert play.point is not None
    alive = {part.name: part for part in play.parts if isinstance(part, Source)}
    at_limit = any(-play.point.amps[name] >= 0.999 * part.amps for name, part in alive.items())
    return at_limit or any(play.volts(b) > 0.1 for b in _dead(play.graph.branches, alive))


def _dead(branches: Iterable[Branch], alive: Iterable[str]) -> list[Branch]:
    sources = [b for b in branches if b.what == "source"]
    poles = {(b.a, b.b) for b in sources if b.key in set(alive)}
    return [b for b in sources if (b.a, b.b) not in poles]
