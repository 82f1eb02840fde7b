"""What flows through a part because of some of its loads: inrush while they start, and the current of coils. SI.

Whatever can be fed together can start together: at a command, or when the mains come back. A load counts where, in a
condition, metal leads from a live source through the part to the load and back. Where the way is double, the part
counts as if it alone carried the load: of two contacts side by side one makes first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from plancheck.circuit.conditions import Levels
from plancheck.circuit.demand import greatest_together, within
from plancheck.circuit.facts import NotAssessed
from plancheck.circuit.parts import METAL, TooManyPatterns
from plancheck.circuit.readings import UNKNOWN, demand, feeding
from plancheck.circuit.values import Incomplete, rating
from plancheck.plan.graph import Branch, on_a_loop_with

if TYPE_CHECKING:
    from plancheck.circuit.facts import Facts
    from plancheck.circuit.network import Network
    from plancheck.circuit.states import NetworkStates

Home = tuple["Network", int]
"""A network that a branch is in, and its number there."""
Share = Callable[[Branch], float]
"""Amperes that a load adds; 0 for one that is not asked about."""


def inrush_beyond(load: Branch) -> float:
    """By how much a load's stated inrush exceeds its steady current; 0 where the plan states none."""
    inrush = load.number("inrush")
    return 0.0 if inrush is None else max(0.0, inrush - _rated(load))


def coil_amps(load: Branch) -> float:
    """Rated current of a coil; 0 for any other load."""
    return _rated(load) if load.style == "coil" else 0.0


def _rated(load: Branch) -> float:
    try:
        return rating(load).amps
    except Incomplete as reason:
        raise NotAssessed(str(reason)) from None


@dataclass(frozen=True, slots=True)
class Start:
    """The most that flows through a part at once: `amps`, with `loads` at their share in them."""

    amps: float
    loads: tuple[Branch, ...]


def greatest_start(facts: Facts, branch: Branch) -> Start:
    """The most through a branch while all starts that can start together, all else steady. Raises NotAssessed."""
    return _greatest(facts, branch, facts.engine.homes.get(branch.key, ()), inrush_beyond, steady=True)


def greatest_of_coils(facts: Facts, branch: Branch) -> Start:
    """The most that coils together draw through a branch, at their rated current. Raises NotAssessed."""
    return _greatest(facts, branch, _homes(facts, branch, coil_amps), coil_amps, steady=False)


def loads_behind(facts: Facts, branch: Branch, share: Share) -> list[Branch]:
    """The loads with a share that a branch carries in some condition, in plan order. Raises NotAssessed."""
    found: dict[str, Branch] = {}
    for network, index in _homes(facts, branch, share):
        states = _worked_out(facts, network)
        for _, bits in _told_apart(facts, states, index):
            found.update((load.key, load) for load in _fed_through(states, index, bits, share))
    return sorted(found.values(), key=lambda load: load.at.start)


def _homes(facts: Facts, branch: Branch, share: Share) -> list[Home]:
    """The networks of a branch that have a load with a share."""
    homes = facts.engine.homes.get(branch.key, ())
    return [home for home in homes if any(b.what == "load" and share(b) for b in home[0].branches)]


def _greatest(facts: Facts, branch: Branch, homes: Iterable[Home], share: Share, *, steady: bool) -> Start:
    circuits = [_Circuit(facts, network, index, share, steady) for network, index in homes]
    found = greatest_together([circuit.levels() for circuit in circuits])
    if found is None:
        raise NotAssessed(f"too many signals act on several circuits of {branch.device or branch.key} at once")
    amps, condition = found
    loads = [load for circuit in circuits for load in circuit.loads_at_most(condition)]
    return Start(amps, tuple(sorted(loads, key=lambda load: load.at.start)))


class _Circuit:
    """What a branch carries in one of the networks that it is in: by mask of conditions, amperes and loads."""

    def __init__(self, facts: Facts, network: Network, index: int, share: Share, steady: bool) -> None:
        self.states = states = _worked_out(facts, network)
        self.parts: list[tuple[int, float, tuple[Branch, ...]]] = []
        for mask, bits in _told_apart(facts, states, index):
            loads = tuple(_fed_through(states, index, bits, share))
            amps = demand(states, index, bits) if steady else 0.0
            self.parts.append((mask & ~states.chatter, amps + sum(map(share, loads)), loads))

    def levels(self) -> Levels:
        """Amperes in every condition; NaN where relays chatter."""
        chatter = self.states.chatter
        known = tuple((mask, amps) for mask, amps, _ in self.parts)
        return Levels(self.states.space, (*known, (chatter, UNKNOWN)) if chatter else known)

    def loads_at_most(self, condition: Mapping[str, bool]) -> tuple[Branch, ...]:
        """The loads in the greatest of the amperes that a condition of some of the signals allows."""
        there = within(self.states.space, condition)
        found = [(amps, loads) for mask, amps, loads in self.parts if mask & there]
        return max(found, key=lambda each: each[0])[1] if found else ()


def _fed_through(states: NetworkStates, index: int, bits: int, share: Share) -> Iterator[Branch]:
    """Loads with a share that are fed by metal in a pattern, the branch being their source or on their way."""
    branches = states.network.branches
    part = branches[index]
    for i, load in enumerate(branches):
        if load.what != "load" or not share(load):
            continue
        source = feeding(states, i, bits)[1]
        if source == index or (source >= 0 and part.what != "source" and part in _way(states, load, source, bits)):
            yield load


def _way(states: NetworkStates, load: Branch, source: int, bits: int) -> list[Branch]:
    """Metal between a source and a load and back, in a pattern."""
    conducting = states.conducting(bits)
    branches = states.network.branches
    metal = [b for i, b in enumerate(branches) if bits >> i & 1 and (b.what in METAL or i in conducting)]
    return on_a_loop_with(load, [*metal, branches[source]])


def _told_apart(facts: Facts, states: NetworkStates, index: int) -> list[tuple[int, int]]:
    try:
        return facts.engine.told_apart(states, index)
    except TooManyPatterns as reason:
        raise NotAssessed(f"{reason}: too many for the current of each") from None


def _worked_out(facts: Facts, network: Network) -> NetworkStates:
    states = facts.engine.states(network)
    if isinstance(states, str):
        raise NotAssessed(states)
    return states
