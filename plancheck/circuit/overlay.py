"""Overlays: the networks that a failure puts in the place of those it touches."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property

from plancheck.circuit.network import Network, asked_keys
from plancheck.circuit.variation import Failure
from plancheck.plan.graph import Branch, ConnectionGraph

Home = dict[str, tuple[Network, int]]


@dataclass(slots=True)
class Overlay:
    """`home` tells where the branches of replaced networks are now (None: gone); `replaced` is by old number."""

    home: dict[str, tuple[Network, int] | None] = field(default_factory=dict)
    replaced: dict[int, Network] = field(default_factory=dict)


class Overlays:
    """Makes overlays for failures, and numbers their networks apart from the plan's."""

    def __init__(self, graph: ConnectionGraph, networks: list[Network], home: Home) -> None:
        self.graph, self.networks, self.plain_home = graph, networks, home
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
        numbers = {self.plain_home[k][0].number for k in self._gone(failure) | failure.welded if k in self.plain_home}
        for terminal in failure.joined or ():
            numbers |= {self.plain_home[b.key][0].number for b in self._region(terminal) if b.key in self.plain_home}
        return self._with_between(numbers) if failure.joined else numbers

    def downstream(self, numbers: Iterable[int]) -> set[int]:
        """Those networks, and all that depend on them."""
        return _closure(numbers, self._asked_by)

    def upstream(self, numbers: Iterable[int]) -> set[int]:
        """Those networks, and all that they depend on: their cone."""
        return _closure(numbers, self._needs)

    def _make(self, failure: Failure) -> Overlay:
        overlay, touched = Overlay(), sorted(self.touched(failure))
        if failure.joined is None:
            for number in touched:
                self._replace(overlay, [self.networks[number]], [], failure)
            return overlay
        a, b = failure.joined
        at = self.graph.by_key[failure.parts[0]].at
        join = Branch(f"short of {a} and {b}", "link", "", "short", a, b, "", None, {}, at)
        stubs = [s for t in (a, b) for s in self._region(t) if s.key not in self.plain_home]
        self._replace(overlay, [self.networks[n] for n in touched], [*stubs, join], failure)
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

    @cached_property
    def _order(self) -> dict[str, int]:
        return {b.key: i for i, b in enumerate(self.graph.branches)}

    def _region(self, terminal: str) -> list[Branch]:
        """Branches around a terminal, as far as the poles of sources. A pole itself brings in nothing."""
        regions, branches = self._regions
        return branches.get(regions.get(terminal, ""), [])

    @cached_property
    def _regions(self) -> tuple[dict[str, str], dict[str, list[Branch]]]:
        leader: dict[str, str] = {}

        def find(node: str) -> str:
            while leader.setdefault(node, node) != node:
                leader[node] = node = leader[leader[node]]
            return node

        for branch in self.graph.branches:
            if branch.a not in self._poles and branch.b not in self._poles:
                leader[find(branch.a)] = find(branch.b)
        branches: dict[str, list[Branch]] = defaultdict(list)
        for branch in self.graph.branches:
            inner = branch.b if branch.a in self._poles else branch.a
            if inner not in self._poles:
                branches[find(inner)].append(branch)
        return {t: find(t) for t in list(leader) if t not in self._poles}, branches

    @cached_property
    def _poles(self) -> set[str]:
        return {t for b in self.graph.branches if b.what == "source" for t in (b.a, b.b)}

    @cached_property
    def _needs(self) -> dict[int, set[int]]:
        """By network, those whose loads and senses it asks about."""
        needs: dict[int, set[int]] = defaultdict(set)
        for network in self.networks:
            for branch in network.branches:
                for key in asked_keys(branch):
                    home = self.plain_home.get(key)
                    if home and home[0] is not network:
                        needs[network.number].add(home[0].number)
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
