"""Numbers that were worked out, in normal condition and over all, in words."""

from __future__ import annotations

from collections.abc import Callable

from plancheck.circuit.conditions import Levels
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.replay import index_of
from plancheck.units import show

NOT_ASSESSED = "not assessed"


def at_rest(facts: Facts, levels: Levels) -> float:
    """The number in normal condition, NaN where it could not be worked out."""
    rest = {key: signal.rests_on for key, signal in facts.signals.items()}
    return levels.at(index_of(levels.space.signals, rest))


def normally(facts: Facts, levels: Levels, dimension: str) -> str:
    """The number in normal condition."""
    value = at_rest(facts, levels)
    return show(value, dimension) if value == value else NOT_ASSESSED


def ranging(levels: Levels, dimension: str) -> str:
    """The least and the most over all conditions, and whether some could not be worked out."""
    values = [value for _, value in levels.parts if value == value]
    if not values:
        return NOT_ASSESSED
    least, most = show(min(values), dimension), show(max(values), dimension)
    told = least if least == most else f"{least} to {most}"
    return told if len(values) == len(levels.parts) else f"{told}; in some conditions {NOT_ASSESSED}"


def both(facts: Facts, work_out: Callable[[], Levels], dimension: str) -> tuple[str, str]:
    """A number in normal condition, and over all."""
    try:
        levels = work_out()
    except NotAssessed:
        return NOT_ASSESSED, NOT_ASSESSED
    return normally(facts, levels, dimension), ranging(levels, dimension)
