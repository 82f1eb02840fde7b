"""Idle contacts: wired, and yet whether they are made or not changes nothing for any load or input."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from plancheck.circuit.facts import NotAssessed
from plancheck.circuit.parts import TooManyPatterns

if TYPE_CHECKING:
    from plancheck.circuit.facts import Facts
    from plancheck.circuit.frame import Frame
    from plancheck.circuit.network import Network
    from plancheck.plan.graph import Branch


class IdleContacts:
    """Tells of each contact of a plan whether anything feels it. What networks drawn alike share is worked out once."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self._felt: dict[tuple[int, int], bool] = {}
        """By frame and part number."""

    def bridged(self, contact: Branch) -> bool:
        """Whether wire and links alone join the two sides of a contact, both of which are wired."""
        return self.wired_through(contact) and self.facts.graph.net(contact.a) == self.facts.graph.net(contact.b)

    def way_around(self, contact: Branch) -> list[str]:
        """Terminals on the shortest way of wire and links from one side of a contact to the other; empty if none is."""
        came: dict[str, str] = {contact.a: ""}
        queue = [contact.a]
        for terminal in queue:
            for branch in self.facts.graph.at.get(terminal, ()):
                other = branch.b if branch.a == terminal else branch.a
                if branch.what in ("conductor", "link") and other not in came:
                    came[other] = terminal
                    queue.append(other)
        way = [contact.b] if contact.b in came else []
        while way and way[-1] != contact.a:
            way.append(came[way[-1]])
        return way[::-1]

    def wired_through(self, contact: Branch) -> bool:
        """Whether a wire reaches both terminals of a contact."""
        return all(self.facts.graph.wires_at.get(terminal) for terminal in (contact.a, contact.b))

    def idle(self, contact: Branch) -> bool:
        """Whether, in each condition, the loads and inputs of its circuits are fed and joined alike with the contact
        made and with it open, so that nobody feels it.

        What is on no loop at all, or in a circuit without a supply or input, is not looked at: there something else
        is missing. So it is where a contact in series never makes, as that of a sensor without power. Nor is a
        circuit looked at whose relays act on themselves: a contact in it may matter on the way. Raises NotAssessed.
        """
        if not self.wired_through(contact):
            return False
        homes = self.facts.engine.homes.get(contact.key, [])
        return self.bridged(contact) or (bool(homes) and not any(self._feels(n, i) for n, i in homes))

    def _feels(self, network: Network, index: int) -> bool:
        states = self.facts.engine.states(network)
        if isinstance(states, str):
            raise NotAssessed(states)
        rooted = any(b.what in ("source", "sense") for b in network.branches)
        if not rooted:
            return any(b.what == "load" for b in network.branches)
        frame = states.frame
        if network.feedback or index not in frame.masks:
            return True
        key = id(frame), index
        if key not in self._felt:
            self._felt[key] = _felt(frame, index)
        return self._felt[key]


def _felt(frame: Frame, index: int) -> bool:
    """Whether the circuits that are left, over all conditions, differ with a contact made and with it open.

    They are asked as drawn, and with the contacts made that never make.
    """
    never = [i for i, mask in frame.masks.items() if not mask and i != index]
    asked = [frame.masks]
    if never:
        asked.append({**frame.masks, **dict.fromkeys(never, frame.space.everything)})
    return any(_differ(frame, masks, index) for masks in asked)


def _differ(frame: Frame, masks: Mapping[int, int], index: int) -> bool:
    every = frame.space.everything
    try:
        made, opened = (_ends(frame, {**masks, index: mask}, every) for mask in (every, 0))
    except TooManyPatterns as reason:
        raise NotAssessed(str(reason)) from None
    return made != opened


def _ends(frame: Frame, masks: Mapping[int, int], every: int) -> dict[int, int]:
    return {id(stage): mask for stage, mask in frame.diagram().ends(masks, every)}
