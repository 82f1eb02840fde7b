"""Banks: the batteries of their own that stand from a source's minus to its plus, and what they hold together. SI."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from plancheck.circuit.facts import NotAssessed
from plancheck.units import Quantity

if TYPE_CHECKING:
    from plancheck.circuit.facts import Facts
    from plancheck.plan.graph import Branch

CHARGE = "battery-charge"
"""The slot in which a device states what its cells hold."""
Steps = Mapping[str, Mapping[str, float]]
"""Coulombs that may go from one net to another, by both."""


@dataclass(frozen=True, slots=True)
class Bank:
    """`cells` that stand across a source, in plan order; `last` of them at its plus; `charge` in coulombs."""

    cells: tuple[Branch, ...]
    last: tuple[Branch, ...]
    charge: float


def bank_across(facts: Facts, device: str) -> Bank | None:
    """The batteries that wire and protectors join across the output of a device, plus to plus; None without any.

    One behind another they hold what the least holds; side by side they add up. None for a battery. Raises
    NotAssessed where a device has outputs with banks of their own, or a battery states no charge.
    """
    banks = {bank.cells: bank for s in facts.branches("source", device) if (bank := _across(facts, s)) is not None}
    if len(banks) > 1:
        raise NotAssessed(f"{device} has several outputs, each with batteries of its own")
    return next(iter(banks.values()), None)


def _across(facts: Facts, source: Branch) -> Bank | None:
    net, cells = facts.touch.standing_at, facts.touch.cells
    start, goal = net(source.b), net(source.a)
    if not cells or start == goal or any(source is cell for cell in cells):
        return None
    ends = [(net(cell.b), net(cell.a), cell) for cell in cells]
    after = _joined({(minus, plus) for minus, plus, _ in ends}, start, goal)
    before = _joined({(plus, minus) for minus, plus, _ in ends}, goal, start)
    among = [each for each in ends if each[0] in after - {goal} and each[1] in before - {start}]
    if not among:
        return None
    steps: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for minus, plus, cell in among:
        steps[minus][plus] += _charge(facts, cell)
    last = tuple(cell for _, plus, cell in among if plus == goal)
    return Bank(tuple(cell for *_, cell in among), last, _most_through(steps, start, goal))


def _joined(steps: set[tuple[str, str]], start: str, goal: str) -> set[str]:
    """Nets that steps lead to from a start, past the goal no further."""
    found, queue = {start}, [start]
    while queue:
        net = queue.pop()
        for one, other in steps:
            if one == net and net != goal and other not in found:
                found.add(other)
                queue.append(other)
    return found


def _charge(facts: Facts, cell: Branch) -> float:
    value = facts.plan.devices[cell.device].get(CHARGE)
    if not isinstance(value, Quantity):
        raise NotAssessed(f"{cell.device} does not state the charge of its cells")
    return value.value


def _most_through(steps: Steps, start: str, goal: str) -> float:
    """The most that goes from start to goal, each step passing no more than its own: in series the least, and so on."""
    left: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for one, others in steps.items():
        for other, coulombs in others.items():
            left[one][other] += coulombs
    most = 0.0
    while (way := _shortest(left, start, goal)) is not None:
        taken = min(left[a][b] for a, b in way)
        for a, b in way:
            left[a][b] -= taken
            left[b][a] += taken
        most += taken
    return most


def _shortest(left: Steps, start: str, goal: str) -> list[tuple[str, str]] | None:
    """The steps of a way over which something may still go, the fewest there are; None where there is none."""
    came: dict[str, str] = {start: start}
    queue = [start]
    for net in queue:
        for other, coulombs in left.get(net, {}).items():
            if coulombs > 0 and other not in came:
                came[other] = net
                queue.append(other)
    if goal not in came:
        return None
    way = [goal]
    while way[-1] != start:
        way.append(came[way[-1]])
    return [(b, a) for a, b in pairwise(way)]
