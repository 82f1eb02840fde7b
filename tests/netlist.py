"""From the branches of a plan's connection graph to parts of the circuit simulator.

Independent of the engine: it shares with it only the branches, as the plan gives them. What a part does at
which volts is written here again, from the design: coils as resistances, electronics at constant power.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping

from plancheck.plan.graph import Branch
from plancheck.plan.guard import All, AnyOf, Atom, Constant, Guard, Not
from tests.simulator import Electronic, OneWay, Part, Resistor, Source, Steady

BOUNDLESS = 1e4
"""Amperes of a source whose plan gives no limit: more than any wire here passes."""

DRY_INPUT_OHMS = 1e6
"""What a dry input shows to volts from outside (the engine's stated assumption)."""


def netlist(
    branches: Iterable[Branch], on: Callable[[Branch], bool], level: str = "volts", model: str = "ohms"
) -> list[Part]:
    """The parts that can carry current; `on` says which contacts are made and which sources alive.

    `level` is the end of each source's band: volts, least or most. `model` is how loads draw: `ohms`, coils
    as resistances; `amps`, coils at rated current; `unloaded`, everything at a hundredth.
    """
    parts: list[Part] = []
    for branch in branches:
        if branch.a == branch.b or branch.what == "clamp":
            continue
        if branch.what in ("contact", "source") and not on(branch):
            continue
        parts.append(_part(branch, level, model))
    return parts


def _part(branch: Branch, level: str, model: str) -> Part:
    key, a, b = branch.key, branch.a, branch.b
    match branch.what:
        case "conductor":
            return Resistor(key, a, b, _number(branch, "ohms", 0.0))
        case "source":
            volts = _number(branch, level, _number(branch, "volts"))
            return Source(key, a, b, volts, _limit(branch))
        case "one-way":
            return OneWay(key, a, b, _number(branch, "drop", 0.7))
        case "sense":
            return Resistor(key, a, b, DRY_INPUT_OHMS)
        case "load":
            return _load(branch, model)
    return Resistor(key, a, b, 0.0)


def _load(branch: Branch, model: str) -> Part:
    key, a, b = branch.key, branch.a, branch.b
    volts, amps = rated(branch)
    if branch.style == "electronic":
        polarised = bool(branch.data.get("polarised"))
        if model == "unloaded":
            # Far below half of its volts it is a plain resistance, which still blocks where it is polarised.
            return Electronic(key, a, b, 2e3, 1e4 * amps / volts, polarised)
        return Electronic(key, a, b, volts, volts * amps, polarised)
    if model == "amps" and branch.style != "resistive":
        return Steady(key, a, b, volts, amps)
    return Resistor(key, a, b, volts / amps * (100.0 if model == "unloaded" else 1.0))


def rated(load: Branch) -> tuple[float, float]:
    """Volts and amps that a load is made for; for a plain resistor 1 V and what it draws there."""
    ohms = _number(load, "ohms", math.nan)
    volts = _number(load, "volts", 1.0 if ohms == ohms else math.nan)
    amps = _number(load, "amps", _number(load, "watts", math.nan) / volts)
    return volts, volts / ohms if amps != amps else amps


def thresholds(load: Branch) -> tuple[float, float]:
    """Volts from which a load is surely on, and down to which it is surely off.

    85 % and 5 % of rated volts where the kind says nothing (UL 294 test range, from memory; common practice). A
    plain resistor is neither.
    """
    if "volts" not in load.data:
        return math.inf, 0.0
    volts = _number(load, "volts")
    return _number(load, "pull-in", 0.85 * volts), _number(load, "drop-out", 0.05 * volts)


def holds(guard: Guard | None, true: Callable[[Atom], bool]) -> bool:
    """Whether a guard is on; a part without one always is."""
    match guard:
        case None:
            return True
        case Constant(on):
            return on
        case Not(inner):
            return not holds(inner, true)
        case All(parts):
            return all(holds(part, true) for part in parts)
        case AnyOf(parts):
            return any(holds(part, true) for part in parts)
        case Atom():
            return true(guard)


def joined_by_metal(branches: Iterable[Branch], on: Callable[[Branch], bool]) -> Mapping[str, str]:
    """For each terminal one that stands for all that wire, links, fuses and made contacts join it to."""
    leader: dict[str, str] = {}

    def find(node: str) -> str:
        while leader.setdefault(node, node) != node:
            node = leader[node]
        return node

    for branch in branches:
        metal = branch.what in ("conductor", "link", "protector") or branch.style == "resistive"
        if metal or (branch.what == "contact" and on(branch)):
            leader[find(branch.a)] = find(branch.b)
        else:
            find(branch.a), find(branch.b)
    return {node: find(node) for node in leader}


def _limit(source: Branch) -> float:
    volts, watts = _number(source, "volts"), _number(source, "watts", math.nan)
    amps = _number(source, "amps", watts / volts)
    return BOUNDLESS if amps != amps else amps


def _number(branch: Branch, setting: str, otherwise: float | None = None) -> float:
    value = branch.data.get(setting, otherwise)
    assert isinstance(value, float), f"{branch.key} lacks {setting}"
    return value
