"""Frames: the shape of a network without its values, and all that follows from shape alone.

Doors drawn alike share a frame. It knows, for every condition over the network's own signals, which contacts are
made and which sources alive, and groups conditions that make the same pattern; and for every pattern, its core:
the branches that can carry current at all.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from plancheck.circuit.conditions import Space
from plancheck.circuit.diagram import Diagram
from plancheck.circuit.groups import Groups
from plancheck.circuit.parts import JOINTS, MANY_PATTERNS, Local, LocalGuard, Part, TooManyPatterns
from plancheck.plan.guard import Constant

Wiring = tuple[str, int, int]
"""What a branch is, and the numbers of the nodes that it joins."""

FEW_CONTACTS = 8
"""Up to so many contacts and sources every pattern is told apart; beyond, only where it matters."""

VERY_FEW = 4
"""Up to so many, what their loads feel is not worth working out by itself first."""


@dataclass(frozen=True)
class Core:
    """The branches of a pattern that lie between the poles of some live source, by number.

    What loses no volts joins its nodes into one. `wiring` is of the other branches, `solved`, between the joined
    nodes, and `grounds` names one such node of each connected part, at zero volts. Two networks with equal wiring and
    equal values have equal volts, so it is what solutions are remembered by.
    """

    branches: tuple[int, ...]
    solved: tuple[int, ...]
    joints: tuple[tuple[int, int, int], ...]
    """Branch number and frame nodes of what loses no volts."""
    wiring: tuple[Wiring, ...]
    grounds: tuple[int, ...]
    node_at: dict[int, int] = field(hash=False)
    """Core number of each frame node that is in the core."""

    @cached_property
    def branch_at(self) -> dict[int, int]:
        """Place of each solved branch."""
        return {b: k for k, b in enumerate(self.solved)}

    @cached_property
    def live(self) -> frozenset[int]:
        """The branches, to ask for one."""
        return frozenset(self.branches)


@dataclass(frozen=True, slots=True)
class Standing:
    """How a node stands: at the volts of core node `anchor` (-1: at zero), plus those of the `sources` between.

    Sources are (part number, +1 or -1). Nodes with different `island` have no common reference.
    """

    island: int
    anchor: int
    sources: tuple[tuple[int, int], ...]


@dataclass(eq=False)
class Frame:
    """Parts over `nodes` nodes; `signals` own or outside signals; `outside` truths as (signal numbers, yes mask)."""

    parts: tuple[Part, ...]
    nodes: int
    signals: int
    outside: tuple[tuple[tuple[int, ...], int], ...]
    feedback: int
    cores: dict[int, Core] = field(default_factory=dict)
    _diagrams: dict[frozenset[int], Diagram] = field(default_factory=dict)
    _stand: dict[int, tuple[Standing, ...]] = field(default_factory=dict)
    _metal: dict[tuple[int, frozenset[int]], tuple[int, ...]] = field(default_factory=dict)

    @cached_property
    def space(self) -> Space:
        """Conditions over the frame's signals, named by their number."""
        return Space(tuple(map(str, range(self.signals))))

    @cached_property
    def outside_masks(self) -> tuple[int, ...]:
        """Where each outside truth holds, over the frame's space."""
        return tuple(Space(tuple(map(str, numbers))).carry(yes, self.space) for numbers, yes in self.outside)

    def partition(self, states: Sequence[int]) -> list[tuple[int, int]]:
        """Conditions grouped by the pattern they make: (mask, bits). `states` are feedback masks.

        Bit i of a pattern says that contact i is made or source i alive; parts without a guard are always set.
        """
        guarded = sorted(self._guarded, key=lambda i: self.parts[i].what != "source")
        always = sum(1 << i for i, p in enumerate(self.parts) if p.guard is None)
        masks = self._masks(states)
        if len(guarded) <= FEW_CONTACTS or any(p.what == "sense" for p in self.parts):
            groups = self._every_pattern(guarded, masks, always)
        else:
            groups = self._live_patterns(guarded, masks, always)
        merged: dict[int, int] = defaultdict(int)
        for mask, bits in groups:
            merged[bits] |= mask
        return [(mask, bits) for bits, mask in merged.items()]

    def _every_pattern(self, guarded: list[int], masks: dict[int, int], always: int) -> list[tuple[int, int]]:
        groups = [(self.space.everything, always)]
        for i in guarded:
            split = []
            for mask, bits in groups:
                if mask & masks[i]:
                    split.append((mask & masks[i], bits | 1 << i))
                if mask & ~masks[i]:
                    split.append((mask & ~masks[i], bits))
            groups = split
            if len(groups) > MANY_PATTERNS:
                raise TooManyPatterns
        return groups

    def _live_patterns(self, guarded: list[int], masks: dict[int, int], always: int) -> list[tuple[int, int]]:
        """Patterns told apart only where it matters: a contact off every live loop, whatever the contacts not yet
        looked at do, is left as made."""
        done: list[tuple[int, int]] = []
        open_ones = [(self.space.everything, always | sum(1 << i for i in guarded), tuple(guarded))]
        while open_ones:
            mask, bits, undecided = open_ones.pop()
            live = self.core(bits).live
            matters = next((i for i in undecided if i in live), None)
            if matters is None:
                done.append((mask, bits))
                if len(done) > MANY_PATTERNS:
                    raise TooManyPatterns
                continue
            left = tuple(i for i in undecided if i != matters)
            for part, chosen in ((mask & masks[matters], bits), (mask & ~masks[matters], bits & ~(1 << matters))):
                if part:
                    open_ones.append((part, chosen, left))
        return done

    @cached_property
    def _guarded(self) -> list[int]:
        return [i for i, p in enumerate(self.parts) if p.guard is not None]

    def diagram(self, gone: frozenset[int] = frozenset()) -> Diagram:
        """How contacts and sources can stand, as far as it matters to loads and inputs, some parts being gone."""
        found = self._diagrams.get(gone)
        if found is None:
            found = self._diagrams[gone] = Diagram(self.parts, self.nodes, gone)
        return found

    @cached_property
    def masks(self) -> dict[int, int]:
        """Where each contact is made and each source alive, without feedback."""
        return self._masks(())

    @property
    def merges(self) -> bool:
        """Whether `still` tells apart less than every pattern of contacts."""
        return len(self._guarded) > VERY_FEW

    @cached_property
    def still(self) -> list[tuple[int, int]]:
        """The conditions of a frame without feedback, grouped by what its loads and inputs feel: (mask, bits).

        Where it merges, bits are one pattern of those that do the same to them.
        """
        if not self.merges:
            return self.apart
        return [(mask, stage.bits) for stage, mask in self.diagram().ends(self.masks, self.space.everything)]

    @cached_property
    def apart(self) -> list[tuple[int, int]]:
        """The same, each contact told for itself: for its current, and for the path."""
        return self.partition(())

    def pattern_at(self, index: int) -> int:
        """Bits of the pattern in condition `index` of a frame without feedback."""
        always = sum(1 << i for i, p in enumerate(self.parts) if p.guard is None)
        return always | sum(1 << i for i, mask in self.masks.items() if mask >> index & 1)

    def _masks(self, states: Sequence[int]) -> dict[int, int]:
        return {i: self._mask(guard, states) for i in self._guarded if (guard := self.parts[i].guard) is not None}

    def _mask(self, guard: LocalGuard, states: Sequence[int]) -> int:
        if isinstance(guard, Constant):
            return self.space.everything if guard.on else 0
        if isinstance(guard, Local):
            if guard.what == "signal":
                return self.space.on(str(guard.number))
            return self.outside_masks[guard.number] if guard.what == "outside" else states[guard.number]
        how, inner = guard
        masks = [self._mask(g, states) for g in inner]
        if how == "not":
            return self.space.everything & ~masks[0]
        result = masks[0]
        for mask in masks[1:]:
            result = result & mask if how == "and" else result | mask
        return result

    def core(self, bits: int) -> Core:
        """What can carry current in a pattern."""
        core = self.cores.get(bits)
        if core is None:
            core = self.cores[bits] = _core(self.parts, bits)
        return core

    def stand(self, bits: int) -> tuple[Standing, ...]:
        """For each node, what its potential follows from in a pattern; see Standing."""
        found = self._stand.get(bits)
        if found is None:
            found = self._stand[bits] = _stand(self.parts, self.nodes, bits, self.core(bits))
        return found

    def metal(self, bits: int, conducting: frozenset[int]) -> tuple[int, ...]:
        """For each node, a number that it shares with the nodes it is joined to by metal in a pattern.

        Metal is wire, links, made contacts, whole protectors, and the one-ways listed as conducting.
        """
        key = bits, conducting
        found = self._metal.get(key)
        if found is None:
            joined = Groups[int]()
            for i, part in enumerate(self.parts):
                joins = part.what in ("conductor", "link", "contact", "protector") or i in conducting
                if bits >> i & 1 and joins:
                    joined.join(part.a, part.b)
            found = self._metal[key] = tuple(joined.leader(n) for n in range(self.nodes))
        return found


