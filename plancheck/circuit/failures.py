"""Single failures: what can go wrong with one thing of a plan, and which of them a lock or input can feel."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cached_property
from itertools import combinations

from plancheck.circuit.engine import Engine
from plancheck.circuit.groups import Groups
from plancheck.circuit.touch import Touch
from plancheck.circuit.variation import Failure, Variation
from plancheck.plan.graph import Branch, ConnectionGraph
from plancheck.plan.guard import atoms

OPEN, STUCK, WELDED, COIL, DEAD = "conductor open", "contact stuck open", "contact welded", "coil open", "device dead"
CABLE, POLE, EARTH = "conductors shorted", "shorted to the other pole", "shorted to earth"
BLOWN, SUPPRESSOR_SHORTED, SUPPRESSOR_OPEN = "protector blown", "suppressor shorted", "suppressor open"
KINDS = (OPEN, STUCK, WELDED, COIL, DEAD, CABLE, POLE, EARTH, BLOWN, SUPPRESSOR_SHORTED, SUPPRESSOR_OPEN)
"""The kinds of failure that are worked out, in the order in which they are listed."""


AT_ONCE = 2_000
"""How many failures are worked out in one go: enough to solve like with like, and not to fill the memory."""


class Failures:
    """The single failures of a plan, in plan order, and which loads and inputs each of them can reach."""

    def __init__(self, graph: ConnectionGraph, touch: Touch, engine: Engine) -> None:
        self.graph, self.touch, self.engine = graph, touch, engine
        self.all = [Variation(failure=f) for f in sorted(self._every(), key=lambda f: KINDS.index(f.kind))]
        self._by_network: dict[int, list[int]] = defaultdict(list)
        for i, variation in enumerate(self.all):
            assert variation.failure is not None
            for number in sorted(engine.overlays.touched(variation.failure)):
                self._by_network[number].append(i)
        self._work_out()

    def _work_out(self) -> None:
        """Work out every failure, and keep how the parts stand on which states of devices depend, and every input."""
        devices = self.graph.plan.devices.values()
        kept = [f"{d.name}.{a.name}" for d in devices for s in d.states for a in atoms(s.guard) if a.what != "signal"]
        kept = list(dict.fromkeys(kept + [b.key for b in self.graph.branches if b.what == "sense"]))
        for start in range(0, len(self.all), AT_ONCE):
            self.engine.solve_failures(self.all[start : start + AT_ONCE], kept)

    def reaching(self, keys: Iterable[str]) -> list[Variation]:
        """The failures, each as a variation, that loads or inputs can feel, by branch key, in the order of `all`."""
        homes = (self.engine.home(key) for key in keys)
        cone = self.engine.overlays.upstream({home[0].number for home in homes if home})
        return [self.all[i] for i in sorted({i for number in cone for i in self._by_network.get(number, ())})]

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
                ends = self._middle(one), self._middle(other)
                if self.graph.net(ends[0]) != self.graph.net(ends[1]):
                    what = f"{named(one)} and {named(other)} touch"
                    yield Failure(CABLE, what, (one.key, other.key), joined=ends)
        for device, parts in self.graph.by_device.items():
            if any(b.what == "load" and b.style == "electronic" for b in parts):
                keys = tuple(b.key for b in parts if b.what == "load")
                yield Failure(DEAD, f"{device} dead", keys, dead=device)

    def _of(self, branch: Branch) -> Iterator[Failure]:
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


def named(branch: Branch) -> str:
    """A branch as a report names it."""
    if branch.wire is not None:
        ends = f"{branch.a} to {branch.b}"
        return f"{branch.wire.cable}/{branch.wire.colour} ({ends})" if branch.wire.cable else f"wire {ends}"
    if branch.what == "contact":
        return f"{branch.a}–{branch.b.partition(':')[2]}"
    return branch.device
