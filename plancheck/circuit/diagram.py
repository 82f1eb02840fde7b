"""Diagrams: how the contacts and sources of a frame can stand, told apart only as far as it matters.

A decision diagram. Contacts and sources are decided one after another; a made contact joins its nodes into one, an
open one is gone, and what then lies on no loop with a source or input any more is left out. Ways of deciding that
leave the same circuit end in the same stage, so that 20 contacts side by side are 21 stages and not a million
patterns. Stages are made when they are first come to, and kept.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from plancheck.circuit.groups import Groups
from plancheck.circuit.parts import JOINTS, MANY_PATTERNS, Part, TooManyPatterns

Edge = tuple[int, int, int]
"""A part's number, and the nodes that it joins."""

MANY_STAGES = 4 * MANY_PATTERNS
"""A diagram that needs more stages than this is given up."""


class Stage:
    """What is left of a frame: `edges`, `undecided` contacts and sources among them, `choice` the next (−1: none).

    `depth` is how many are undecided. `bits` is one pattern that leads here, contacts that do not matter being made.
    `made` and `open` are what follows, None until asked for.
    """

    __slots__ = ("bits", "choice", "depth", "edges", "made", "open", "undecided")

    def __init__(self, edges: tuple[Edge, ...], undecided: tuple[int, ...], choice: int, bits: int) -> None:
        self.edges, self.undecided, self.choice, self.bits = edges, undecided, choice, bits
        self.depth = len(undecided)
        self.made: Stage | None = None
        self.open: Stage | None = None


class Diagram:
    """The stages of one frame, some parts of which may be `gone`."""

    def __init__(self, parts: Sequence[Part], nodes: int, gone: frozenset[int] = frozenset()) -> None:
        there = [(i, p) for i, p in enumerate(parts) if i not in gone]
        self._sources = frozenset(i for i, p in there if p.what == "source")
        self._roots = self._sources | {i for i, p in there if p.what == "sense"}
        self._known: dict[tuple[tuple[Edge, ...], tuple[int, ...]], Stage] = {}
        joined = Groups[int]()
        for _, part in there:
            if part.guard is None and part.what in JOINTS:
                joined.join(part.a, part.b)
        node = [joined.leader(n) for n in range(nodes)]
        edges = [
            (i, node[p.a], node[p.b])
            for i, p in there
            if p.what != "clamp" and p.a != p.b and (p.guard is not None or p.what not in JOINTS)
        ]
        undecided = [i for i, p in there if p.guard is not None]
        self.root = self._stage(edges, undecided, sum(1 << i for i, _ in there))

    def ends(self, masks: Mapping[int, int], everything: int) -> list[tuple[Stage, int]]:
        """The stages that conditions end in, each with its conditions; `masks` tell where each part is made or live."""
        layers: list[dict[Stage, int]] = [{} for _ in range(self.root.depth + 1)]
        layers[-1][self.root] = everything
        for number in range(self.root.depth, 0, -1):
            for stage, mask in layers[number].items():
                made = mask & masks[stage.choice]
                if made:
                    onward = stage.made or self._decided(stage, True)
                    into = layers[onward.depth]
                    into[onward] = into[onward] | made if onward in into else made
                if made != mask:
                    onward = stage.open or self._decided(stage, False)
                    into = layers[onward.depth]
                    into[onward] = into[onward] | (mask ^ made) if onward in into else mask ^ made
        if len(layers[0]) > MANY_PATTERNS:
            raise TooManyPatterns
        return list(layers[0].items())

    def _decided(self, stage: Stage, made: bool) -> Stage:
        """What follows when the choice of a stage is made, or open."""
        choice = stage.choice
        undecided = [i for i in stage.undecided if i != choice]
        if made and choice in self._sources:
            stage.made = self._numbered(stage.edges, tuple(undecided), stage.bits)
            return stage.made
        edges = [edge for edge in stage.edges if edge[0] != choice]
        if not made:
            stage.open = self._stage(edges, undecided, stage.bits & ~(1 << choice))
            return stage.open
        _, one, other = next(edge for edge in stage.edges if edge[0] == choice)
        edges = [(i, one if a == other else a, one if b == other else b) for i, a, b in edges]
        # Joining two nodes leaves every edge on its loops, if it has not become a loop of its own.
        if all(a != b or i in self._roots for i, a, b in edges):
            stage.made = self._renumbered(edges, undecided, stage.bits)
        else:
            stage.made = self._stage(edges, undecided, stage.bits)
        return stage.made

    def _stage(self, edges: Iterable[Edge], undecided: Iterable[int], bits: int) -> Stage:
        """The stage of those edges that matter."""
        return self._renumbered(self._on_loops(edges), undecided, bits)

    def _renumbered(self, edges: Iterable[Edge], undecided: Iterable[int], bits: int) -> Stage:
        """The stage of edges all of which matter, their nodes numbered as they come."""
        number: dict[int, int] = {}
        numbered = tuple((i, number.setdefault(a, len(number)), number.setdefault(b, len(number))) for i, a, b in edges)
        there = {i for i, _, _ in numbered}
        return self._numbered(numbered, tuple(i for i in undecided if i in there), bits)

    def _numbered(self, numbered: tuple[Edge, ...], left: tuple[int, ...], bits: int) -> Stage:
        stage = self._known.get((numbered, left))
        if stage is None:
            if len(self._known) >= MANY_STAGES:
                raise TooManyPatterns
            stage = self._known[numbered, left] = Stage(numbered, left, self._choice(numbered, left), bits)
        return stage

    def _choice(self, edges: tuple[Edge, ...], undecided: tuple[int, ...]) -> int:
        """Sources first, then contacts at a source: what hangs behind an open one is gone at once."""
        source = next((i for i in undecided if i in self._sources), None)
        if source is not None:
            return source
        poles = {n for i, a, b in edges if i in self._roots for n in (a, b)}
        waiting = set(undecided)
        near = (i for i, a, b in edges if i in waiting and (a in poles or b in poles))
        return next(near, undecided[0] if undecided else -1)

    def _on_loops(self, edges: Iterable[Edge]) -> list[Edge]:
        """Edges without loops of their own, dead ends, and what hangs on no source or input."""
        roots = self._roots
        left = {edge[0]: edge for edge in edges if edge[1] != edge[2] or edge[0] in roots}
        at: dict[int, list[int]] = defaultdict(list)
        for i, a, b in left.values():
            at[a].append(i)
            at[b].append(i)
        stubs = [n for n, touching in at.items() if len(touching) == 1]
        while stubs:
            touching = at[stubs.pop()]
            if len(touching) != 1:
                continue
            i, *nodes = left.pop(touching[0])
            for node in nodes:
                at[node].remove(i)
                if len(at[node]) == 1:
                    stubs.append(node)
        reach = [n for i, edge in left.items() if i in roots for n in edge[1:]]
        seen = set(reach)
        while reach:
            for i in at[reach.pop()]:
                for node in left[i][1:]:
                    if node not in seen:
                        seen.add(node)
                        reach.append(node)
        return [edge for edge in left.values() if edge[1] in seen]
