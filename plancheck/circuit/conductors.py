"""Conductors: which wires of a plan are drawn in the same conductor of the same cable, and whether that can be."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from functools import cached_property

from plancheck.circuit.groups import Groups
from plancheck.plan.graph import Branch, ConnectionGraph


class Conductors:
    """The conductors of a connection graph, by cable and colour."""

    def __init__(self, graph: ConnectionGraph) -> None:
        self.graph = graph

    @cached_property
    def _wires(self) -> dict[tuple[str, str], list[Branch]]:
        found: dict[tuple[str, str], list[Branch]] = defaultdict(list)
        for branch in self.graph.branches:
            if branch.wire is not None and branch.wire.cable:
                found[branch.wire.cable, branch.wire.colour].append(branch)
        return found

    @cached_property
    def _colours(self) -> dict[str, list[str]]:
        found: dict[str, list[str]] = defaultdict(list)
        for cable, colour in self._wires:
            found[cable].append(colour)
        return found

    def colours_in(self, cable: str) -> list[str]:
        """Colours of a cable in which wires are drawn, in the order of the plan."""
        return self._colours.get(cable, [])

    def along(self, wire: Branch) -> list[Branch]:
        """All wires in the conductor of a wire, itself among them, in plan order; none where it is in no cable."""
        return self._wires.get((wire.wire.cable, wire.wire.colour), []) if wire.wire is not None else []

    @cached_property
    def _first_on_net(self) -> dict[tuple[str, str], dict[str, Branch]]:
        """By conductor, the first of its wires on each net."""
        found: dict[tuple[str, str], dict[str, Branch]] = {}
        for conductor, wires in self._wires.items():
            firsts: dict[str, Branch] = {}
            for wire in wires:
                firsts.setdefault(self.graph.net(wire.a), wire)
            found[conductor] = firsts
        return found

    def shared_with(self, wire: Branch) -> Branch | None:
        """The first wire in the conductor of a wire, where that is on another net; else None.

        None too for a wire that is not the first of its conductor on its own net: a net is told once.
        """
        if wire.wire is None or not wire.wire.cable:
            return None
        by_net = self._first_on_net[wire.wire.cable, wire.wire.colour]
        first = next(iter(by_net.values()))
        return first if first is not wire and by_net[self.graph.net(wire.a)] is wire else None

    def nets_along(self, wire: Branch) -> int:
        """How many nets the wires in the conductor of a wire are on; 0 where it is in no cable."""
        if wire.wire is None or not wire.wire.cable:
            return 0
        return len(self._first_on_net[wire.wire.cable, wire.wire.colour])

    def is_one_run(self, wire: Branch) -> bool:
        """Whether the wires in the conductor of a wire follow one another end to end.

        Links and jumpers may stand between two of them, as where a cable is cut and goes on. A conductor leaves a
        supply once: none passes a pole on its way.
        """
        ends = [(self._joined.leader(w.a), self._joined.leader(w.b)) for w in self.along(wire)]
        at = Counter(end for pair in ends for end in pair)
        passed = {end for end, count in at.items() if count > 1}
        straight = len(at) == len(ends) + 1 and max(at.values(), default=0) <= 2
        return straight and _connected(ends) and not passed & self._poles

    def legs_at_ends(self, wire: Branch) -> list[list[tuple[Branch, int]]]:
        """For each end of a wire where others in its conductor meet it: these and itself, in plan order.

        With each 1 where its a is there, −1 where its b is. A wire back to where it began is no leg.
        """
        along, leader = self.along(wire), self._joined.leader
        if len(along) < 2:
            return []
        ends = [(leader(w.a), leader(w.b), w) for w in along]
        found = []
        for place in dict.fromkeys((leader(wire.a), leader(wire.b))):
            legs = [(w, 1 if a == place else -1) for a, b, w in ends if a != b and place in (a, b)]
            found.append(legs)
        return [legs for legs in found if len(legs) > 1]

    @cached_property
    def _joined(self) -> Groups[str]:
        """Terminals that links and wires in no cable join."""
        joined = Groups[str]()
        for branch in self.graph.branches:
            if branch.what == "link" or (branch.wire is not None and not branch.wire.cable):
                joined.join(branch.a, branch.b)
        return joined

    @cached_property
    def _poles(self) -> set[str]:
        sources = (b for b in self.graph.branches if b.what == "source")
        return {self._joined.leader(pole) for source in sources for pole in (source.a, source.b)}

    def going_on_otherwise(self, wire: Branch) -> list[Branch]:
        """Wires of other cables, drawn behind it, that go on from it where only wires meet, in another colour.

        Those alone in whose cable there is a conductor of the wire's own colour, which is not on its net.
        """
        if wire.wire is None or not wire.wire.cable:
            return []
        place, number = self._meetings
        if not place:
            return []
        meeting = {b.key: b for end in (wire.a, wire.b) for b in place.get(self._linked.leader(end), ())}
        return [b for b in meeting.values() if number[b.key] > number[wire.key] and self._strays(wire, b)]

    def _strays(self, wire: Branch, other: Branch) -> bool:
        one, two = wire.wire, other.wire
        if one is None or two is None or one.cable == two.cable or one.colour == two.colour:
            return False
        own = self._first_on_net.get((two.cable, one.colour), {})
        return self._has_colour(two.cable, one.colour) and self.graph.net(wire.a) not in own

    def _has_colour(self, cable: str, colour: str) -> bool:
        device = self.graph.plan.devices.get(cable)
        listed = device.get("colours") if device is not None else None
        return colour in listed if isinstance(listed, tuple) else (cable, colour) in self._wires

    @cached_property
    def _linked(self) -> Groups[str]:
        joined = Groups[str]()
        for branch in self.graph.branches:
            if branch.what == "link":
                joined.join(branch.a, branch.b)
        return joined

    @cached_property
    def _meetings(self) -> tuple[dict[str, list[Branch]], dict[str, int]]:
        """The wires in cables at each place of devices that only join wires, and their order in the plan."""
        parts = self.graph.by_device
        joining = {name for name, own in parts.items() if name and all(b.what == "link" for b in own)}
        place: dict[str, list[Branch]] = defaultdict(list)
        if not joining:
            return place, {}
        number = {b.key: i for i, b in enumerate(self.graph.branches) if b.wire is not None and b.wire.cable}
        for wires in self._wires.values():
            for wire in wires:
                for end in (wire.a, wire.b):
                    if end.partition(":")[0] in joining:
                        place[self._linked.leader(end)].append(wire)
        return place, number


def _connected(edges: Sequence[tuple[str, str]]) -> bool:
    joined = Groups[str]()
    for one, other in edges:
        joined.join(one, other)
    return len({joined.leader(node) for node in joined.members()}) <= 1
