"""The path that current takes through a part, or metal through an input, with the volts on the way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from plancheck.circuit.states import NetworkStates
from plancheck.circuit.values import RATED

_NOTHING = 1e-9
_JOINING = frozenset({"conductor", "link", "contact", "protector", "resistive"})

Step = tuple[int, int]
"""A node, and the branch by which it is come to from the node before it, -1 for the first."""
Stop = tuple[str, float]
"""A terminal, and its volts against the last one of the path."""


def trace(states: NetworkStates, index: int, bits: int) -> list[Stop]:
    """Terminals from source + through load `index` to source −, following the greatest current at each node.

    Empty where the branch carries nothing in the pattern.
    """
    flow = states.through(index, bits, RATED)
    if abs(flow) < _NOTHING:
        return []
    part = states.frame.parts[index]
    enters, leaves = (part.a, part.b) if flow > 0 else (part.b, part.a)
    upstream = list(_follow(states, bits, enters, index, against=True))
    nodes = [n for n, _ in reversed(upstream)] + [enters, leaves]
    branches = [b for _, b in reversed(upstream)] + [index]
    for node, branch in _follow(states, bits, leaves, index, against=False):
        nodes.append(node)
        branches.append(branch)
    return _metered(states, bits, nodes, branches)


def closing(states: NetworkStates, index: int, bits: int) -> list[Stop]:
    """Terminals from one side of input `index` by the shortest way of metal to the other; empty where none joins them.

    The volts are those that others put on it; none as a rule.
    """
    part = states.frame.parts[index]
    came: dict[int, Step] = {part.a: (part.a, -1)}
    queue = [part.a]
    for node in queue:
        for i, each in enumerate(states.frame.parts):
            if each.what in _JOINING and bits >> i & 1 and node in (each.a, each.b):
                onward = each.b if each.a == node else each.a
                if onward not in came:
                    came[onward] = node, i
                    queue.append(onward)
    if part.b not in came:
        return []
    nodes, branches = [part.b], list[int]()
    while nodes[-1] != part.a:
        before, branch = came[nodes[-1]]
        nodes.append(before)
        branches.append(branch)
    return _metered(states, bits, nodes[::-1], branches[::-1])


def _follow(states: NetworkStates, bits: int, node: int, last: int, *, against: bool) -> Iterator[Step]:
    """Nodes from `node` on to a pole of a source that gives or takes the current."""
    seen = {node}
    while True:
        best, chosen, onward = _NOTHING, -1, -1
        for i in states.frame.core(bits).branches:
            part = states.frame.parts[i]
            if i == last or node not in (part.a, part.b):
                continue
            out = states.through(i, bits, RATED) * (1 if part.a == node else -1)
            out = -out if against else out
            if out > best:
                best, chosen, onward = out, i, part.b if part.a == node else part.a
        if chosen < 0 or states.frame.parts[chosen].what == "source" or onward in seen:
            return
        yield onward, chosen
        seen.add(onward)
        node, last = onward, chosen


def _metered(states: NetworkStates, bits: int, nodes: Sequence[int], branches: Sequence[int]) -> list[Stop]:
    """Names and volts of the nodes of a path; `branches` lie between them."""
    volts = [0.0]
    for node, branch in zip(reversed(nodes[:-1]), reversed(branches), strict=True):
        across = states.across(branch, bits, RATED)
        volts.append(volts[-1] + (across if states.frame.parts[branch].a == node else -across))
    names = _node_names(states)
    return [(names[n], v) for n, v in zip(nodes, reversed(volts), strict=True)]


def _node_names(states: NetworkStates) -> dict[int, str]:
    names: dict[int, str] = {}
    for part, branch in zip(states.frame.parts, states.network.branches, strict=True):
        names.setdefault(part.a, branch.a)
        names.setdefault(part.b, branch.b)
    return names
