"""Every operating point that the engine has worked out, set against the circuit simulator.

The simulator gets the branches of the network, with contacts and sources as this module judges their guards; the
engine's matrices, its pruning and its patterns are not looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from plancheck.circuit.conditions import Truth, members
from plancheck.circuit.network import atom_key
from plancheck.circuit.solve import Model
from plancheck.circuit.states import Engine, NetworkStates
from plancheck.circuit.values import STUDIES, Study
from plancheck.circuit.variation import AS_DRAWN
from plancheck.plan.graph import Branch
from plancheck.plan.guard import Atom
from tests.netlist import holds, netlist
from tests.simulator import Part, Point, Resistor, pieces, resists, search

MODEL = {Model.OHMS: "ohms", Model.AMPS: "amps", Model.UNLOADED: "unloaded"}


@dataclass(frozen=True, slots=True)
class Case:
    """One operating point: a network of a plan in one condition, at one end of the band, by one model of loads."""

    plan: str
    states: NetworkStates
    condition: int
    bits: int
    study: Study
    parts: Sequence[Part]

    @property
    def title(self) -> str:
        """What to look at when it disagrees."""
        signals = self.states.space.condition(self.condition)
        return f"{self.plan}, network {self.states.network.number}, {signals}, {self.study}"


def cases(plan: str, engine: Engine) -> Iterator[Case]:
    """All operating points of a plan; conditions that make the same pattern count once."""
    for network in engine.networks:
        states = engine.states(network)
        assert not isinstance(states, str), f"{plan}: {states}"
        for mask, bits in states.groups:
            condition = next(members(mask & ~states.chatter), None)
            if condition is None:
                continue
            on = judged(engine, states, condition)
            for study in STUDIES:
                parts = netlist(network.branches, on, study.level, MODEL[study.model])
                yield Case(plan, states, condition, bits, study, parts)


def judged(engine: Engine, states: NetworkStates, condition: int) -> Callable[[Branch], bool]:
    """Whether a contact is made or a source alive in a condition, from its guard."""
    signals = states.space.condition(condition)

    def atom_true(branch: Branch, atom: Atom) -> bool:
        if atom.what == "signal":
            return signals[engine.devices[branch.device].signals[atom.name].key]
        key = atom_key(branch, atom)
        if key in states.network.feedback:
            return bool(states.masks[states.network.feedback.index(key)] >> condition & 1)
        truth = engine.truth(key, AS_DRAWN)
        assert isinstance(truth, Truth)
        here = truth.over(states.space)
        # Between drop-out and pull-in the engine lets it be either, by a signal of its own.
        return signals[f"{key} pulls in"] if here.maybe >> condition & 1 else bool(here.yes >> condition & 1)

    return lambda branch: holds(branch.guard, lambda atom: atom_true(branch, atom))


@dataclass(frozen=True, slots=True)
class Comparison:
    """`wrong` in words; `second` are the cases that have several operating points, by title."""

    cases: int
    wrong: list[str]
    second: list[str]


def compare(found: Iterable[Case]) -> Comparison:
    """Where engine and simulator differ by more than 0.1 % and 1 mV (1 mA for currents).

    Electronics at constant power behind a source at its limit, or coils at constant current in series, may have
    several operating points. Where the two found different ones the simulator searches again from the engine's:
    if it stays there, that is one too, by the simulator's own sums.
    """
    listed = list(found)
    points = search([case.parts for case in listed])
    differing = [case for case, point in zip(listed, points, strict=True) if list(_differences(case, point))]
    again = search([case.parts for case in differing], [_engine_volts(case) for case in differing])
    wrong = [line for case, point in zip(differing, again, strict=True) for line in _differences(case, point)]
    return Comparison(len(listed), wrong, [case.title for case in differing])


def _engine_volts(case: Case) -> dict[str, float]:
    states = case.states
    core, points = states.frame.core(case.bits), states.points.get(case.bits)
    volts: dict[str, float] = {}
    for branch, part in zip(states.network.branches, states.frame.parts, strict=True):
        for name, node in ((branch.a, part.a), (branch.b, part.b)):
            if points is not None and node in core.node_at:
                volts[name] = points.volts[case.study][core.node_at[node]]
    return volts


def _differences(case: Case, point: Point | None) -> Iterator[str]:
    if point is None:
        yield f"{case.title}: the simulator found no operating point"
        return
    parts = {part.name: part for part in case.parts}
    settled = case.states.points.get(case.bits)
    if settled is not None and not settled.settled:
        yield f"{case.title}: the engine found no operating point"
        return
    for index, branch in enumerate(case.states.network.branches):
        part = parts.get(branch.key)
        if part is None:
            continue
        volts, expected = case.states.across(index, case.bits, case.study), point.across(part)
        if branch.what == "load" and not close(volts, expected) and not (volts == 0.0 and _is_bridge(part, case)):
            yield f"{case.title}: {branch.key} {volts:.5f} V, by the simulator {expected:.5f} V"
        amps = case.states.through(index, case.bits, case.study)
        if resists(part) and not close(amps, point.amps[branch.key], _slack(part)):
            yield f"{case.title}: {branch.key} {amps:.5f} A, by the simulator {point.amps[branch.key]:.5f} A"


def _is_bridge(part: Part, case: Case) -> bool:
    """Whether nothing but this part joins its two ends: then no current flows, and a load without has no volts."""
    piece = pieces([other for other in case.parts if other is not part])
    return piece.get(part.a, part.a) != piece.get(part.b, part.b)


def _slack(part: Part) -> float:
    """Amperes that a tenth of a millivolt drives through it: the engine's joints do resist a little."""
    return 1e-4 / part.ohms if isinstance(part, Resistor) else 0.0


def close(ours: float, theirs: float, slack: float = 0.0) -> bool:
    """Within 0.1 % or a thousandth of the unit."""
    return abs(ours - theirs) <= max(1e-3, 1e-3 * abs(theirs), slack)
