"""Nets of two plans: each old net is the new one with which it shares most terminals."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from plancheck.plan.graph import ConnectionGraph
from plancheck.review.comparing.comparison import NetChange
from plancheck.review.comparing.names import Names, terminal

Net = frozenset[str]


def net_changes(old: ConnectionGraph, new: ConnectionGraph, names: Names) -> tuple[NetChange, ...]:
    """Every net that gained or lost a terminal, in the order of the new plan; then those that are no more."""
    before = [frozenset(terminal(t, names) for t in net) for net in nets(old)]
    after = nets(new)
    shared = _shared(before, after)
    of_old = {i: max(counts, key=lambda j: (counts[j], -j)) for i, counts in shared.items()}
    taken: dict[int, int] = {}
    for i, j in of_old.items():
        best = taken.get(j)
        if best is None or shared[i][j] > shared[best][j]:
            taken[j] = i
    changes = [*_changed(before, after, taken)]
    left = [net for i, net in enumerate(before) if i not in taken.values() and net not in after]
    return (*changes, *(NetChange((), (), _sorted(net)) for net in left if _broken(net, after)))


def nets(graph: ConnectionGraph) -> list[Net]:
    """The nets that wire joins, each with two terminals at least, in the order of the plan."""
    found: dict[str, set[str]] = defaultdict(set)
    for wire in graph.plan.wires:
        for end in (wire.a.key, wire.b.key):
            found[graph.net(end)].add(end)
    return [frozenset(net) for net in found.values() if len(net) > 1]


def _shared(before: list[Net], after: list[Net]) -> dict[int, Counter[int]]:
    """By old net, how many terminals it shares with each new one."""
    home = {t: j for j, net in enumerate(after) for t in net}
    return {i: counts for i, net in enumerate(before) if (counts := Counter(home[t] for t in net if t in home))}


def _changed(before: list[Net], after: list[Net], taken: dict[int, int]) -> Iterator[NetChange]:
    for j, net in enumerate(after):
        old = before[taken[j]] if j in taken else frozenset[str]()
        if net != old:
            yield NetChange(_sorted(net & old), _sorted(net - old), _sorted(old - net))


def _broken(net: Net, after: list[Net]) -> bool:
    """Whether the terminals of a net are no longer all on one: else it has grown into another, which is told there."""
    return not any(net <= other for other in after)


def _sorted(net: Net) -> tuple[str, ...]:
    return tuple(sorted(net))
