"""Which networks depend on which: what hangs on what, however far, and sets of networks that would turn in a circle."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from plancheck.plan.graph import in_dependence_order


def closure(numbers: Iterable[int], onward: dict[int, set[int]]) -> set[int]:
    """Those networks, and all that `onward` leads to from them."""
    found = set(numbers)
    queue = list(found)
    while queue:
        for number in onward.get(queue.pop(), ()):
            if number not in found:
                found.add(number)
                queue.append(number)
    return found


def without_circles(groups: Sequence[set[int]], upstream: Callable[[set[int]], set[int]]) -> list[set[int]]:
    """The groups, those joined that depend on each other: each becomes one network, and none may ask itself.

    Groups may share networks. `upstream` gives a group with all that it depends on.
    """
    left = [group for i, group in enumerate(groups) if group not in groups[:i]]
    while len(left) > 1:
        cones = [upstream(group) for group in left]
        needs = [(i, j) for i, one in enumerate(left) for j, other in enumerate(left) if cones[i] & (other - one)]
        circles = in_dependence_order(len(left), needs)
        if len(circles) == len(left):
            break
        left = [set[int]().union(*(left[i] for i in circle)) for circle in sorted(circles)]
    return left
