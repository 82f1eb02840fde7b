"""The path that current takes through a part, from a source's plus to its minus."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.circuit.states import NetworkStates
from plancheck.circuit.values import RATED

_NOTHING = 1e-9


def trace(states: NetworkStates, index: int, bits: int) -> tuple[str, ...]:
    """Terminals from source + through branch `index` to source −, following the greatest current at each node.

    Empty where the branch carries nothing in the pattern.
    """
    flow = states.through(index, bits, RATED)
    if abs(flow) < _NOTHING:
        return ()
    part = states.frame.parts[index]
    enters, leaves = (part.a, part.b) if flow > 0 else (part.b, part.a)
    upstream = list(_follow(states, bits, enters, index, against=True))
    downstream = list(_follow(states, bits, leaves, index, against=False))
    names = _node_names(states)
    return tuple(names[n] for n in [*reversed(upstream), enters, leaves, *downstream])


def _follow(states: NetworkStates, bits: int, node: int, last: int, *, against: bool) -> Iterator[int]:
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
        yield onward
        seen.add(onward)
        node, last = onward, chosen


def _node_names(states: NetworkStates) -> dict[int, str]:
    names: dict[int, str] = {}
    for part, branch in zip(states.frame.parts, states.network.branches, strict=True):
        names.setdefault(part.a, branch.a)
        names.setdefault(part.b, branch.b)
    return names
