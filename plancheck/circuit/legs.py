"""Legs: wires drawn in one conductor of one cable that meet at an end of it. The copper there carries their sum. SI."""

from __future__ import annotations

from operator import neg
from typing import TYPE_CHECKING

from plancheck.circuit.conditions import Levels
from plancheck.circuit.demand import greatest_together, sum_of
from plancheck.circuit.facts import NotAssessed
from plancheck.circuit.parts import TooManyPatterns
from plancheck.circuit.readings import UNKNOWN
from plancheck.circuit.values import RATED, RATED_AMPS, Study

if TYPE_CHECKING:
    from plancheck.circuit.conductors import Conductors
    from plancheck.circuit.facts import Facts
    from plancheck.circuit.network import Network
    from plancheck.plan.graph import Branch

Leg = tuple["Branch", int]
"""A wire, and 1 where current from its a to its b leaves the place where legs meet, −1 where it comes there."""


def greatest_in_conductor(facts: Facts, conductors: Conductors, wire: Branch) -> float:
    """The most that the conductor in which a wire is drawn carries along it.

    Of wires in it that meet at an end, what leaves there by one and comes by another does not add up: so a conductor
    that goes on from load to load counts at its busiest length. Raises NotAssessed.
    """
    alone = facts.greatest_amps(wire)[0]
    return max([alone, *(_sum_at(facts, legs) for legs in conductors.legs_at_ends(wire))])


def _sum_at(facts: Facts, legs: list[Leg]) -> float:
    networks = {n.number: n for wire, _ in legs for n, _ in facts.engine.homes.get(wire.key, ())}
    found = 0.0
    for study in (RATED, RATED_AMPS):
        leaving = [_leaving(facts, network, legs, study) for network in networks.values()]
        for levels in (leaving, [each.mapped(neg) for each in leaving]):
            most = greatest_together(levels)
            if most is None:
                raise NotAssessed(f"too many signals act on several circuits of {legs[0][0].key} at once")
            found = max(found, most[0])
    return found


def _leaving(facts: Facts, network: Network, legs: list[Leg], study: Study) -> Levels:
    """Amperes that leave by the legs in one network, in every condition; NaN where relays chatter."""
    states = facts.engine.states(network)
    if isinstance(states, str):
        raise NotAssessed(states)
    index = {branch.key: i for i, branch in enumerate(network.branches)}
    each = [Levels.constant(0.0)]
    for wire, sense in legs:
        if wire.key not in index:
            continue
        try:
            groups = facts.engine.told_apart(states, index[wire.key])
        except TooManyPatterns as reason:
            raise NotAssessed(f"{reason}: too many for the current of each") from None
        chatter, i = states.chatter, index[wire.key]
        parts = tuple((mask & ~chatter, sense * states.through(i, bits, study)) for mask, bits in groups)
        each.append(Levels(states.space, (*parts, (chatter, UNKNOWN)) if chatter else parts))
    return sum_of(each)
