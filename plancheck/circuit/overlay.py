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

    def _make(self, failure: Failure) -> Overlay:
        overlay = Overlay()
        gone = failure.removed | self._inside(failure.dead)
        touched = {self.plain_home[k][0].number for k in gone | failure.welded if k in self.plain_home}
        if failure.joined is None:
            for number in sorted(touched):
                self._replace(overlay, [self.networks[number]], [], failure, gone)
            return overlay
        group, stubs = self._joined(failure)
        a, b = failure.joined
        at = self.graph.by_key[failure.parts[0]].at
        join = Branch(f"short of {a} and {b}", "link", "", "short", a, b, "", None, {}, at)
        self._replace(overlay, [self.networks[n] for n in group], [*stubs, join], failure, gone)
        return overlay

    def _inside(self, device: str) -> frozenset[str]:
        parts = self.graph.by_device.get(device, ()) if device else ()
        return frozenset(b.key for b in parts if b.what == "load")

    def _replace(
        self, overlay: Overlay, old: list[Network], more: list[Branch], failure: Failure, gone: frozenset[str]
    ) -> None:
        """Put one network in the place of several, with what has failed taken out or made for good."""
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

    # --- shorts ----------------------------------------------------------------------------------------------

    def _joined(self, failure: Failure) -> tuple[list[int], list[Branch]]:
        """Numbers of the networks that a short makes one, and branches on no loop that it brings in."""
        assert failure.joined is not None
        numbers: set[int] = set()
        stubs: dict[str, Branch] = {}
        for terminal in failure.joined:
            region = self._region(terminal)
            numbers |= {self.plain_home[b.key][0].number for b in region if b.key in self.plain_home}
            stubs.update((b.key, b) for b in region if b.key not in self.plain_home)
        return sorted(self._with_between(numbers)), list(stubs.values())

    def _region(self, terminal: str) -> list[Branch]:
        """Branches around a terminal, as far as the poles of sources. A pole itself brings in nothing."""
        found: dict[str, Branch] = {}
        seen = {terminal}
        queue = [] if terminal in self._poles else [terminal]
        while queue:
            for branch in self._at[queue.pop()]:
                found[branch.key] = branch
                for other in (branch.a, branch.b):
                    if other not in seen and other not in self._poles:
                        seen.add(other)
                        queue.append(other)
        return list(found.values())

    @cached_property
    def _at(self) -> dict[str, list[Branch]]:
        at: dict[str, list[Branch]] = defaultdict(list)
        for branch in self.graph.branches:
            at[branch.a].append(branch)
            at[branch.b].append(branch)
        return at

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

    def _upstream(self, numbers: Iterable[int]) -> set[int]:
        found: set[int] = set()
        queue = list(numbers)
        while queue:
            for number in self._needs[queue.pop()]:
                if number not in found:
                    found.add(number)
                    queue.append(number)
        return found

    def _with_between(self, numbers: set[int]) -> set[int]:
        """Those, and every network by which one of them depends on another: joined, they would turn in a circle."""
        upstream = self._upstream(numbers)
        return numbers | {n for n in upstream if self._upstream([n]) & numbers}
