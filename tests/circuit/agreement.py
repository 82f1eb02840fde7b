"""Every operating point that the engine has worked out, set against the circuit simulator.

The simulator gets the branches of the network as the plan gives them, with contacts and sources as this module
judges their guards; the engine's matrices, its pruning and its reduction to patterns are not looked at. What
relays of the network itself do is taken from the engine, and then held against the simulator's volts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from plancheck.circuit.conditions import Truth, members
from plancheck.circuit.engine import Engine
from plancheck.circuit.network import atom_key
from plancheck.circuit.solve import Model
from plancheck.circuit.states import NetworkStates
from plancheck.circuit.values import LEAST, MOST, STUDIES, Study
from plancheck.circuit.variation import AS_DRAWN
from plancheck.plan.graph import Branch
from plancheck.plan.guard import Atom, atoms
from tests.netlist import holds, joined_by_metal, netlist, thresholds
from tests.simulator import Part, Point, Resistor, Source, pieces, resists, search

MODEL = {Model.OHMS: "ohms", Model.AMPS: "amps", Model.UNLOADED: "unloaded"}


@dataclass(frozen=True, slots=True, eq=False)
class Situation:
    """A network of a plan in one condition; conditions that make the same pattern count once."""

    plan: str
    engine: Engine
    states: NetworkStates
    condition: int
    bits: int

    @property
    def title(self) -> str:
        """What to look at when it disagrees."""
        return f"{self.plan}, network {self.states.network.number}, {self.states.space.condition(self.condition)}"

    def on(self, branch: Branch) -> bool:
        """Whether a contact is made or a source alive, from its guard."""
        keys = {atom_key(branch, a) for a in atoms(branch.guard) if a.what != "signal"}
        if keys & set(self.states.network.feedback):
            return bool(self.bits >> self.states.network.branches.index(branch) & 1)
        return holds(branch.guard, lambda atom: self._true(branch, atom))

    def _true(self, branch: Branch, atom: Atom) -> bool:
        signals = self.states.space.condition(self.condition)
        if atom.what == "signal":
            return signals[self.engine.devices[branch.device].signals[atom.name].key]
        key = atom_key(branch, atom)
        truth = self.engine.truth(key, AS_DRAWN)
        assert isinstance(truth, Truth)
        here = truth.over(self.states.space)
        # Between drop-out and pull-in the engine lets it be either, by a signal of its own.
        return signals[f"{key} pulls in"] if here.maybe >> self.condition & 1 else bool(here.yes >> self.condition & 1)

    def follows(self, volts: Callable[[Branch], tuple[float, float]]) -> Iterator[str]:
        """Contacts that do not stand as the coils of the same network would put them; `volts` are least and most."""
        network = self.states.network
        metal = joined_by_metal(network.branches, self.on)

        def decided(branch: Branch, atom: Atom) -> bool | None:
            key = atom_key(branch, atom)
            if atom.what == "signal" or key not in network.feedback:
                return self._true(branch, atom)
            asked = next(b for b in network.branches if b.key == key)
            return metal[asked.a] == metal[asked.b] if asked.what == "sense" else energised(asked, *volts(asked))

        for branch in network.branches:
            known = {atom: decided(branch, atom) for atom in atoms(branch.guard)}
            if None not in known.values() and holds(branch.guard, _looked_up(known)) != self.on(branch):
                yield f"{self.title}: {branch.key} does not follow its coil"


def _looked_up(known: Mapping[Atom, bool | None]) -> Callable[[Atom], bool]:
    return lambda atom: bool(known[atom])


@dataclass(frozen=True, slots=True)
class Case:
    """One operating point: a situation at one end of the band, by one model of loads."""

    situation: Situation
    study: Study
    parts: Sequence[Part]

    @property
    def title(self) -> str:
        """What to look at when it disagrees."""
        return f"{self.situation.title}, {self.study.level} {self.study.model.name}"


@dataclass(frozen=True, slots=True)
class Comparison:
    """`wrong` in words; titles of cases that have a `second` operating point, and of those `unanswered`: with
    coils at constant current behind a source at its limit the simulator's iteration may find no rest."""

    cases: int
    wrong: list[str]
    second: list[str]
    unanswered: list[str]


def situations(plan: str, engine: Engine) -> Iterator[Situation]:
    """Every pattern of every network of a plan, in one of the conditions that make it."""
    for network in engine.networks:
        states = engine.states(network)
        assert not isinstance(states, str), f"{plan}: {states}"
        for mask, bits in states.groups:
            for condition in members(mask & ~states.chatter):
                yield Situation(plan, engine, states, condition, bits)
                break


