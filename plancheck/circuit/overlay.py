"""Overlays: the networks that a failure puts in the place of those it touches."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property

from plancheck.circuit.network import Network, asked_keys, split_into_networks
from plancheck.circuit.variation import Failure
from plancheck.plan.graph import Branch, ConnectionGraph

Homes = dict[str, list[tuple[Network, int]]]


@dataclass(slots=True)
class Overlay:
    """`home` tells where the branches of replaced networks are now (None: gone); `replaced` is by old number."""

    home: dict[str, tuple[Network, int] | None] = field(default_factory=dict)
    replaced: dict[int, Network] = field(default_factory=dict)


class Overlays:
    """Makes overlays for failures, and numbers their networks apart from the plan's."""

    def __init__(self, graph: ConnectionGraph, networks: list[Network], homes: Homes) -> None:
        self.graph, self.networks, self.homes = graph, networks, homes
        self._made: dict[Failure, Overlay] = {}
        self._next = len(networks)

    def of(self, failure: Failure) -> Overlay:
        """The overlay of a failure."""
        overlay = self._made.get(failure)
        if overlay is None:
            overlay = self._made[failure] = self._make(failure)
        return overlay

    def forget(self) -> None:
        """Drop all overlays."""
        self._made.clear()

    def touched(self, failure: Failure) -> set[int]:
        """Numbers of the networks that a failure changes; those that depend on them are not among them."""
        return {number for group in self._groups(failure) for number in group}

    def _groups(self, failure: Failure) -> list[set[int]]:
        """Networks that a failure changes, in sets that become one network each."""
        if failure.joined is None:
            changed = {n.number for k in self._gone(failure) | failure.welded for n, _ in self.homes.get(k, ())}
            if not changed:
                return []
            if self.frees_a_pole(failure):
                return [self._around(changed)]
            return [{number} for number in sorted(changed)]
        ends = [self._numbers(t) for t in failure.joined]
        if failure.joined[0] in self._poles or failure.joined[1] in self._poles:
            return [{number} for number in sorted(ends[0] | ends[1])]
        if not ends[0] or not ends[1]:
            return [self._with_between({number}) for number in sorted(ends[0] | ends[1])]
        groups = [{number} for number in sorted(ends[0] & ends[1])]
        # Metal that several circuits share: each takes one of the other side's along.
        groups += [self._with_between({number, min(ends[1])}) for number in sorted(ends[0] - ends[1])]
        groups += [self._with_between({number, min(ends[0])}) for number in sorted(ends[1] - ends[0])]
        return [g for i, g in enumerate(groups) if g not in groups[:i]]

    def frees_a_pole(self, failure: Failure) -> bool:
        """Whether a wire is gone that held nodes at a pole: circuits cut at those nodes may feel each other then."""
        for key in failure.removed & self.homes.keys():
            branch = self.graph.by_key[key]
            joins = branch.what == "link" or (branch.what == "conductor" and branch.number("ohms") == 0.0)
            if joins and self.graph.net(branch.a) in self._pole_nets:
                return True
        return False

    @cached_property
    def _pole_nets(self) -> set[str]:
        return {self.graph.net(pole) for pole in self._poles}

    def _around(self, numbers: set[int]) -> set[int]:
        """Networks, and all that share a node with them that is no pole, however far."""
        found = set(numbers)
        queue = list(found)
        while queue:
            for branch in self.networks[queue.pop()].branches:
                for terminal in (branch.a, branch.b):
                    for number in self._networks_at.get(terminal, set()) - found:
                        found.add(number)
                        queue.append(number)
        return found

    def _numbers(self, terminal: str) -> set[int]:
        """Networks with a terminal among their nodes, or that a stub at the terminal hangs on."""
        if terminal in self._poles:
            return set()
        found = self._networks_at.get(terminal)
        if found is not None:
            return found
        ends = {t for b in self._stub(terminal) for t in (b.a, b.b)}
        return {n for t in ends for n in self._networks_at.get(t, ())}

    @cached_property
    def _networks_at(self) -> dict[str, set[int]]:
        at: dict[str, set[int]] = defaultdict(set)
        for network in self.networks:
            for branch in network.branches:
                for terminal in (branch.a, branch.b):
                    if terminal not in self._poles:
                        at[terminal].add(network.number)
        return dict(at)

    def _stub(self, terminal: str) -> list[Branch]:
        """Branches on no loop around a terminal, as far as the first networks and poles."""
        if terminal in self._poles or terminal in self._networks_at:
            return []
        found: dict[str, Branch] = {}
        seen = {terminal}
        queue = [terminal]
        while queue:
            for branch in self.graph.at[queue.pop()]:
                found[branch.key] = branch
                for other in (branch.a, branch.b):
                    if other not in seen and other not in self._poles and other not in self._networks_at:
                        seen.add(other)
                        queue.append(other)
        return list(found.values())

    def downstream(self, numbers: Iterable[int]) -> set[int]:
        """Those networks, and all that depend on them."""
        return _closure(numbers, self._asked_by)

    def upstream(self, numbers: Iterable[int]) -> set[int]:
        """Those networks, and all that they depend on: their cone."""
        return _closure(numbers, self._needs)

    def _make(self, failure: Failure) -> Overlay:
        overlay, more = Overlay(), []
        if failure.joined is not None:
            a, b = failure.joined
            at = self.graph.by_key[failure.parts[0]].at
            join = Branch(f"short of {a} and {b}", "link", "", "short", a, b, "", None, {}, at)
            more = [*self._stub(a), *self._stub(b), join]
        recut = failure.joined is None and self.frees_a_pole(failure)
        for group in self._groups(failure):
            if recut:
                self._cut_anew(overlay, [self.networks[n] for n in sorted(group)], failure)
                continue
            self._replace(overlay, [self.networks[n] for n in sorted(group)], more, failure)
        return overlay

    def _gone(self, failure: Failure) -> frozenset[str]:
        return failure.removed | self._inside(failure.dead)

    def _inside(self, device: str) -> frozenset[str]:
        parts = self.graph.by_device.get(device, ()) if device else ()
        return frozenset(b.key for b in parts if b.what == "load")

    def _replace(self, overlay: Overlay, old: list[Network], more: list[Branch], failure: Failure) -> None:
        """Put one network in the place of several, with what has failed taken out or made for good."""
        gone = self._gone(failure)
        plain = {b.key: b for network in old for b in network.branches}
        for branch in more:
            plain.setdefault(branch.key, branch)
        ordered = sorted(plain.values(), key=lambda b: self._order.get(b.key, len(self._order)))
        branches = [replace(b, guard=None) if b.key in failure.welded else b for b in ordered if b.key not in gone]
        inside = {b.key for b in branches if b.what in ("load", "sense")}
        feedback = tuple(dict.fromkeys(k for b in branches for k in asked_keys(b) if k in inside))
        rank = max((n.rank for n in old), default=0)
        network = Network(self._next, branches, feedback, rank, replaces=True)
        self._next += 1
        overlay.home.update(dict.fromkeys(plain))
        overlay.home.update((b.key, (network, i)) for i, b in enumerate(branches))
        overlay.replaced.update((n.number, network) for n in old)

    def _cut_anew(self, overlay: Overlay, old: list[Network], failure: Failure) -> None:
        """Split what is left of several networks again, as if the plan had been drawn so."""
        gone = self._gone(failure)
        plain = {b.key: b for network in old for b in network.branches}
        left = sorted((b for b in plain.values() if b.key not in gone), key=lambda b: self._order[b.key])
        rank = max(n.rank for n in old)
        overlay.home.update(dict.fromkeys(plain))
        for fresh in split_into_networks(left):
            network = Network(self._next, fresh.branches, fresh.feedback, rank + fresh.rank, replaces=True)
            self._next += 1
            overlay.home.update((b.key, (network, i)) for i, b in enumerate(network.branches))
        nothing = Network(self._next, [], replaces=True)
        self._next += 1
        for network in old:
            homes = (overlay.home[b.key] for b in network.branches if b.what in ("load", "sense"))
            overlay.replaced[network.number] = next((h[0] for h in homes if h), nothing)

    @cached_property
    def _order(self) -> dict[str, int]:
        return {b.key: i for i, b in enumerate(self.graph.branches)}

    @cached_property
    def _poles(self) -> set[str]:
        return {t for b in self.graph.branches if b.what == "source" for t in (b.a, b.b)}

    @cached_property
    def asked(self) -> frozenset[str]:
        """Loads and senses that some guard asks about, by key."""
        return frozenset(key for network in self.networks for b in network.branches for key in asked_keys(b))

    @cached_property
    def _needs(self) -> dict[int, set[int]]:
        """By network, those whose loads and senses it asks about."""
        needs: dict[int, set[int]] = defaultdict(set)
        for network in self.networks:
            for branch in network.branches:
                for key in asked_keys(branch):
                    for home, _ in self.homes.get(key, ()):
                        if home is not network:
                            needs[network.number].add(home.number)
        return needs

    @cached_property
    def _asked_by(self) -> dict[int, set[int]]:
        asked: dict[int, set[int]] = defaultdict(set)
        for number, needed in self._needs.items():
            for other in needed:
                asked[other].add(number)
        return asked

    def _with_between(self, numbers: set[int]) -> set[int]:
        """Those, and every network by which one of them depends on another: joined, they would turn in a circle."""
        if len(numbers) < 2:
            return numbers
        return numbers | (self.upstream(numbers) & self.downstream(numbers))


def _closure(numbers: Iterable[int], onward: dict[int, set[int]]) -> set[int]:
    found = set(numbers)
    queue = list(found)
    while queue:
        for number in onward.get(queue.pop(), ()):
            if number not in found:
                found.add(number)
                queue.append(number)
    return found
