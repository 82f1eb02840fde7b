"""Concurrent demand: the most that several circuits of one source can draw at the same time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from operator import add

from plancheck.circuit.conditions import Levels, Space, members

MANY_SHARED = 12
"""More signals than this, common to several circuits, are not tried in every combination."""


MANY_TOGETHER = 10
"""More signals than this, over all the demands, are not told condition by condition."""


def sum_of(demands: Sequence[Levels]) -> Levels:
    """The sum of demands, condition by condition."""
    total = demands[0]
    for demand in demands[1:]:
        total = total.with_other(demand, add)
    return total


def greatest_together(
    demands: Sequence[Levels], given: Mapping[str, bool] | None = None
) -> tuple[float, dict[str, bool]] | None:
    """The greatest sum of the demands, and the condition of the shared signals in which it occurs.

    A signal that acts on one demand alone stands as that demand is greatest, unless it is `given` how it stands.
    None: too many shared signals.
    """
    given = given or {}
    counts = Counter(s for demand in demands for s in demand.space.signals if s not in given)
    shared = Space(tuple(s for s, n in counts.items() if n > 1))
    if len(shared.signals) > MANY_SHARED:
        return None
    best, worst = -1.0, dict[str, bool]()
    for index in range(shared.size):
        condition = shared.condition(index)
        total = sum(greatest_in(demand, {**condition, **given}) for demand in demands)
        if total > best:
            best, worst = total, condition
    return max(best, 0.0), worst


def greatest_in(demand: Levels, condition: Mapping[str, bool]) -> float:
    """The most of a demand where signals stand as a condition says that names some of them."""
    mask = within(demand.space, condition)
    return max((value for _, value in demand.within(mask) if value == value), default=0.0)


def where_greatest(demand: Levels, condition: Mapping[str, bool], rest: Mapping[str, bool]) -> dict[str, bool]:
    """Of the conditions in which a demand is greatest, signals standing as told where one names them, that nearest to
    rest; what is not told of rest is off there. Nothing where too many signals act on it to look at each condition.
    """
    if len(demand.space.signals) > MANY_SHARED:
        return {}
    parts = [(mask, value) for mask, value in demand.within(within(demand.space, condition)) if value == value]
    top = max((value for _, value in parts), default=0.0)
    wanted = sum(rest.get(signal, False) << i for i, signal in enumerate(demand.space.signals))
    found = [index for mask, value in parts if value >= top * (1 - 1e-6) for index in members(mask)]
    return demand.space.condition(min(found, key=lambda index: ((index ^ wanted).bit_count(), index))) if found else {}


def within(space: Space, condition: Mapping[str, bool]) -> int:
    """Mask of the conditions of a space in which signals stand as a condition says that names some of them."""
    mask = space.everything
    for signal in space.signals:
        if signal in condition:
            mask &= space.on(signal) if condition[signal] else ~space.on(signal)
    return mask
