"""How a sheet stands in one condition: what is written at terminals and locks, how wires and contacts are drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from plancheck.circuit.scene import Scene
from plancheck.plan.graph import Branch, ConnectionGraph

CARRIES, AT_VOLTS, DEAD, UNKNOWN = "carries", "volts", "dead", "unknown"
"""A wire carries current, stands at some volts, has neither, or could not be worked out."""

LEAST_AMPS, LEAST_VOLTS = 1e-4, 0.05
"""Below these a wire counts as carrying nothing, and as having no volts."""


@dataclass(frozen=True)
class Standing:
    """Texts by terminal and device, the state of each wire by link key, and the contacts that are made."""

    volts: Mapping[str, str] = field(default_factory=dict)
    wires: Mapping[str, str] = field(default_factory=dict)
    made: frozenset[str] = frozenset()
    feet: Mapping[str, str] = field(default_factory=dict)


NOTHING = Standing()


def standing(graph: ConnectionGraph, scene: Scene, feet: Mapping[str, str]) -> Standing:
    """The standing of all sheets of a plan in one scene; `feet` are the words for locks and inputs."""
    wires = [branch for branch in graph.branches if branch.wire is not None]
    return Standing(
        {terminal: volts_text(volts) for terminal, volts in scene.volts.items() if terminal not in scene.unknown}
        | dict.fromkeys(scene.unknown, "?"),
        {f"w{i}": _wire(branch, scene) for i, branch in enumerate(wires)},
        frozenset(key for key, made in scene.made.items() if made),
        feet,
    )


def volts_text(volts: float) -> str:
    """Volts as they stand beside a terminal."""
    shown = f"{volts:.1f}" if abs(volts) >= 10 else f"{volts:.2f}"
    return f"{shown.removeprefix('-') if float(shown) == 0 else shown} V"


def _wire(branch: Branch, scene: Scene) -> str:
    ends: Sequence[str] = (branch.a, branch.b)
    if any(end in scene.unknown for end in ends):
        return UNKNOWN
    if abs(scene.amps.get(branch.key, 0.0)) >= LEAST_AMPS:
        return CARRIES
    return AT_VOLTS if any(abs(scene.volts.get(end, 0.0)) >= LEAST_VOLTS for end in ends) else DEAD
