"""Returns: supplies whose minus poles meet at what they feed, and are joined nowhere else."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from plancheck.circuit.groups import Groups
from plancheck.circuit.supplies import devices_feeding

if TYPE_CHECKING:
    from plancheck.circuit.facts import Facts
    from plancheck.plan.graph import Branch


class SharedReturns:
    """The minus poles of a plan's supplies, by the nets on which they meet."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self._mixed = self._worked_out()

    def mixed_with(self, device: str) -> list[str]:
        """Supplies, earlier in the plan, whose minus meets that of a device at loads alone.

        Poles that wire joins past no load are bonded on purpose; so are two that are earthed. Supplies that feed one
        load together have to share its return. Raises NotAssessed.
        """
        return [other for other in self._mixed.get(device, ()) if not self._together(device, other)]

    def _worked_out(self) -> dict[str, list[str]]:
        graph = self.facts.graph
        on_net: dict[str, dict[str, Branch]] = defaultdict(dict)
        for source in self.facts.branches("source"):
            on_net[graph.net(source.b)].setdefault(source.device, source)
        crowded = [sources for sources in on_net.values() if len(sources) > 1]
        bonds = self._bonds() if crowded else Groups[str]()
        found: dict[str, list[str]] = {}
        for sources in crowded:
            firsts: dict[str, Branch] = {}
            for source in sources.values():
                bond = "earth" if source.data.get("earthed") else bonds.leader(source.b)
                if bond not in firsts:
                    found[source.device] = [other.device for other in firsts.values()]
                    firsts[bond] = source
        return found

    def _bonds(self) -> Groups[str]:
        """Terminals that wire and links join past no terminal of a load."""
        joined = Groups[str]()
        poles = {pole for source in self.facts.branches("source") for pole in (source.a, source.b)}
        fed = {end for load in self.facts.branches("load") for end in (load.a, load.b)} - poles
        for branch in self.facts.branches():
            if branch.what in ("conductor", "link") and branch.a not in fed and branch.b not in fed:
                joined.join(branch.a, branch.b)
        return joined

    def _together(self, one: str, other: str) -> bool:
        """Whether some load is fed by both."""
        both = {one, other}
        shared = [n for n in self.facts.networks if both <= {s.device for s in n.sources}]
        loads = (b for network in shared for b in network.branches if b.what == "load")
        return any(both <= set(devices_feeding(self.facts, load)) for load in loads)
