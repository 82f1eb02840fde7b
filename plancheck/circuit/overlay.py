"""Overlays: the networks that a failure puts in the place of those it touches."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property

from plancheck.circuit.bridging import Bridging, Passed
from plancheck.circuit.dependence import closure, without_circles
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

    def __init__(
        self, graph: ConnectionGraph, networks: list[Network], homes: Homes, whole: Collection[str] = ()
    ) -> None:
        self.graph, self.networks, self.homes, self.whole = graph, networks, homes, whole
        self._made: dict[Failure, Overlay] = {}
        self._grouped: dict[Failure, list[set[int]]] = {}
        self._touched: dict[Failure, set[int]] = {}
        self._next = len(networks)
        self._beside: dict[Failure, dict[int, frozenset[str]]] = {}
        self._ways: dict[tuple[str, str], list[Passed]] = {}

    def of(self, failure: Failure) -> Overlay:
        """The overlay of a failure."""
        overlay = self._made.get(failure)
        if overlay is None:
            overlay = self._made[failure] = self._make(failure)
        return overlay

    def forget(self) -> None:
        """Drop all overlays."""
        self._made.clear()
        self._grouped.clear()

    def touched(self, failure: Failure) -> set[int]:
        """Numbers of the networks that a failure changes; those that depend on them are not among them."""
        found = self._touched.get(failure)
        if found is None:
            grouped = {n for group in self._groups(failure) for n in group}
            if failure.joined is not None:
                grouped |= self._asking(self._loose(failure)) | self.beside(failure).keys()
            found = self._touched[failure] = grouped
        return found

    def _groups(self, failure: Failure) -> list[set[int]]:
        """Networks that a failure changes, in sets that become one network each."""
        found = self._grouped.get(failure)
        if found is None:
            found = self._grouped[failure] = self._grouped_by(failure)
        return found

    def _grouped_by(self, failure: Failure) -> list[set[int]]:
        if failure.joined is None:
            changed = {n.number for k in self._gone(failure) | failure.welded for n, _ in self.homes.get(k, ())}
            if not changed:
                return []
            if self.frees_a_pole(failure):
                return [self._with_between(self._around(changed))]
            return [{number} for number in sorted(changed)]
        loose = self._loose(failure)
        groups = self._joined(*failure.joined) or [set()]
        while True:
            grown = without_circles([self._with_between(g, loose) for g in groups], self.upstream)
            if grown == groups:
                return groups
            groups = grown

    def _joined(self, one: str, other: str) -> list[set[int]]:
        if self._apart((one, other)):
            numbers, _ = self._bridged(one, other)
            return [numbers]
        ends = self._numbers(one), self._numbers(other)
        if not ends[0] and not ends[1]:
            # From pole to pole. Circuits of one supply are told by how it sags; those of several are in one piece.
            poles = {one, other}
            return [{n.number for n in self.networks if len(n.poles) > 1 and any(poles & {*p} for p in n.poles)}]
        if not ends[0] or not ends[1]:
            return [{number} for number in sorted(ends[0] | ends[1])]
        # Metal that several circuits share: each takes one of the other side's along.
        groups = [{number} for number in sorted(ends[0] & ends[1])]
        groups += [{number, min(ends[1])} for number in sorted(ends[0] - ends[1])]
        return groups + [{number, min(ends[0])} for number in sorted(ends[1] - ends[0])]

    def _apart(self, joined: tuple[str, str]) -> bool:
        """Whether the ends of a short share no block of the graph: what lies between then matters."""
        return len(self._way(*joined)) != 1

    def _way(self, a: str, b: str) -> list[Passed]:
        found = self._ways.get((a, b))
        if found is None:
            found = self._ways[a, b] = self._bridging.way(a, b)
        return found

    def _bridged(self, a: str, b: str) -> tuple[set[int], list[Branch]]:
        """Networks that a short between strangers makes one network of, and the branches on no loop between them."""
        way = self._way(a, b)
        sources = {(s.a, s.b): s for piece in way for s in piece.branches if s.what == "source"}
        numbers: set[int] = set()
        more: list[Branch] = []
        for piece in way:
            if len(piece.branches) == 1:
                more += piece.branches
            elif len(sources) == 1 and any(s in piece.branches for s in sources.values()):
                # Its poles are held: of this supply only the circuits at the ends of the way take part.
                numbers |= self._numbers(piece.enters) | self._numbers(piece.leaves)
                more += [s for s in piece.branches if s.what == "source"]
            else:
                numbers |= {n.number for each in piece.branches for n, _ in self.homes.get(each.key, ())}
        return numbers, more

    @cached_property
    def _bridging(self) -> Bridging:
        return Bridging(self.graph.branches)

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
        """Branches on no loop that hang on a terminal, as far as the first networks and poles."""
        if terminal in self._poles:
            return []
        found: dict[str, Branch] = {}
        seen = {terminal}
        queue = [terminal]
        while queue:
            for branch in self.graph.at[queue.pop()]:
                if branch.key in self.homes:
                    continue
                found[branch.key] = branch
                for other in (branch.a, branch.b):
                    if other not in seen and other not in self._poles and other not in self._networks_at:
                        queue.append(other)
                    seen.add(other)
        return list(found.values())

    def _loose(self, failure: Failure) -> list[Branch]:
        """Branches on no loop that hang on the ends of a short, or lie between them."""
        if failure.joined is None:
            return []
        found = {b.key: b for terminal in failure.joined for b in self._stub(terminal)}
        if self._apart(failure.joined):
            found.update((b.key, b) for b in self._bridged(*failure.joined)[1])
        return list(found.values())

    def beside(self, failure: Failure) -> dict[int, frozenset[str]]:
        """Circuits that a short feeds past a contact which they share with those that it changes.

        By number of the network, the keys of those contacts. Behind such a contact circuits are taken apart, for
        nothing but the contact gives their common node its volts; with a short something else may.
        """
        if failure.joined is None:
            return {}
        found = self._beside.get(failure)
        if found is None:
            found = self._beside[failure] = self._fed_past(failure)
        return found

    def _fed_past(self, failure: Failure) -> dict[int, frozenset[str]]:
        assert failure.joined is not None
        changed = {n for group in self._groups(failure) for n in group}
        inside = {b.key: b for n in changed for b in self.networks[n].branches}
        found: dict[int, frozenset[str]] = {}
        for number in self._sharing_contacts(changed):
            shared = [b for b in self.networks[number].branches if b.key in inside and b.what != "source"]
            contacts = frozenset(b.key for b in shared if b.what == "contact")
            nodes = {t for b in shared for t in (b.a, b.b) if t not in self._poles}
            rest = [b for b in inside.values() if b.key not in {s.key for s in shared} and b.what != "source"]
            drawn = self._poles_from(nodes, rest)
            more = [*rest, *self._loose(failure)]
            if contacts and not self._poles_from(nodes, more, failure.joined) <= drawn:
                found[number] = contacts
        return found

    def _sharing_contacts(self, numbers: set[int]) -> set[int]:
        """Other networks that some contact of these is in as well."""
        contacts = (b.key for n in numbers for b in self.networks[n].branches if b.what == "contact")
        return {n.number for key in contacts for n, _ in self.homes[key]} - numbers

    def _poles_from(
        self, nodes: Iterable[str], branches: Iterable[Branch], joined: tuple[str, str] | None = None
    ) -> set[str]:
        """Poles that branches, whatever contacts among them do, join to some nodes, past no other pole."""
        at: dict[str, list[str]] = defaultdict(list)
        for a, b in [*((b.a, b.b) for b in branches), *([joined] if joined else [])]:
            at[a].append(b)
            at[b].append(a)
        seen = set(nodes)
        queue = list(seen)
        while queue:
            for other in at[queue.pop()]:
                if other not in seen:
                    seen.add(other)
                    if other not in self._poles:
                        queue.append(other)
        return seen & self._poles

    def loose_keys(self, failure: Failure) -> list[str]:
        """Keys of the branches on no loop as drawn that a short may put on one."""
        return [b.key for b in self._loose(failure)]

    def _asking(self, loose: Iterable[Branch]) -> set[int]:
        """Networks that ask about loads that are on no loop but for what a failure joins."""
        return {number for b in loose for number in self._askers.get(b.key, ())}

    def feeling(self, failure: Failure) -> set[int]:
        """Numbers of the networks that a failure changes, and of all that depend on them."""
        return self.downstream(self.touched(failure))

    def downstream(self, numbers: Iterable[int]) -> set[int]:
        """Those networks, and all that depend on them."""
        return closure(numbers, self._asked_by)

    def upstream(self, numbers: Iterable[int]) -> set[int]:
        """Those networks, and all that they depend on: their cone."""
        return closure(numbers, self._needs)

    def _make(self, failure: Failure) -> Overlay:
        overlay, more = Overlay(), []
        if failure.joined is not None:
            a, b = failure.joined
            at = self.graph.by_key[failure.parts[0]].at
            join = Branch(f"short of {a} and {b}", "link", "", "short", a, b, "", None, {}, at)
            more = [*self._loose(failure), join]
        recut = failure.joined is None and self.frees_a_pole(failure)
        for group in self._groups(failure) or [set()]:
            if recut:
                self._cut_anew(overlay, [self.networks[n] for n in sorted(group)], failure)
                continue
            self._replace(overlay, [self.networks[n] for n in sorted(group)], more, failure)
        return overlay

    def _gone(self, failure: Failure) -> frozenset[str]:
        return failure.removed | self._inside(failure.dead) if failure.dead else failure.removed

    def _inside(self, device: str) -> frozenset[str]:
        parts = self.graph.by_device.get(device, ()) if device else ()
        return frozenset(b.key for b in parts if b.what == "load")

    def _replace(self, overlay: Overlay, old: list[Network], more: list[Branch], failure: Failure) -> None:
        """Put one network in the place of several, with what has failed taken out or made for good."""
        gone = self._gone(failure)
        plain = {b.key: b for network in old for b in network.branches}
        for branch in more:
            plain.setdefault(branch.key, branch)
        if more:
            ends = {t for b in plain.values() for t in (b.a, b.b)}
            fed = (s for s in self._sources if s.a in ends and s.b in ends)
            plain.update({s.key: s for s in fed if s.key not in plain})
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
        for fresh in split_into_networks(left, self.whole):
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
    def _sources(self) -> list[Branch]:
        return [b for b in self.graph.branches if b.what == "source"]

    @cached_property
    def _poles(self) -> set[str]:
        return {t for b in self._sources for t in (b.a, b.b)}

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
    def _askers(self) -> dict[str, set[int]]:
        """By key of a load or sense, the networks whose guards ask about it."""
        askers: dict[str, set[int]] = defaultdict(set)
        for network in self.networks:
            for branch in network.branches:
                for key in asked_keys(branch):
                    askers[key].add(network.number)
        return askers

    @cached_property
    def _asked_by(self) -> dict[int, set[int]]:
        asked: dict[int, set[int]] = defaultdict(set)
        for number, needed in self._needs.items():
            for other in needed:
                asked[other].add(number)
        return asked

    def _with_between(self, numbers: set[int], loose: Collection[Branch] = ()) -> set[int]:
        """Those, and every network by which one of them depends on another: joined, they would turn in a circle.

        What lies on no loop as drawn (`loose`) becomes part of them.
        """
        if len(numbers) < 2 and not loose:
            return numbers
        asked = {home.number for b in loose for key in asked_keys(b) for home, _ in self.homes.get(key, ())}
        return numbers | (self.upstream(numbers | asked) & self.downstream(numbers | self._asking(loose)))
