"""What touches what: questions about nets and reach that no condition changes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from functools import cached_property

from plancheck.circuit.groups import Groups
from plancheck.circuit.parts import METAL
from plancheck.circuit.protection import Protection
from plancheck.plan.graph import Branch, ConnectionGraph
from plancheck.plan.guard import atoms


class Touch:
    """Reach over a connection graph, whatever the contacts do."""

    def __init__(self, graph: ConnectionGraph) -> None:
        self.graph = graph

    @cached_property
    def protection(self) -> Protection:
        """Which conductors and loads stand behind which protector."""
        return Protection(self.graph, self.metal(self.graph.branches), self.earthed)

    @cached_property
    def _suppressors(self) -> dict[frozenset[str], list[Branch]]:
        found: dict[frozenset[str], list[Branch]] = defaultdict(list)
        for branch in self.graph.branches:
            if branch.what in ("one-way", "clamp"):
                found[self._nets(branch)].append(branch)
        return found

    def _nets(self, branch: Branch) -> frozenset[str]:
        return frozenset((self.graph.net(branch.a), self.graph.net(branch.b)))

    def across(self, load: Branch) -> list[Branch]:
        """One-ways and clamps that wire alone joins to both terminals of a load."""
        nets = self._nets(load)
        return self._suppressors.get(nets, []) if len(nets) == 2 else []

    @cached_property
    def _loads(self) -> dict[frozenset[str], list[Branch]]:
        found: dict[frozenset[str], list[Branch]] = defaultdict(list)
        for branch in self.graph.branches:
            if branch.what == "load":
                found[self._nets(branch)].append(branch)
        return found

    def alongside(self, load: Branch) -> list[Branch]:
        """Loads that wire alone joins to both terminals of a load, itself among them, in plan order."""
        return self._loads[self._nets(load)]

    @cached_property
    def _suppressing(self) -> set[str]:
        return {b.key for nets, found in self._suppressors.items() if nets in self._loads for b in found}

    def metal(self, branches: Sequence[Branch]) -> list[Branch]:
        """Those branches that feed by metal: sources, wire, contacts, and one-ways unless they suppress a load."""
        feeding = (*METAL, "source", "one-way")
        return [b for b in branches if b.what in feeding and b.key not in self._suppressing]

    def _reach(self, start: str, stop: Callable[[str], bool]) -> list[str]:
        """Terminals that metal and resistors can join to `start`, contacts made or not, without entering one where
        `stop` holds."""
        seen = {start: None}
        queue = [start]
        while queue:
            terminal = queue.pop()
            for branch in self.graph.at[terminal]:
                other = branch.b if branch.a == terminal else branch.a
                passes = branch.what in METAL or branch.style == "resistive"
                if passes and other not in seen and not stop(other):
                    seen[other] = None
                    queue.append(other)
        return list(seen)

    def devices_on(self, sense: Branch) -> list[str]:
        """Devices on a dry input's net, by wire or by way of contacts and resistors, not past its common.

        The input's own device is among them only where another of its terminals is on the net.
        """
        common = self.graph.net(sense.b)
        if self.graph.net(sense.a) == common:
            # Bridged: its net is the common's. What hangs on its own side of the bridge is told all the same.
            reached = self._reach(sense.a, lambda terminal: terminal == sense.b)
        else:
            reached = self._reach(sense.a, lambda terminal: self.graph.net(terminal) == common)
        reached.remove(sense.a)
        return list(dict.fromkeys(t.partition(":")[0] for t in reached))

    @cached_property
    def _poles(self) -> dict[str, list[Branch]]:
        poles: dict[str, list[Branch]] = defaultdict(list)
        for branch in self.graph.branches:
            if branch.what == "source":
                poles[branch.a].append(branch)
                poles[branch.b].append(branch)
        return poles

    @cached_property
    def _regions(self) -> tuple[dict[str, str], dict[str, set[str]]]:
        """Each terminal's region (all that metal can join without passing a pole), and the poles each touches."""
        joined = Groups[str]()
        metal = [b for b in self.graph.branches if b.what in METAL]
        for branch in metal:
            if branch.a not in self._poles and branch.b not in self._poles:
                joined.join(branch.a, branch.b)
        touched: dict[str, set[str]] = defaultdict(set)
        for branch in metal:
            for pole, other in ((branch.a, branch.b), (branch.b, branch.a)):
                if pole in self._poles:
                    touched[joined.leader(other)].add(pole)
        for pole in self._poles:
            touched[joined.leader(pole)].add(pole)
        return {terminal: joined.leader(terminal) for terminal in joined.members()}, touched

    @cached_property
    def cells(self) -> list[Branch]:
        """Sources that live on a reserve alone, their device knowing no mains, in plan order."""
        devices, found = self.graph.plan.devices, []
        for source in (b for b in self.graph.branches if b.what == "source"):
            signals = devices[source.device].signals
            asked = {signals[atom.name].role for atom in atoms(source.guard) if atom.what == "signal"}
            if "reserve" in asked and all(signal.role != "mains" for signal in signals.values()):
                found.append(source)
        return found

    @cached_property
    def earthed(self) -> frozenset[str]:
        """Nets that are earthed: those of the minus of each source that is."""
        sources = (s for found in self._poles.values() for s in found if s.data.get("earthed"))
        return frozenset(self.graph.net(source.b) for source in sources)

    def is_pole(self, terminal: str) -> bool:
        """Whether a terminal is a pole of some source."""
        return terminal in self._poles

    def poles_of(self, terminal: str) -> set[str]:
        """Poles of sources that metal can join to a terminal, contacts made or not, past no other pole."""
        regions, touched = self._regions
        return touched.get(regions.get(terminal, terminal), set())

    def foreign_source(self, sense: Branch) -> Branch | None:
        """A source whose plus, or either pole on AC, metal can join to an input's terminal, its own device's included.

        A minus alone does not count: negatives are commoned in practice, and it may be one with the input's common.
        """
        for start in (sense.a, sense.b):
            for pole in sorted(self.poles_of(start)):
                for source in self._poles[pole]:
                    if pole == source.a or source.data.get("form") == "ac":
                        return source
        return None

    @cached_property
    def _standing(self) -> tuple[dict[str, str], dict[str, set[str]]]:
        """Each terminal's net by wire and protectors, and the devices whose plus, or AC pole, stands on each net."""
        joined = Groups[str]()
        for branch in self.graph.branches:
            if branch.what in METAL and branch.what != "contact":
                joined.join(branch.a, branch.b)
        supplies: dict[str, set[str]] = defaultdict(set)
        for pole, sources in self._poles.items():
            names = {s.device for s in sources if pole == s.a or s.data.get("form") == "ac"}
            supplies[joined.leader(pole)] |= names
        return {terminal: joined.leader(terminal) for terminal in joined.members()}, supplies

    def standing_at(self, terminal: str) -> str:
        """Name of all that wire and protectors alone join to a terminal."""
        return self._standing[0].get(terminal, terminal)

    @cached_property
    def _banks(self) -> dict[frozenset[str], list[str]]:
        """Devices by the nets, by wire and protectors, of the two poles of a source of theirs; plan order."""
        banks: dict[frozenset[str], list[str]] = defaultdict(list)
        for branch in self.graph.branches:
            if branch.what == "source" and branch.device not in (bank := banks[self._poles_stand(branch)]):
                bank.append(branch.device)
        return banks

    def _poles_stand(self, source: Branch) -> frozenset[str]:
        nets, _ = self._standing
        return frozenset(nets.get(pole, pole) for pole in (source.a, source.b))

    def beside(self, source: Branch) -> list[str]:
        """Devices whose sources wire and protectors alone put beside a source, pole to pole, its own among them.

        One that is turned round counts as well. A pole in common alone, or a diode or contact between, does not.
        """
        poles = self._poles_stand(source)
        return self._banks[poles] if len(poles) == 2 else [source.device]

    def supplies_at(self, terminal: str) -> set[str]:
        """Devices whose plus, or either pole on AC, wire and protectors alone bring to a terminal."""
        nets, supplies = self._standing
        return supplies.get(nets.get(terminal, terminal), set())

    @cached_property
    def _standing_poles(self) -> dict[str, set[str]]:
        """Plus and minus of the DC sources that stand on each net of wire and protectors."""
        nets, _ = self._standing
        found: dict[str, set[str]] = defaultdict(set)
        for pole, sources in self._poles.items():
            for source in sources:
                if source.data.get("form") != "ac":
                    found[nets.get(pole, pole)].add("plus" if pole == source.a else "minus")
        return found

    def poles_standing_at(self, terminal: str) -> set[str]:
        """`plus` and `minus`, as far as wire and protectors alone bring a DC source's poles to a terminal."""
        nets, _ = self._standing
        return self._standing_poles.get(nets.get(terminal, terminal), set())