def compare(found: Iterable[Situation]) -> Comparison:
    """Where engine and simulator differ by more than 0.1 % and 1 mV (0.1 mA for currents).

    Electronics at constant power behind a source at its limit, or coils at constant current in series, may have
    several operating points. Where the two found different ones the simulator searches again from the engine's:
    if it stays there, that is one too, by the simulator's own sums.
    """
    cases = [
        Case(s, study, netlist(s.states.network.branches, s.on, study.level, MODEL[study.model]))
        for s in found
        for study in STUDIES
    ]
    points = search([case.parts for case in cases])
    differing = [i for i, case in enumerate(cases) if list(_differences(case, points[i]))]
    again = search([cases[i].parts for i in differing], [_engine_volts(cases[i]) for i in differing])
    for i, point in zip(differing, again, strict=True):
        points[i] = point
    unanswered = {c.title for c, p in zip(cases, points, strict=True) if p is None and c.study.model == Model.AMPS}
    wrong = [
        line
        for case, point in zip(cases, points, strict=True)
        if case.title not in unanswered
        for line in _differences(case, point)
    ]
    if not wrong:
        wrong = [line for s, by_study in _by_situation(cases, points) for line in _states_differ(s, by_study)]
    return Comparison(len(cases), wrong, [cases[i].title for i in differing], sorted(unanswered))


def _by_situation(
    cases: Sequence[Case], points: Sequence[Point | None]
) -> Iterator[tuple[Situation, dict[Study, Point]]]:
    step = len(STUDIES)
    for i in range(0, len(cases), step):
        found = zip(cases[i : i + step], points[i : i + step], strict=True)
        yield cases[i].situation, {case.study: point for case, point in found if point is not None}


def _states_differ(situation: Situation, points: dict[Study, Point]) -> Iterator[str]:
    """Loads whose state is not what the simulator's volts make it, and contacts that do not follow."""
    states, condition = situation.states, situation.condition

    def volts(load: Branch) -> tuple[float, float]:
        least, most = (points[s].volts.get(load.a, 0.0) - points[s].volts.get(load.b, 0.0) for s in (LEAST, MOST))
        return least, most

    for index, load in enumerate(states.network.branches):
        if load.what != "load":
            continue
        truth, expected = states.on(index), energised(load, *volts(load))
        said = True if truth.yes >> condition & 1 else False if truth.no >> condition & 1 else None
        if said is not expected and not _near_threshold(load, *volts(load)):
            yield f"{situation.title}: {load.key} energised {said}, by the simulator {expected} at {volts(load)}"
    yield from situation.follows(volts)


def energised(load: Branch, least: float, most: float) -> bool | None:
    """At or above pull-in at both ends of the band; not so at or below drop-out; None where nobody knows."""
    pull_in, drop_out = thresholds(load)
    if not load.data.get("polarised"):
        least, most = abs(least), abs(most)
    if min(least, most) >= pull_in:
        return True
    return False if max(least, most) <= drop_out else None


def _near_threshold(load: Branch, *volts: float) -> bool:
    return any(close(abs(v), limit) for v in volts for limit in thresholds(load))


def _engine_volts(case: Case) -> dict[str, float]:
    states, bits = case.situation.states, case.situation.bits
    core, points = states.frame.core(bits), states.points.get(bits)
    volts: dict[str, float] = {}
    for branch, part in zip(states.network.branches, states.frame.parts, strict=True):
        for name, node in ((branch.a, part.a), (branch.b, part.b)):
            if points is not None and node in core.node_at:
                volts[name] = points.volts[points.study(case.study)][core.node_at[node]]
    return volts


def _differences(case: Case, point: Point | None) -> Iterator[str]:
    if point is None:
        yield f"{case.title}: the simulator found no operating point"
        return
    parts = {part.name: part for part in case.parts}
    states, bits = case.situation.states, case.situation.bits
    settled = states.points.get(bits)
    if settled is not None and not settled.settled:
        yield f"{case.title}: the engine found no operating point"
        return
    for index, branch in enumerate(states.network.branches):
        part = parts.get(branch.key)
        if part is None:
            continue
        volts, expected = states.across(index, bits, case.study), point.across(part)
        if branch.what == "load" and not close(volts, expected) and not (volts == 0.0 and _is_bridge(part, case)):
            yield f"{case.title}: {branch.key} {volts:.5f} V, by the simulator {expected:.5f} V"
        amps = states.through(index, bits, case.study)
        if resists(part) and not close(amps, point.amps[branch.key], _floor(part)):
            yield f"{case.title}: {branch.key} {amps:.5f} A, by the simulator {point.amps[branch.key]:.5f} A"


def _is_bridge(part: Part, case: Case) -> bool:
    """Whether nothing but this part joins its two ends: then no current flows, and a load without has no volts."""
    piece = pieces([other for other in case.parts if other is not part])
    return piece.get(part.a, part.a) != piece.get(part.b, part.b)


def _floor(part: Part) -> float:
    """Amperes that are no disagreement: what a tenth of a millivolt drives through a wire, and a milliampere more
    or less from one of two equal supplies side by side."""
    if isinstance(part, Source):
        return 1e-3
    return max(1e-4, 1e-4 / part.ohms) if isinstance(part, Resistor) else 1e-4


def close(ours: float, theirs: float, floor: float = 1e-3) -> bool:
    """Within 0.1 % or the floor: a millivolt."""
    return abs(ours - theirs) <= max(floor, 1e-3 * abs(theirs))
