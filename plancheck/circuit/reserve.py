"""Reserve: what loads draw from a battery while the mains are gone, and how batteries are wired to one another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from plancheck.circuit.facts import NotAssessed
from plancheck.plan.guard import atoms

if TYPE_CHECKING:
    from plancheck.circuit.facts import Facts
    from plancheck.plan.graph import Branch

ASKING = ("command", "exit", "approach", "override")
"""Roles of signals that stand for somebody who asks for something."""
MOST_WAYS = 10_000
"""Steps along strings of batteries before the search is given up."""


def sources_on_reserve(facts: Facts, device: str) -> list[Branch]:
    """Sources of a device that its battery keeps alive."""
    return [source for source in facts.branches("source", device) if "reserve" in _roles(facts, source)]


def _roles(facts: Facts, source: Branch) -> set[str]:
    signals = facts.plan.devices[source.device].signals
    return {signals[a.name].role for a in atoms(source.guard) if a.what == "signal"}


def amps_on_reserve(facts: Facts, device: str, *, alarm: bool, asking: bool) -> float:
    """The most that loads draw together from a device's battery, all mains gone and all batteries charged.

    `alarm`: with the fire alarm on, else off. Unless `asking`, nobody presses, walks up or gives a command; what is
    neither may stand either way. Raises NotAssessed.
    """
    return amps_together(facts, sources_on_reserve(facts, device), alarm=alarm, asking=asking)


def amps_together(facts: Facts, sources: Sequence[Branch], *, alarm: bool, asking: bool) -> float:
    """The same of some sources, each at its most."""
    given = dict.fromkeys(facts.role("alarm"), alarm)
    given |= dict.fromkeys(facts.role("mains"), False) | dict.fromkeys(facts.role("reserve"), True)
    if not asking:
        given |= {key: facts.signals[key].rests_on for role in ASKING for key in facts.role(role)}
    return sum(facts.greatest_amps(source, given)[0] for source in sources)


def string_volts(facts: Facts, source: Branch) -> float | None:
    """Volts of the batteries of their own, one behind another, that stand from a source's minus to its plus.

    Wired the wrong way round they count below nothing. Of several strings side by side the one that is furthest
    from the source's volts is told. None where no battery does, and for a battery. Raises NotAssessed.
    """
    cells = facts.touch.cells
    if not cells or any(source is cell for cell in cells):
        return None
    found = set(_Strings(facts, cells).between(source))
    rated = source.number("volts") or 0.0
    return max(found, key=lambda volts: (abs(volts - rated), volts)) if found else None


class _Strings:
    """Batteries as steps of so many volts from one net to another."""

    def __init__(self, facts: Facts, cells: list[Branch]) -> None:
        self.net = facts.touch.standing_at
        self.steps: dict[str, dict[tuple[str, float], None]] = {}
        self.taken = 0
        for cell in cells:
            volts = cell.number("volts") or 0.0
            plus, minus = self.net(cell.a), self.net(cell.b)
            self.steps.setdefault(minus, {})[plus, volts] = None
            self.steps.setdefault(plus, {})[minus, -volts] = None

    def between(self, source: Branch) -> Iterator[float]:
        """Volts along every way from a source's minus to its plus that passes no net twice."""
        start, goal = self.net(source.b), self.net(source.a)
        if start == goal:
            return
        ways: list[tuple[str, float, frozenset[str]]] = [(start, 0.0, frozenset((start,)))]
        while ways:
            net, volts, passed = ways.pop()
            self.taken += 1
            if self.taken > MOST_WAYS:
                raise NotAssessed(f"too many batteries are wired to one another beside {source.device}")
            for other, more in self.steps.get(net, ()):
                if other == goal:
                    yield volts + more
                elif other not in passed:
                    ways.append((other, volts + more, passed | {other}))
