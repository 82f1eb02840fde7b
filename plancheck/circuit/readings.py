"""Readings: numbers read off a network that has been worked out, in one pattern. SI."""

from __future__ import annotations

from collections.abc import Sequence

from plancheck.circuit.conditions import Levels
from plancheck.circuit.states import NetworkStates
from plancheck.circuit.values import RATED, RATED_AMPS, rating, source_limit

UNKNOWN = float("nan")


def worse_amps(states: NetworkStates, index: int, bits: int) -> float:
    """Amperes through a branch, whichever way, by the worse of the two load models."""
    return max(abs(states.through(index, bits, study)) for study in (RATED, RATED_AMPS))


def demand(states: NetworkStates, index: int, bits: int) -> float:
    """Amperes asked of a branch; of a source at its limit, whose volts sag, what its loads are rated for."""
    amps, branch = worse_amps(states, index, bits), states.network.branches[index]
    if branch.what == "source" and amps >= source_limit(branch) * (1 - 1e-6):
        return max(amps, rated_draw(states, index, bits))
    return amps


def demands(states: NetworkStates, index: int, groups: Sequence[tuple[int, int]]) -> Levels:
    """Amperes asked of a branch in every condition; NaN where relays chatter. `groups` tell its patterns apart."""
    parts = tuple((mask & ~states.chatter, demand(states, index, bits)) for mask, bits in groups)
    return Levels(states.space, (*parts, (states.chatter, UNKNOWN)) if states.chatter else parts)


def rated_draw(states: NetworkStates, source: int, bits: int) -> float:
    """Amperes that the loads which a source feeds by metal are rated for, whatever the source can give."""
    loads = (i for i, branch in enumerate(states.network.branches) if branch.what == "load")
    return sum(rating(states.network.branches[i]).amps for i in loads if feeding(states, i, bits)[1] == source)


def feeding(states: NetworkStates, index: int, bits: int) -> tuple[float, int]:
    """Rated volts and number of the live source that feeds branch `index` by metal; NaN and −1 if none does.

    Sources in series, each plus on the next one's minus, feed it together: their volts add up, the first is named.
    """
    metal = states.frame.metal(bits, states.conducting(bits))
    ends = {metal[states.frame.parts[index].a], metal[states.frame.parts[index].b]}
    for i, part in enumerate(states.frame.parts):
        poles = {metal[part.a], metal[part.b]}
        if part.what == "source" and bits >> i & 1 and len(ends) == 2 and ends == poles:
            return states.values["volts"][i][0], i
    return _fed_in_series(states, ends, metal, bits)


def _fed_in_series(states: NetworkStates, ends: set[int], metal: Sequence[int], bits: int) -> tuple[float, int]:
    """Volts and first of the live sources that, one behind the other, lead from one end of a load to the other."""
    parts = enumerate(states.frame.parts)
    live = {metal[part.b]: (i, metal[part.a]) for i, part in parts if part.what == "source" and bits >> i & 1}
    for start in sorted(ends) if len(live) > 1 and len(ends) == 2 else ():
        at, volts = start, 0.0
        for _ in live:
            if at not in live:
                break
            i, at = live[at]
            volts += states.values["volts"][i][0]
            if at in ends - {start}:
                return volts, live[start][0]
    return UNKNOWN, -1


def drop(states: NetworkStates, index: int, bits: int) -> float:
    """Volts lost between source and load, by the worse of the two load models; NaN where it is not fed."""
    volts, _ = feeding(states, index, bits)
    return volts - min(abs(states.across(index, bits, study)) for study in (RATED, RATED_AMPS))
