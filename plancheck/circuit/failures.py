"""Single failures: what can go wrong with one thing of a plan, and which of them a lock or input can feel."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from functools import cached_property
from itertools import combinations

from plancheck.circuit.engine import Engine
from plancheck.circuit.groups import Groups
from plancheck.circuit.touch import Touch
from plancheck.circuit.variation import (
    BLOWN,
    CABLE,
    COIL,
    DEAD,
    EARTH,
    FAILURE_KINDS,
    OPEN,
    POLE,
    STUCK,
    SUPPRESSOR_OPEN,
    SUPPRESSOR_SHORTED,
    WELDED,
    Failure,
    Variation,
)
from plancheck.plan.graph import Branch, ConnectionGraph
from plancheck.plan.guard import atoms

OF_PART = {
    "conductor": (OPEN, POLE, EARTH),
    "contact": (STUCK, WELDED),
    "load": (COIL,),
    "protector": (BLOWN,),
    "one-way": (SUPPRESSOR_SHORTED, SUPPRESSOR_OPEN),
    "clamp": (SUPPRESSOR_SHORTED, SUPPRESSOR_OPEN),
}
"""By primitive, the kinds of failure that one part of it can have by itself."""


class Failures:
    """The single failures of a plan, in plan order, and which loads and inputs each of them can reach.

    `kinds` are those that are worked out.
    """

    def __init__(
        self, graph: ConnectionGraph, touch: Touch, engine: Engine, kinds: Collection[str] = frozenset(FAILURE_KINDS)
    ) -> None:
        self.graph, self.touch, self.engine = graph, touch, engine
        self._kinds = frozenset(kinds)
        every = (f for f in self._every() if f.kind in kinds)
        self.all = [Variation(failure=f) for f in sorted(every, key=lambda f: FAILURE_KINDS.index(f.kind))]
        # What fails in a part on no loop, such as a pole that nobody wired, changes nothing: of a large plan, most.
        acting = [(i, v) for i, v in enumerate(self.all) if v.failure and self._acts(v.failure)]
        self._work_out([variation for _, variation in acting])
        self._touching: dict[int, list[int]] = defaultdict(list)
        """By network, the failures that change it."""
        self._pulling: dict[int, list[int]] = defaultdict(list)
        """By network, the failures that pull down a supply on which it hangs."""
        self._loosening: dict[str, list[int]] = defaultdict(list)
        """By key of a part that is on no loop as drawn, the shorts by which it may come to be on one."""
        for i, variation in acting:
            assert variation.failure is not None
            for number in engine.overlays.touched(variation.failure):
                self._touching[number].append(i)
            for key in engine.overlays.loose_keys(variation.failure):
                self._loosening[key].append(i)
            if sags := engine.found_out(variation).sags:
                for number in engine.burdens.hanging(sags):
                    self._pulling[number].append(i)
        engine.overlays.forget()

    def _acts(self, failure: Failure) -> bool:
        """Whether a failure may change anything: it joins things, or takes or welds a part of some network."""
        homes = self.engine.homes
        return bool(failure.joined or failure.dead) or any(k in homes for k in failure.removed | failure.welded)

    def _work_out(self, variations: list[Variation]) -> None:
        """Work failures out, and keep how the parts stand on which states of devices depend, and every input."""
        devices = self.graph.plan.devices.values()
        kept = [f"{d.name}.{a.name}" for d in devices for s in d.states for a in atoms(s.guard) if a.what != "signal"]
        kept = list(dict.fromkeys(kept + [b.key for b in self.graph.branches if b.what == "sense"]))
        self.engine.solve_failures(variations, kept)

    def reaching(self, keys: Iterable[str]) -> list[Variation]:
        """The failures, each as a variation, that loads or inputs can feel, by branch key, in the order of `all`."""
        return [failed for failed, _ in self.felt(keys)]

    def felt(self, keys: Iterable[str]) -> list[tuple[Variation, Variation]]:
        """Those that `reaching` gives, each with as much of it as the loads or inputs feel.

        Failures that do nothing to them but pull down a supply are one and the same there, if they do it alike.
        """
        keys = list(keys)
        homes = {network.number for key in keys for network, _ in self.engine.homes.get(key, ())}
        cone = self.engine.overlays.upstream(homes)
        changing = {i for number in cone for i in self._touching.get(number, ())}
        changing.update(i for key in keys for i in self._loosening.get(key, ()))
        pulling = {i for number in cone for i in self._pulling.get(number, ())} - changing
        return [
            (self.all[i], Variation(sags=self.engine.found_out(self.all[i]).sags) if i in pulling else self.all[i])
            for i in sorted(changing | pulling)
        ]

    def _middle(self, conductor: Branch) -> str:
        """Where a short of a conductor is taken to be: at an end that is no pole, if there is one."""
        return conductor.b if self.touch.is_pole(conductor.a) else conductor.a

    def _sources_of(self, conductor: Branch) -> list[Branch]:
        """Sources in whose circuit a conductor is; of one that none feeds, those of what it hangs on."""
        fed = self._feeding(conductor)
        if fed:
            return fed
        hung, sources = self._hung
        return list(sources[hung.leader(conductor.key)].values())

    def _feeding(self, branch: Branch) -> list[Branch]:
        home = self.engine.home(branch.key)
        return home[0].sources if home else []

    @cached_property
    def _hung(self) -> tuple[Groups[str], dict[str, dict[str, Branch]]]:
        """Branches that no source feeds with what they hang together with, past no pole, and by leader of such a set
        the sources that it hangs on."""
        hung, sources = Groups[str](), defaultdict[str, dict[str, Branch]](dict)
        feeding = {b.key: [b] if b.what == "source" else self._feeding(b) for b in self.graph.branches}
        ends = [(b, t) for b in self.graph.branches if not feeding[b.key] for t in (b.a, b.b)]
        for branch, terminal in ends:
            hung.join(branch.key, branch.key if self.touch.is_pole(terminal) else terminal)
        for branch, terminal in ends:
            pole = self.touch.is_pole(terminal)
            for other in self.graph.at[terminal]:
                if other.what == "source" or not pole:
                    sources[hung.leader(branch.key)].update((s.key, s) for s in feeding[other.key])
        return hung, sources

    def _every(self) -> Iterator[Failure]:
        cables: dict[str, list[Branch]] = defaultdict(list)
        for branch in self.graph.branches:
            yield from self._of(branch)
            if branch.wire is not None and branch.wire.cable:
                cables[branch.wire.cable].append(branch)
        for conductors in cables.values():
            for one, other in combinations(conductors, 2):
                if in_one_conductor(one, other):
                    continue  # a conductor does not touch itself: that its wires are on two nets is a fault as drawn
                ends = self._middle(one), self._middle(other)
                if self.graph.net(ends[0]) != self.graph.net(ends[1]):
                    what = f"{named(one)} and {named(other)} touch"
                    yield Failure(CABLE, what, (one.key, other.key), joined=ends)
        for device, parts in self.graph.by_device.items():
            sources = frozenset(b.key for b in parts if b.what == "source")
            if sources or any(b.what == "load" and b.style == "electronic" for b in parts):
                keys = tuple(b.key for b in parts if b.what in ("load", "source"))
                yield Failure(DEAD, f"{device} dead", keys, removed=sources, dead=device)

    def _of(self, branch: Branch) -> Iterator[Failure]:
        if self._kinds.isdisjoint(OF_PART.get(branch.what, ())):
            return
        name, key = named(branch), branch.key
        gone = frozenset((key,))
        match branch.what:
            case "conductor":
                yield Failure(OPEN, f"{name} open", (key,), removed=gone)
                yield from self._shorts(branch)
            case "contact":
                yield Failure(STUCK, f"{name} stuck open", (key,), removed=gone)
                yield Failure(WELDED, f"{name} welded", (key,), welded=gone)
            case "load" if branch.style == "coil":
                yield Failure(COIL, f"coil of {branch.device} open", (key,), removed=gone)
            case "protector":
                yield Failure(BLOWN, f"{branch.device} blown", (key,), removed=gone)
            case "one-way" | "clamp":
                yield Failure(SUPPRESSOR_SHORTED, f"{branch.device} shorted", (key,), joined=(branch.a, branch.b))
                yield Failure(SUPPRESSOR_OPEN, f"{branch.device} open", (key,), removed=gone)

    def _shorts(self, conductor: Branch) -> Iterator[Failure]:
        """To the pole that it does not hang on, and to the earthed pole of its supply, if that is another."""
        if not self._kinds & {POLE, EARTH}:
            return
        near = self.touch.poles_of(conductor.a) | self.touch.poles_of(conductor.b)
        seen: set[str] = set()
        end = self._middle(conductor)
        for source in self._sources_of(conductor):
            on_plus, on_minus = source.a in near, source.b in near
            poles = [(POLE, source.b)] if on_plus or not on_minus else []
            poles += [(POLE, source.a)] if on_minus or not on_plus else []
            poles += [(EARTH, source.b)] if source.data.get("earthed") else []
            for kind, pole in poles:
                if pole not in seen and self.graph.net(pole) != self.graph.net(end):
                    seen.add(pole)
                    what = f"{named(conductor)} shorted to {'earth' if kind == EARTH else pole}"
                    yield Failure(kind, what, (conductor.key,), joined=(end, pole))


def in_one_conductor(one: Branch, other: Branch) -> bool:
    """Whether two wires of one cable are drawn in the same conductor."""
    return one.wire is not None and other.wire is not None and one.wire.colour == other.wire.colour


def named(branch: Branch) -> str:
    """A branch as a report names it."""
    if branch.wire is not None:
        ends = f"{branch.a} to {branch.b}"
        return f"{branch.wire.cable}/{branch.wire.colour} ({ends})" if branch.wire.cable else f"wire {ends}"
    if branch.what == "contact":
        return f"{branch.a}–{branch.b.partition(':')[2]}"
    return branch.device
