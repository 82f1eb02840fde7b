"""Protectors that open on a short: from then on the circuit is what it is without them.

One that carries twice its rating opens (within two minutes by UL 248-14, from memory). Until then is not told: what a
failure does is what stays.
"""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.circuit.network import Network
from plancheck.circuit.states import NetworkStates
from plancheck.circuit.values import RATED

OPENS_AT = 2.0
"""Times its rating that surely open a protector."""


_NEAR = 1 - 1e-6
"""What rounding takes off the limit of a source is not taken for a protector's luck."""


def opens(rated: float, amps: float) -> bool:
    """Whether a protector of some rating surely opens."""
    return amps >= OPENS_AT * rated * _NEAR


def protectors(network: Network) -> Iterator[tuple[int, float]]:
    """Protectors whose rating in amperes is known, by number."""
    for i, branch in enumerate(network.branches):
        rated = branch.number("amps") if branch.what == "protector" else None
        if rated is not None:
            yield i, rated


def without_opened(states: NetworkStates, bits: int) -> int:
    """A pattern that has been solved, without the protectors that open in it."""
    # No part carries more than all sources give: most protectors need no look.
    sources = (i for i, b in enumerate(states.network.branches) if b.what == "source")
    most = sum(abs(states.through(i, bits, RATED)) for i in sources)
    left = bits
    for i, rated in protectors(states.network):
        if opens(rated, most) and bits >> i & 1 and opens(rated, abs(states.through(i, bits, RATED))):
            left &= ~(1 << i)
    return left


def opened(states: NetworkStates, groups: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Groups of conditions whose patterns have been solved, without the protectors that open in them."""
    return [(mask, without_opened(states, bits)) for mask, bits in groups]