def _core(parts: Sequence[Part], bits: int) -> Core:
    """Prune stubs until none is left, then keep the parts connected to a live source."""
    live = {i for i, p in enumerate(parts) if bits >> i & 1 and p.what != "clamp" and p.a != p.b}
    at: dict[int, set[int]] = defaultdict(set)
    for i in live:
        at[parts[i].a].add(i)
        at[parts[i].b].add(i)
    stubs = [n for n, touching in at.items() if len(touching) == 1]
    while stubs:
        touching = at[stubs.pop()]
        if len(touching) != 1:
            continue
        i = touching.pop()
        live.discard(i)
        for other in (parts[i].a, parts[i].b):
            at[other].discard(i)
            if len(at[other]) == 1:
                stubs.append(other)
    return _connected_to_sources(parts, live, at)


def _connected_to_sources(parts: Sequence[Part], live: set[int], at: dict[int, set[int]]) -> Core:
    kept: set[int] = set()
    grounds = []
    seen: set[int] = set()
    for i in sorted(live):
        if parts[i].what != "source" or parts[i].b in seen:
            continue
        grounds.append(parts[i].b)
        reach = [parts[i].b]
        seen.add(parts[i].b)
        while reach:
            for j in at[reach.pop()]:
                kept.add(j)
                for node in (parts[j].a, parts[j].b):
                    if node not in seen:
                        seen.add(node)
                        reach.append(node)
    return _contracted(parts, tuple(sorted(kept)), grounds)


