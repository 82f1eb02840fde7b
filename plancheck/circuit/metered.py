"""What a meter shows at a terminal, its other lead at the return of the supply that feeds the circuit."""

from __future__ import annotations

from dataclasses import dataclass

from plancheck.circuit.conditions import Levels
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.states import NetworkStates
from plancheck.circuit.values import RATED
from plancheck.circuit.variation import AS_DRAWN


@dataclass(frozen=True, slots=True)
class Metered:
    """Volts in every condition, and the terminal that they are taken against."""

    against: str
    volts: Levels


def metered(facts: Facts, terminal: str) -> Metered | None:
    """The volts of a terminal at rated supply volts; None where it is on no circuit of a supply.

    Raises NotAssessed where they could not be worked out, or where conditions were taken together that may differ here.
    """
    for branch in facts.graph.at.get(terminal, ()):
        home = facts.engine.home(branch.key)
        if home is None or not home[0].sources:
            continue
        network, number = home
        source = network.sources[0]
        pole = network.branches.index(source)
        states = facts.engine.states(network)
        if isinstance(states, str):
            raise NotAssessed(states)
        if states.merged:
            raise NotAssessed("too many contacts for the volts of each terminal")
        node = states.frame.parts[number].a if branch.a == terminal else states.frame.parts[number].b
        ground = states.frame.parts[pole].b

        def volts(states: NetworkStates, _: int, bits: int, node: int = node, ground: int = ground) -> float:
            return states.between(node, ground, bits, RATED)

        return Metered(source.b, facts.levels(branch, AS_DRAWN, volts))
    return None
