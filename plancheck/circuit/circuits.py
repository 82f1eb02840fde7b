"""Branch circuits: what hangs between the poles of one supply, cut where cutting changes nothing.

A jumper, link, made contact or protector loses no volts. Where only such metal joins a node to the feeding pole, the
node stands at the pole's volts or carries nothing; what hangs behind one node does not feel what hangs behind
another. Each becomes a circuit of its own, with the metal that leads to it. This needs a return that no contact
opens, and nothing that bridges two such nodes: else currents could find a way through one load into another.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence

from plancheck.circuit.groups import Groups
from plancheck.plan.graph import Branch, on_the_way


def branch_circuits(branches: Sequence[Branch], plus: str, minus: str) -> list[list[Branch]]:
    """Branches between two poles, as circuits that do not feel each other. Metal may be in several of them."""
    cuts = [_Cut(branches, plus, minus), _Cut(branches, minus, plus)]
    at_poles = _apart(branches, plus, minus) if any(cut.groups is None for cut in cuts) else []
    better = max(cuts, key=lambda cut: len(at_poles if cut.groups is None else cut.groups))
    return at_poles if better.groups is None else better.circuits(better.groups)


def _joins(branch: Branch) -> bool:
    return branch.what == "link" or (branch.what == "conductor" and branch.data.get("ohms") == 0.0)


def _loses_nothing(branch: Branch) -> bool:
    return branch.what in ("contact", "protector") or _joins(branch)


class _Cut:
    """One way to cut: behind metal from the `feed` pole, the `back` pole being joined by wire alone."""

    def __init__(self, branches: Sequence[Branch], feed: str, back: str) -> None:
        self.branches, self.feed, self.back = branches, feed, back
        self.at: dict[str, list[Branch]] = defaultdict(list)
        for branch in branches:
            self.at[branch.a].append(branch)
            self.at[branch.b].append(branch)
        self.back_net = self._reach(back, _joins, {feed})
        self.feed_net = self._reach(feed, _joins, self.back_net)
        self.trunk = self._reach(feed, _loses_nothing, self.back_net)
        self.metal: list[Branch] = []
        self.returns: list[Branch] = []
        self.groups = self._parted()
        """What hangs together, without the metal that leads to it; None where this cut is none."""

    def _reach(self, start: str, passes: Callable[[Branch], bool], stop: set[str]) -> set[str]:
        found = {start}
        queue = [start]
        while queue:
            node = queue.pop()
            for branch in self.at[node]:
                other = branch.b if branch.a == node else branch.a
                if other not in found and other not in stop and passes(branch):
                    found.add(other)
                    queue.append(other)
        return found

    def _parted(self) -> list[list[Branch]] | None:
        rest: list[Branch] = []
        for branch in self.branches:
            ends = {branch.a, branch.b}
            if ends <= self.trunk and _loses_nothing(branch):
                self.metal.append(branch)
            elif ends <= self.back_net and _loses_nothing(branch):
                # A contact beside the wire too: it carries the return should the wire break.
                self.returns.append(branch)
            elif _loses_nothing(branch) and ends & self.trunk and ends & self.back_net:
                return None
            else:
                rest.append(branch)
        return self._groups(rest)

    def circuits(self, groups: Iterable[list[Branch]]) -> list[list[Branch]]:
        """Groups of this cut, each with its metal."""
        order = {b.key: i for i, b in enumerate(self.branches)}
        return [self._whole(group, order) for group in groups]

    def _groups(self, rest: Sequence[Branch]) -> list[list[Branch]] | None:
        """What hangs together, poles apart; None where something bridges two nodes of the trunk."""
        joined = Groups[str]()
        fixed = self.feed_net | self.back_net
        for branch in self.metal:
            if _joins(branch) and branch.a not in fixed and branch.b not in fixed:
                joined.join(branch.a, branch.b)
        nets = {node: joined.leader(node) for node in self.trunk - fixed}
        across: list[Branch] = []
        hanging: list[Branch] = []
        for branch in rest:
            free = [n for n in (branch.a, branch.b) if n not in fixed]
            (hanging if free else across).append(branch)
            if len(free) == 2:
                joined.join(free[0], free[1])
        groups: dict[str, list[Branch]] = defaultdict(list)
        touched: dict[str, set[str]] = defaultdict(set)
        for branch in hanging:
            for node in (branch.a, branch.b):
                if node not in fixed:
                    root = joined.leader(node)
                    touched[root].add(nets.get(node, ""))
            groups[root].append(branch)
        if any(len(t - {""}) > 1 for t in touched.values()) or self._feeds_back(groups.values(), nets):
            return None
        one_ways = any(b.what == "one-way" for b in across)
        return [*groups.values(), *([across] if one_ways else [[b] for b in across])]

    def _feeds_back(self, groups: Iterable[list[Branch]], nets: dict[str, str]) -> bool:
        """Whether something joins a node of the trunk to the feeding pole past the metal."""
        for group in groups:
            ends = {n for b in group for n in (b.a, b.b)}
            if ends & self.feed_net and ends & nets.keys():
                return True
        return False

    def _whole(self, group: list[Branch], order: dict[str, int]) -> list[Branch]:
        """A group with the metal that leads to it from either pole, in plan order."""
        found = {b.key: b for b in group}
        for node in {n for b in group for n in (b.a, b.b)}:
            for pole, ways in ((self.feed, self.metal), (self.back, self.returns)):
                if node != pole and node in (self.trunk if pole == self.feed else self.back_net):
                    found.update((b.key, b) for b in on_the_way(pole, node, ways))
        return sorted(found.values(), key=lambda b: order[b.key])


def _apart(branches: Sequence[Branch], plus: str, minus: str) -> list[list[Branch]]:
    """Cut at the poles alone."""
    fixed = {plus, minus}
    joined = Groups[str]()
    for branch in branches:
        if branch.a not in fixed and branch.b not in fixed:
            joined.join(branch.a, branch.b)
    pieces: dict[str, list[Branch]] = defaultdict(list)
    for branch in branches:
        free = next((n for n in (branch.a, branch.b) if n not in fixed), None)
        pieces[branch.key if free is None else joined.leader(free)].append(branch)
    return list(pieces.values())