def _contracted(parts: Sequence[Part], branches: tuple[int, ...], grounds: Sequence[int]) -> Core:
    joined = Groups[int]()
    joints = tuple((i, parts[i].a, parts[i].b) for i in branches if parts[i].what in JOINTS)
    for _, a, b in joints:
        joined.join(a, b)
    solved = tuple(i for i in branches if parts[i].what not in JOINTS)
    number: dict[int, int] = {}
    for i in solved:
        for node in (parts[i].a, parts[i].b):
            number.setdefault(joined.leader(node), len(number))
    # Nodes of joints alone: each is joined to one that a source or load touches, being live.
    nodes = {n for i in branches for n in (parts[i].a, parts[i].b)}
    node_at = {n: number[joined.leader(n)] for n in sorted(nodes)}
    wiring = tuple((parts[i].what, node_at[parts[i].a], node_at[parts[i].b]) for i in solved)
    return Core(branches, solved, joints, wiring, tuple(dict.fromkeys(node_at[g] for g in grounds)), node_at)


def _stand(parts: Sequence[Part], nodes: int, bits: int, core: Core) -> tuple[Standing, ...]:
    """Nodes off the core carry nothing: each is at the potential of what it hangs on, whatever lies between."""
    at: dict[int, list[int]] = defaultdict(list)
    islands = Groups[int]()
    for i, part in enumerate(parts):
        if bits >> i & 1 and part.what != "clamp":
            at[part.a].append(i)
            at[part.b].append(i)
            islands.join(part.a, part.b)
    found = {n: Standing(islands.leader(n), k, ()) for n, k in core.node_at.items()}
    # Core nodes first, so that only islands without one begin at zero.
    for start in [*core.node_at, *range(nodes)]:
        found.setdefault(start, Standing(islands.leader(start), -1, ()))
        queue = [start]
        while queue:
            node = queue.pop()
            for i in at[node]:
                part, here = parts[i], found[node]
                other, sign = (part.b, -1) if part.a == node else (part.a, 1)
                if other not in found:
                    sources = ((i, sign),) if part.what == "source" else ()
                    found[other] = Standing(here.island, here.anchor, here.sources + sources)
                    queue.append(other)
    return tuple(found[n] for n in range(nodes))
