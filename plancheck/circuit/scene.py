"""A scene: everything in a plan as it stands in one condition: volts, amperes, contacts, loads and inputs. SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.replay import index_of, truth_at
from plancheck.circuit.states import NetworkStates
from plancheck.circuit.values import RATED, Study
from plancheck.circuit.variation import AS_DRAWN, Variation


@dataclass
class Scene:
    """What is known of one condition; what is missing is on no circuit, or not known.

    `volts` by terminal, `against` the return of the supply that feeds its circuit; `amps` by branch key, from a to b;
    `made` by contact, `on` by load (energised) and input (made), None where that is uncertain.
    """

    volts: dict[str, float] = field(default_factory=dict)
    against: dict[str, str] = field(default_factory=dict)
    amps: dict[str, float] = field(default_factory=dict)
    made: dict[str, bool | None] = field(default_factory=dict)
    on: dict[str, bool | None] = field(default_factory=dict)
    unknown: set[str] = field(default_factory=set)
    """Terminals of networks that could not be worked out in this condition."""

    def between(self, plus: str, minus: str) -> float:
        """What a meter shows: nothing where nothing holds the two to one another."""
        if plus in self.volts and minus in self.volts and self.against[plus] == self.against[minus]:
            return self.volts[plus] - self.volts[minus]
        return 0.0


def scene(facts: Facts, condition: Mapping[str, bool], variation: Variation = AS_DRAWN, study: Study = RATED) -> Scene:
    """The scene of a condition, every signal given by its key; what a relay has held in from before too.

    `study` tells at which end of the supplies' band, and how loads draw.
    """
    found = Scene()
    for network in facts.engine.networks:
        network = facts.engine.network(network, variation)
        states = facts.engine.states(network, variation)
        if isinstance(states, str):
            found.unknown.update(end for branch in network.branches for end in (branch.a, branch.b))
        elif network.sources:
            _read(found, facts, states, index_of(states.space.signals, condition), study)
    for branch in facts.graph.branches:
        try:
            if branch.what == "contact":
                found.made[branch.key] = truth_at(facts.made(branch, variation), condition)
            elif branch.what == "load":
                found.on[branch.key] = truth_at(facts.energised(branch, variation), condition)
            elif branch.what == "sense":
                found.on[branch.key] = truth_at(facts.made(branch, variation), condition)
        except NotAssessed:
            found.unknown.update((branch.a, branch.b))
    _hang_on(found, facts, condition, variation)
    return found


def _hang_on(found: Scene, facts: Facts, condition: Mapping[str, bool], variation: Variation) -> None:
    """What lies on no circuit carries nothing: it stands as what it hangs on. A source without load stands alone."""
    gone = variation.failure.removed if variation.failure else frozenset[str]()
    for source in facts.branches("source"):
        if source.b not in found.volts and truth_at(facts.live(source, variation), condition):
            found.volts[source.b], found.volts[source.a] = 0.0, source.number("volts") or 0.0
            found.against[source.b] = found.against[source.a] = source.b
    queue = list(found.volts)
    while queue:
        here = queue.pop()
        for branch in facts.graph.at.get(here, ()):
            other = branch.b if branch.a == here else branch.a
            joins = (
                branch.what not in ("source", "clamp") and found.made.get(branch.key, True) and branch.key not in gone
            )
            if joins and other not in found.volts and other not in found.unknown:
                found.volts[other], found.against[other] = found.volts[here], found.against[here]
                queue.append(other)


def _read(found: Scene, facts: Facts, states: NetworkStates, index: int, study: Study) -> None:
    """Volts and amperes of one network."""
    branches = states.network.branches
    bits = facts.engine.pattern_at(states, index)
    if bits is None or (states.chatter | states.sagging) >> index & 1:
        found.unknown.update(end for branch in branches for end in (branch.a, branch.b))
        return
    source = states.network.sources[0]
    ground = states.frame.parts[branches.index(source)].b
    for i, (branch, part) in enumerate(zip(branches, states.frame.parts, strict=True)):
        found.amps[branch.key] = found.amps.get(branch.key, 0.0) + states.through(i, bits, study)
        for end, node in ((branch.a, part.a), (branch.b, part.b)):
            if end not in found.volts:
                found.volts[end], found.against[end] = states.between(node, ground, bits, study), source.b
