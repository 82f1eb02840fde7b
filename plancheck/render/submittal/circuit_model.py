"""The circuit of a plan as data for a page: parts between terminals, signals, failures. SI, in plain lists.

What the page works out of it for a condition is what `circuit/` works out; `submittal/circuit.js` says how.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from plancheck.circuit.facts import Facts
from plancheck.circuit.network import asked_keys
from plancheck.circuit.values import Incomplete, branch_values, part_name, rating
from plancheck.circuit.variation import Failure
from plancheck.plan.graph import Branch
from plancheck.plan.guard import All, AnyOf, Atom, Constant, Guard, Not
from plancheck.plan.model import Device, Plan, Signal

_STYLES = {"electronic": "electronics", "resistive": "ohmic"}
_NEVER = 1e99
"""Volts from which a part that has no state at all would be on."""


@dataclass(frozen=True)
class CircuitModel:
    """The data, and the numbers by which it names terminals, parts and signals."""

    data: dict[str, Any]
    terminals: Mapping[str, int]
    parts: Mapping[str, int]
    signals: Mapping[str, int]

    def failure(self, failure: Failure) -> dict[str, Any]:
        """A failure in the numbers of the model; of parts that the model lacks nothing is said."""
        joined = failure.joined
        inside = (
            key for key, part in zip(self.parts, self.data["parts"], strict=True) if part.get("d") == failure.dead
        )
        gone = {key for key in inside if "in" in self.data["parts"][self.parts[key]]} if failure.dead else set[str]()
        known = joined is not None and all(end in self.terminals for end in joined)
        return {
            "says": failure.what,
            "removed": self._numbers(failure.removed | gone),
            "welded": self._numbers(failure.welded),
            "joined": [self.terminals[end] for end in joined] if joined is not None and known else None,
            "dead": failure.dead,
        }

    def reaches(self, failure: Failure) -> bool:
        """Whether a failure has to do with parts of the model."""
        return any(part in self.parts for part in failure.parts)

    def _numbers(self, keys: Iterable[str]) -> list[int]:
        return sorted(self.parts[key] for key in keys if key in self.parts)


def circuit_model(facts: Facts, branches: Sequence[Branch], devices: Sequence[Device]) -> CircuitModel:
    """The model of some branches of a plan, with the signals and states of `devices`."""
    graph = facts.graph
    terminals: dict[str, int] = {}
    for branch in branches:
        for end in (branch.a, branch.b):
            terminals.setdefault(end, len(terminals))
    parts = {branch.key: i for i, branch in enumerate(branches)}
    signals: dict[str, Signal] = {}
    for device in devices:
        for signal in device.signals.values():
            signals.setdefault(signal.key, signal)
    numbers = {key: i for i, key in enumerate(signals)}
    asked = {key for branch in branches for key in asked_keys(branch)}
    lasting = {key for network in facts.engine.networks for key in network.feedback}
    words = _Guards(graph.plan, parts, numbers)
    wires = {branch: f"w{i}" for i, branch in enumerate(b for b in graph.branches if b.wire is not None)}
    returns = _returns(facts, terminals)
    data = {
        "terminals": list(terminals),
        "returns": [returns.get(terminal) for terminal in terminals],
        "parts": [
            _part(b, terminals, words, b.key in asked, b.key in lasting) | ({"wire": wires[b]} if b in wires else {})
            for b in branches
        ],
        "signals": [_signal(signal) for signal in signals.values()],
        "states": [
            {"device": device.name, "name": state.name, "g": words.of(state.guard, device.name)}
            for device in devices
            for state in device.states
        ],
    }
    return CircuitModel(data, terminals, parts, numbers)


def _returns(facts: Facts, terminals: Mapping[str, int]) -> dict[str, int]:
    """By terminal, that against which its volts are told: the return of the first source of its circuit."""
    found: dict[str, int] = {}
    for network in facts.engine.networks:
        against = terminals.get(network.sources[0].b) if network.sources else None
        if against is not None:
            for branch in network.branches:
                found.setdefault(branch.a, against)
                found.setdefault(branch.b, against)
    return found


def _part(branch: Branch, terminals: Mapping[str, int], words: _Guards, asked: bool, lasting: bool) -> dict[str, Any]:
    """`asked`: a guard hangs on it; `lasting`: one of its own network: between drop-out and pull-in it stays."""
    what = _STYLES.get(part_name(branch), part_name(branch))
    found: dict[str, Any] = {"w": what, "a": terminals[branch.a], "b": terminals[branch.b], "k": branch.key}
    if branch.device:
        found["d"] = branch.device
    if branch.guard is not None:
        found["g"] = words.of(branch.guard, branch.device)
    if asked:
        found["asked"] = True
    if lasting:
        found["lasting"] = True
    try:
        if "missing" in branch.data:
            raise Incomplete(str(branch.data["missing"]))
        found |= _values(branch)
    except Incomplete as why:
        found["lacks"] = str(why)
        if branch.what == "load":
            found["in"] = found["out"] = _NEVER
            found["n"] = [[1.0, 0.0, 0.0]]
    return found


def _values(branch: Branch) -> dict[str, Any]:
    match branch.what:
        case "source":
            levels = dict.fromkeys([branch_values(branch, level) for level in ("volts", "least", "most")])
            several = len(levels) > 1
            names = ("volts", "least", "most") if several else ("volts",)
            return {"n": [_row(branch_values(branch, level)) for level in names]}
        case "load":
            rated = rating(branch)
            pull_in = rated.pull_in if math.isfinite(rated.pull_in) else _NEVER
            return {"n": [_row(branch_values(branch, "volts"))], "in": pull_in, "out": rated.drop_out}
        case "conductor" if branch.number("ohms"):
            return {"n": [[branch.number("ohms"), 0.0, 0.0]]}
        case "one-way":
            return {"n": [_row(branch_values(branch, "volts"))]}
        case "protector":
            amps = branch.number("amps")
            return {} if amps is None else {"n": [[amps, 0.0, 0.0]]}
    return {}


def _row(values: tuple[float, float, float]) -> list[float | None]:
    """Three numbers; an infinite one, which JSON has no word for, as none."""
    return [value if math.isfinite(value) else None for value in values]


def _signal(signal: Signal) -> dict[str, Any]:
    return {"key": signal.key, "says": signal.says or signal.key, "rests": signal.rests_on, "device": signal.device}


class _Guards:
    """Guards in the words of the page: ["signal", number], ["part", number], ["not", …], ["and", …], ["or", …]."""

    def __init__(self, plan: Plan, parts: Mapping[str, int], signals: Mapping[str, int]) -> None:
        self.plan, self.parts, self.signals = plan, parts, signals

    def of(self, guard: Guard, device: str) -> Any:
        match guard:
            case Constant(on):
                return on
            case Not(inner):
                return ["not", self.of(inner, device)]
            case All(parts):
                return ["and", *(self.of(part, device) for part in parts)]
            case AnyOf(parts):
                return ["or", *(self.of(part, device) for part in parts)]
            case Atom("signal", name):
                number = self.signals.get(self.plan.devices[device].signals[name].key)
                return False if number is None else ["signal", number]
            case Atom():
                part = self.parts.get(f"{device}.{guard.name}")
                return False if part is None else ["part", part]
