"""Everything that can go wrong with one thing, counted up from a list of parts, apart from the engine's own list.

What is asked: each conductor open; each contact stuck open, welded closed; each coil open; each device dead; each pair
of conductors in one cable shorted; each conductor shorted to the other pole, and to earth where a supply is earthed;
each protector blown; suppression shorted or open.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import networkx as nx

from plancheck.plan.graph import Branch
from tests.proof.circuits import Part

GONE = {
    "conductor": ("conductor open",),
    "contact": ("contact stuck open",),
    "coil": ("coil open",),
    "protector": ("protector blown",),
    "suppressor": ("suppressor open",),
}
WELDED, DEAD, SHORTED = "contact welded", "device dead", "suppressor shorted"
TOUCHING, POLE, EARTH = "conductors shorted", "shorted to the other pole", "shorted to earth"
KINDS = (*(k for kinds in GONE.values() for k in kinds), WELDED, DEAD, SHORTED, TOUCHING, POLE, EARTH)


@dataclass(frozen=True, slots=True)
class Thing:
    """A part as far as failing goes; `role` is conductor, contact, coil, electronic, protector, suppressor, source,
    link or other."""

    key: str
    role: str
    a: str
    b: str
    device: str
    cable: str = ""


@dataclass(frozen=True, slots=True)
class Broken:
    """What is otherwise in a circuit: parts gone, contacts made for good, two terminals that touch."""

    removed: frozenset[str] = frozenset()
    welded: frozenset[str] = frozenset()
    joined: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Mishap:
    """One thing that has failed; `pole` tells shorts of one conductor apart. `places` are the pairs of terminals
    between which a short may be, since nobody knows where along a conductor it is; the first is the likeliest."""

    kind: str
    keys: frozenset[str]
    pole: str = ""
    removed: frozenset[str] = frozenset()
    welded: frozenset[str] = frozenset()
    places: tuple[tuple[str, str], ...] = field(default=(), compare=False)

    @property
    def ways(self) -> list[Broken]:
        """What it may do, by where it is."""
        if not self.places:
            return [Broken(self.removed, self.welded)]
        return [Broken(joined=pair) for pair in self.places]


def things_of_parts(parts: Iterable[Part]) -> list[Thing]:
    """The parts of a generated circuit."""
    roles = {"wire": "conductor", "fuse": "protector", "diode": "suppressor", "clamp": "suppressor"}
    found = []
    for p in parts:
        role = roles.get(p.what, p.what)
        cable = p.key.rpartition(" in ")[2].partition("/")[0] if " in " in p.key else ""
        found.append(Thing(p.key, role, p.a, p.b, "" if role == "conductor" else p.key.partition(".")[0], cable))
    return found


def things_of_plan(branches: Iterable[Branch]) -> list[Thing]:
    """The parts of a plan, as its connection graph gives them."""
    roles = {"one-way": "suppressor", "clamp": "suppressor", "sense": "other"}
    found = []
    for b in branches:
        role = roles.get(b.what, b.what)
        if role == "load":
            role = b.style if b.style in ("coil", "electronic") else "other"
        found.append(Thing(b.key, role, b.a, b.b, b.device, b.wire.cable if b.wire else ""))
    return found


class Mishaps:
    """All single failures of a list of parts; `earthed` are the poles that are earthed."""

    def __init__(self, things: Sequence[Thing], earthed: Collection[str]) -> None:
        self.things, self.earthed = things, earthed
        self.supplies = list(dict.fromkeys((t.a, t.b) for t in things if t.role == "source"))
        self.poles = {pole for supply in self.supplies for pole in supply}
        self.net = _joined(things, ("conductor", "link"), set())
        self.metal = _joined(things, ("conductor", "link", "contact", "protector"), self.poles)
        self.loops = _loops(things)

    def all(self) -> list[Mishap]:
        """Every one."""
        return [*self._gone(), *self._dead(), *self._touching(), *self._to_poles()]

    def _gone(self) -> Iterator[Mishap]:
        for t in self.things:
            one = frozenset((t.key,))
            for kind in GONE.get(t.role, ()):
                yield Mishap(kind, one, removed=one)
            if t.role == "contact":
                yield Mishap(WELDED, one, welded=one)
            if t.role == "suppressor":
                yield Mishap(SHORTED, one, places=((t.a, t.b),))

    def _dead(self) -> Iterator[Mishap]:
        """A device with electronics, its loads without power; a supply, which gives nothing any more."""
        for device in dict.fromkeys(t.device for t in self.things if t.role in ("electronic", "source")):
            inside = [t for t in self.things if t.device == device and t.role in ("electronic", "coil", "source")]
            keys = frozenset(t.key for t in inside)
            yield Mishap(DEAD, keys, removed=keys)

    def _touching(self) -> Iterator[Mishap]:
        """Pairs in one cable; two on one net make no difference, and a conductor used twice does not touch itself."""
        cables: dict[str, list[Thing]] = defaultdict(list)
        for t in self.things:
            if t.cable:
                cables[t.cable].append(t)
        for conductors in cables.values():
            for one, other in combinations(conductors, 2):
                drawn_in = [t.key.rpartition(" in ")[2] for t in (one, other)]
                if self.net[one.a] != self.net[other.a] and drawn_in[0] != drawn_in[1]:
                    keys = frozenset((one.key, other.key))
                    places = tuple((x, y) for x in self._ends(one) for y in self._ends(other))
                    yield Mishap(TOUCHING, keys, places=places)

    def _to_poles(self) -> Iterator[Mishap]:
        """Each conductor, to poles of the supplies it is on a loop with; on none, of those that metal joins it to.

        One that is on one pole can touch the other; one between two loads, or that may be on either, both; and the
        earthed one.
        """
        for t in self.things:
            if t.role != "conductor":
                continue
            for plus, minus in self.supplies:
                on_plus, on_minus = (self._meets(self.metal, t, pole) for pole in (plus, minus))
                looped = self.loops.get(t.key, frozenset())
                if (plus, minus) not in looped and (looped or not (on_plus or on_minus)):
                    continue
                poles = [minus] * (on_plus or not on_minus) + [plus] * (on_minus or not on_plus)
                named = [(POLE, pole) for pole in poles]
                if minus in self.earthed and minus not in poles:
                    named.append((EARTH, minus))
                for kind, pole in named:
                    if self.net[t.a] != self.net[pole]:
                        places = tuple((end, pole) for end in self._ends(t))
                        yield Mishap(kind, frozenset((t.key,)), pole, places=places)

    def _meets(self, joined: Mapping[str, frozenset[str]], conductor: Thing, pole: str) -> bool:
        return pole in joined[conductor.a] or pole in joined[conductor.b]

    def _ends(self, conductor: Thing) -> tuple[str, ...]:
        """The ends of a conductor where it may touch something, those first that are no terminal of a source."""
        return tuple(sorted((conductor.b, conductor.a), key=lambda end: end in self.poles))


def _loops(things: Iterable[Thing]) -> dict[str, frozenset[tuple[str, str]]]:
    """For each part that is on a loop, the supplies (plus and minus) that are on one with it."""
    between: dict[frozenset[str], list[Thing]] = defaultdict(list)
    for t in things:
        between[frozenset((t.a, t.b))].append(t)
    found: dict[str, frozenset[tuple[str, str]]] = {}
    for edges in nx.biconnected_component_edges(nx.Graph([tuple(pair) for pair in between if len(pair) == 2])):
        inside = [t for edge in edges for t in between[frozenset(edge)]]
        if len(inside) > 1:
            supplies = frozenset((t.a, t.b) for t in inside if t.role == "source")
            found.update((t.key, supplies) for t in inside)
    return found


def _joined(things: Iterable[Thing], roles: Collection[str], stops: Collection[str]) -> dict[str, frozenset[str]]:
    """For each terminal, what parts of some roles join it to, not past the terminals where that stops."""
    at: dict[str, set[str]] = defaultdict(set)
    for t in things:
        for one, other in ((t.a, t.b), (t.b, t.a)):
            at[one] |= {other} if t.role in roles else set()
    found: dict[str, frozenset[str]] = {}
    for start in at:
        if start in found:
            continue
        seen, queue = {start}, [start]
        while queue:
            here = queue.pop()
            for other in at[here] - seen if here not in stops else ():
                seen.add(other)
                queue.append(other)
        found[start] = frozenset(seen)
    return found
