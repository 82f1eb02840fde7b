"""Statements judged in all conditions at once, with the conditions in which they could not be judged at all.

A `Truth` of the circuit is true, false or uncertain in a condition; a claim of a rule may besides be unknown
there, because a number behind it could not be worked out. Uncertain counts against what a rule demands; unknown
makes the rule "not assessed".
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from plancheck.circuit.conditions import Levels, Space, Truth

MOST_SIGNALS = 20
"""Signals that a claim may depend on together; each doubles the conditions."""
TOLERANCE = 1e-9
"""Relative difference below which two numbers are taken as equal: well under any reading of a meter."""

Test = Callable[[float, float], bool]


class Unknown(Exception):
    """A rule cannot be judged for a thing; `reason` says why, in a clause."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


class Claim(NamedTuple):
    """Masks of the conditions in which a statement is true, false, or unknown; uncertain in the others."""

    space: Space
    yes: int
    no: int
    unknown: int

    def over(self, space: Space) -> Claim:
        """The same claim over a wider space."""
        mine = self.space
        if space is mine or space.signals == mine.signals:
            return self
        if not mine.signals:
            everything = space.everything
            return Claim(space, self.yes and everything, self.no and everything, self.unknown and everything)
        return Claim(space, mine.carry(self.yes, space), mine.carry(self.no, space), mine.carry(self.unknown, space))

    def opposite(self) -> Claim:
        """It is not so."""
        return Claim(self.space, self.no, self.yes, self.unknown)


NOWHERE = Space(())
ALWAYS = Claim(NOWHERE, 1, 0, 0)
NEVER = Claim(NOWHERE, 0, 1, 0)


def constant(value: bool | None) -> Claim:
    """The same everywhere; None is uncertain."""
    return ALWAYS if value else NEVER if value is False else Claim(NOWHERE, 0, 0, 0)


def claim(truth: Truth) -> Claim:
    """What the circuit says, unknown nowhere."""
    return Claim(truth.space, truth.yes, truth.no, 0)


def together(a: Space, b: Space) -> Space:
    """The space over the signals of both, if it is not too large."""
    if a is b or not b.signals or a.signals == b.signals:
        return a
    if not a.signals:
        return b
    space = a.joined(b)
    if len(space.signals) > MOST_SIGNALS:
        raise Unknown(f"it depends on {len(space.signals)} signals; at most {MOST_SIGNALS} are examined together")
    return space


def both(a: Claim, b: Claim) -> Claim:
    """a and b."""
    if a is ALWAYS:
        return b
    space = together(a.space, b.space)
    a, b = a.over(space), b.over(space)
    no = a.no | b.no
    return Claim(space, a.yes & b.yes, no, (a.unknown | b.unknown) & ~no)


def either(a: Claim, b: Claim) -> Claim:
    """a or b."""
    if a is NEVER:
        return b
    space = together(a.space, b.space)
    a, b = a.over(space), b.over(space)
    yes = a.yes | b.yes
    return Claim(space, yes, a.no & b.no, (a.unknown | b.unknown) & ~yes)


def at_most(a: float, b: float) -> bool:
    """a <= b, but for rounding."""
    return a <= b or a - b <= TOLERANCE * max(abs(a), abs(b))


TESTS: dict[str, Test] = {
    "<=": at_most,
    ">=": lambda a, b: at_most(b, a),
    "<": lambda a, b: not at_most(b, a),
    ">": lambda a, b: not at_most(a, b),
    "is": lambda a, b: at_most(a, b) and at_most(b, a),
}


def compared(left: Levels, right: Levels, test: Test) -> Claim:
    """How two numbers compare; unknown where either is."""
    together(left.space, right.space)
    nan = float("nan")
    outcome = left.with_other(right, lambda a, b: nan if a != a or b != b else float(test(a, b)))
    return _from_outcome(outcome)


def compared_with(levels: Levels, number: float, test: Test, number_first: bool = False) -> Claim:
    """How a number of each condition compares with a fixed one."""
    yes = no = unknown = 0
    for mask, value in levels.parts:
        if value != value or number != number:
            unknown |= mask
        elif test(number, value) if number_first else test(value, number):
            yes |= mask
        else:
            no |= mask
    return Claim(levels.space, yes, no, unknown)


def _from_outcome(outcome: Levels) -> Claim:
    yes = no = unknown = 0
    for mask, value in outcome.parts:
        if value != value:
            unknown |= mask
        elif value:
            yes |= mask
        else:
            no |= mask
    return Claim(outcome.space, yes, no, unknown)


def total(claims: Iterable[Claim]) -> Levels:
    """How many of the claims are true in each condition; NaN where one of them is uncertain or unknown."""
    count = Levels.constant(0.0)
    for each in claims:
        parts = ((each.yes, 1.0), (each.no, 0.0), (each.space.everything & ~each.yes & ~each.no, float("nan")))
        together(count.space, each.space)
        count = count.with_other(Levels(each.space, tuple(p for p in parts if p[0])), float.__add__)
    return count
