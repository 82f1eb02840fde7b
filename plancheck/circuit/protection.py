"""Protection: which conductors stand behind a protector, and which leave a source with none before them.

Asked of the drawing as a whole: every contact counts as made, for a conductor must be protected in every condition.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from functools import cached_property

from plancheck.circuit.values import source_limit
from plancheck.plan.graph import Branch, ConnectionGraph, on_the_way

_NO_WIRE = ("protector", "contact", "one-way")
_WIRING = ("conductor", "link", "protector")

Reached = dict[str, None]
"""Terminals, in the order in which they were reached."""


class Protection:
    """Protectors and what they guard, over a connection graph.

    `metal` is what feeds by metal in it, `earthed` are its nets that are.
    """

    def __init__(self, graph: ConnectionGraph, metal: Sequence[Branch], earthed: Collection[str] = ()) -> None:
        self.graph, self.metal, self.earthed = graph, metal, earthed

    @cached_property
    def _poles(self) -> frozenset[str]:
        return frozenset(t for b in self.graph.branches if b.what == "source" for t in (b.a, b.b))

    @cached_property
    def _order(self) -> dict[str, int]:
        return {branch.key: i for i, branch in enumerate(self.graph.branches)}

    @cached_property
    def _at(self) -> dict[str, list[Branch]]:
        """Metal at each terminal: wire, links, contacts, protectors, and diodes that are in a feed."""
        at: dict[str, list[Branch]] = defaultdict(list)
        for branch in self.metal:
            if branch.what != "source":
                at[branch.a].append(branch)
                at[branch.b].append(branch)
        return at

    def _reach(self, start: str, stops_at: Collection[str], without: Collection[str] = ("protector",)) -> Reached:
        """Terminals that metal joins to `start`, passing no primitive of `without`, and none of `stops_at`."""
        found: Reached = {start: None}
        queue = [start]
        while queue:
            terminal = queue.pop()
            if terminal in stops_at and terminal != start:
                continue
            for branch in self._at.get(terminal, ()):
                other = branch.b if branch.a == terminal else branch.a
                if branch.what not in without and other not in found:
                    found[other] = None
                    queue.append(other)
        return found

    # --- from a source -----------------------------------------------------------------------------------------

    def open_runs(self, source: Branch) -> list[Branch]:
        """Runs of wire that a fault current can leave a source and come back by, past no protector, in plan order.

        A jumper is no run. One protector is enough, in whichever leg: then there are none. The runs are those of the
        plus leg; on AC those of both. Where a pole is earthed, a fault to earth comes back past all that stands in
        its leg: the runs are those of the other.
        """
        legs = [self._reach(source.a, {source.b}), self._reach(source.b, {source.a})]
        runs = [self._runs(leg) for leg in legs]
        earthed = [self.graph.net(pole) in self.earthed for pole in (source.a, source.b)]
        if any(earthed):
            return self._in_order([] if all(earthed) else runs[earthed.index(False)])
        if not all(runs):
            return []
        return self._in_order([*runs[0], *runs[1]] if source.data.get("form") == "ac" else runs[0])

    def bare_devices(self, battery: Branch, fused: Collection[str] = ()) -> list[str]:
        """Devices that wire alone joins to a battery's plus, past no protector, where its minus has none either.

        Batteries in series with it are part of it: one protector in the string is enough, and `fused` are devices
        with one inside. What only joins wires, the protectors and the battery itself do not count. A protector
        between its minus and an earthed pole is enough: a fault to earth comes back through it.
        """
        poles = {self.graph.net(battery.a), self.graph.net(battery.b)}
        legs = [self._lead(pole, battery, poles, fused) for pole in (battery.a, battery.b)]
        return legs[0] if all(legs) else []

    def _lead(self, pole: str, battery: Branch, poles: Collection[str], fused: Collection[str]) -> list[str]:
        """Devices at the bare wire of one of a battery's poles, and of those in series with it there."""
        devices: dict[str, None] = {}
        queue, string = [pole], {battery.device}
        while queue:
            for terminal in self._reach(queue.pop(), (), _NO_WIRE):
                for part in self.graph.at[terminal]:
                    if part.what in _WIRING or part.device in string:
                        continue
                    beyond = part.b if part.a == terminal else part.a
                    if not _is_battery(part) or self.graph.net(beyond) in poles:
                        devices[part.device] = None
                        continue
                    string.add(part.device)
                    if part.device not in fused:
                        queue.append(beyond)
        return list(devices)

    # --- behind a protector ------------------------------------------------------------------------------------

    def guarded(self, protector: Branch) -> list[Branch]:
        """Runs of wire behind a protector, up to the next one and to the loads, and their returns; in plan order.

        None where something leads past the protector: then it guards nothing.
        """
        found: list[Branch] = []
        for end in self._far_ends(protector):
            beyond = self._reach(end, self._poles)
            found += self._runs(beyond)
            for load in self._loads(beyond):
                found += self._return_of(load, beyond)
        return self._in_order(found)

    def loads_behind(self, protector: Branch) -> list[Branch]:
        """Loads behind a protector, up to the next one, whatever the contacts do; in plan order."""
        beyond = (self._reach(end, self._poles) for end in self._far_ends(protector))
        return self._in_order(load for reached in beyond for load in self._loads(reached))

    def _loads(self, reached: Reached) -> list[Branch]:
        return [b for terminal in reached for b in self.graph.at[terminal] if b.what == "load"]

    def _far_ends(self, protector: Branch) -> list[str]:
        """The end of a protector that lies away from the source; both where the drawing does not tell."""
        ends = [end for end in (protector.a, protector.b) if not self._meets_pole(end, ("protector",))]
        if len(ends) < 2:
            return ends
        # Another protector stands between it and the source: look past that one, but not through this one.
        far = [end for end in ends if not self._meets_pole_past(end, protector)]
        return far or ends

    def _meets_pole(self, terminal: str, without: Collection[str]) -> bool:
        return any(t in self._poles for t in self._reach(terminal, self._poles, without))

    def _meets_pole_past(self, terminal: str, own: Branch) -> bool:
        """Whether metal joins a terminal to a pole by way of other protectors."""
        other = own.b if own.a == terminal else own.a
        reached = self._reach(terminal, {*self._poles, other}, ())
        return any(t in self._poles for t in reached)

    def _return_of(self, load: Branch, beyond: Reached) -> list[Branch]:
        """Runs between a load's other end and the poles that it reaches past no protector."""
        back = load.b if load.a in beyond else load.a
        if back in beyond:
            return []
        reached = self._reach(back, self._poles)
        metal = [b for t in reached for b in self._at.get(t, ()) if b.what != "protector"]
        metal = [b for b in dict.fromkeys(metal) if b.a in reached and b.b in reached]
        ways = (on_the_way(back, pole, metal) for pole in reached if pole in self._poles and pole != back)
        return [b for way in ways for b in way if is_run(b)]

    def _runs(self, reached: Reached) -> list[Branch]:
        metal = (b for terminal in reached for b in self._at.get(terminal, ()))
        return [b for b in metal if is_run(b) and b.a in reached and b.b in reached]

    def _in_order(self, branches: Iterable[Branch]) -> list[Branch]:
        return sorted({b.key: b for b in branches}.values(), key=lambda b: self._order[b.key])


def _is_battery(branch: Branch) -> bool:
    """Whether a branch is a source whose current nothing limits."""
    return branch.what == "source" and source_limit(branch) == math.inf


def is_run(branch: Branch) -> bool:
    """Whether a branch is wire in a cable or of a stated length, and not a jumper."""
    return branch.what == "conductor" and branch.data.get("ohms") != 0.0
