"""Operating conditions as truth tables: one bit for each combination of signals, in a Python integer.

Bit c of a mask speaks of condition c, in which signal i of the space is on where bit i of c is set. AND and OR
of two masks therefore judge all 2^k conditions at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache

HELD = " held in from before"
"""How the key of a coil ends that stands as a signal of its own: what it is now depends on what was before."""


@cache
def _signal_mask(index: int, count: int) -> int:
    run = 1 << index
    mask, width = ((1 << run) - 1) << run, 2 * run
    while width < 1 << count:
        mask |= mask << width
        width *= 2
    return mask


@dataclass(frozen=True, slots=True)
class Space:
    """All conditions over some signals, by key; two signals make four conditions."""

    signals: tuple[str, ...]

    @property
    def size(self) -> int:
        """How many conditions there are."""
        return 1 << len(self.signals)

    @property
    def everything(self) -> int:
        """The mask of all conditions."""
        return (1 << self.size) - 1

    def on(self, signal: str) -> int:
        """Mask of the conditions in which a signal of this space is on."""
        return _signal_mask(self.signals.index(signal), len(self.signals))

    def condition(self, index: int) -> dict[str, bool]:
        """Condition number `index`, as signal → on."""
        return {s: bool(index >> i & 1) for i, s in enumerate(self.signals)}

    def joined(self, other: Space) -> Space:
        """The space over the signals of both; this one's signals come first."""
        if other is self or set(other.signals) <= set(self.signals):
            return self
        return Space(self.signals + tuple(s for s in other.signals if s not in self.signals))

    def carry(self, mask: int, wider: Space) -> int:
        """A mask of this space as one of a space that has all of its signals and maybe more."""
        if wider.signals == self.signals:
            return mask
        if wider.signals[: len(self.signals)] == self.signals:
            size = self.size
            while size < wider.size:
                mask |= mask << size
                size *= 2
            return mask
        return _carry(mask, self.signals, wider)

    def some(self, mask: int, narrower: Space) -> int:
        """Conditions of a space with fewer signals in which a mask holds for some standing of the others."""
        found = 0
        for index in range(narrower.size):
            there = mask
            for i, signal in enumerate(narrower.signals):
                there &= self.on(signal) if index >> i & 1 else ~self.on(signal)
            found |= bool(there) << index
        return found


def _carry(mask: int, signals: tuple[str, ...], wider: Space) -> int:
    if mask == 0:
        return 0
    if mask == (1 << (1 << len(signals))) - 1:
        return wider.everything
    half = 1 << (len(signals) - 1)
    on = wider.on(signals[-1])
    low = _carry(mask & ((1 << half) - 1), signals[:-1], wider)
    high = _carry(mask >> half, signals[:-1], wider)
    return (low & ~on) | (high & on)


def union(masks: Iterable[int]) -> int:
    """All conditions of some masks."""
    found = 0
    for mask in masks:
        found |= mask
    return found


def members(mask: int) -> Iterator[int]:
    """The conditions of a mask, lowest first."""
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest


@dataclass(frozen=True, slots=True)
class Truth:
    """A statement judged in every condition: true where `yes`, false where `no`, uncertain elsewhere."""

    space: Space
    yes: int
    no: int

    @staticmethod
    def constant(on: bool) -> Truth:
        """The same in every condition."""
        return Truth(Space(()), int(on), int(not on))

    @property
    def maybe(self) -> int:
        """Mask of the conditions in which it is uncertain."""
        return self.space.everything & ~self.yes & ~self.no

    def between(self, other: Truth) -> Truth:
        """What is so in either case, uncertain where they differ."""
        if self is other:
            return self
        space = self.space.joined(other.space)
        one, two = self.over(space), other.over(space)
        return Truth(space, one.yes & two.yes, one.no & two.no)

    def over(self, space: Space) -> Truth:
        """The same statement over a wider space."""
        if space.signals == self.space.signals:
            return self
        return Truth(space, self.space.carry(self.yes, space), self.space.carry(self.no, space))

    def __and__(self, other: Truth) -> Truth:
        space = self.space.joined(other.space)
        a, b = self.over(space), other.over(space)
        return Truth(space, a.yes & b.yes, a.no | b.no)

    def __or__(self, other: Truth) -> Truth:
        space = self.space.joined(other.space)
        a, b = self.over(space), other.over(space)
        return Truth(space, a.yes | b.yes, a.no & b.no)

    def __invert__(self) -> Truth:
        return Truth(self.space, self.no, self.yes)


@dataclass(frozen=True, slots=True)
class Levels:
    """A number in every condition: `parts` are disjoint masks with their value, together all conditions.

    Values are SI; NaN means that the number could not be worked out there.
    """

    space: Space
    parts: tuple[tuple[int, float], ...]

    @staticmethod
    def constant(value: float) -> Levels:
        """The same number in every condition."""
        return Levels(Space(()), ((1, value),))

    def over(self, space: Space) -> Levels:
        """The same numbers over a wider space."""
        if space.signals == self.space.signals:
            return self
        return Levels(space, tuple((self.space.carry(mask, space), v) for mask, v in self.parts))

    def at(self, index: int) -> float:
        """The number in condition `index`."""
        return next(v for mask, v in self.parts if mask >> index & 1)

    def within(self, mask: int) -> Iterator[tuple[int, float]]:
        """Parts of the given conditions only."""
        return ((part & mask, v) for part, v in self.parts if part & mask)

    def mapped(self, function: Callable[[float], float]) -> Levels:
        """The numbers, each passed through a function."""
        return Levels(self.space, tuple((mask, function(v)) for mask, v in self.parts))

    def with_other(self, other: Levels, function: Callable[[float, float], float]) -> Levels:
        """Two numbers combined condition by condition."""
        space = self.space.joined(other.space)
        mine, theirs = self.over(space).parts, other.over(space).parts
        joint = ((a & b, function(x, y)) for a, x in mine for b, y in theirs if a & b)
        return Levels(space, tuple(joint))

    def where(self, test: Callable[[float], bool]) -> Truth:
        """Where the number passes a test; uncertain where it is NaN."""
        yes = no = 0
        for mask, value in self.parts:
            if value != value:
                continue
            if test(value):
                yes |= mask
            else:
                no |= mask
        return Truth(self.space, yes, no)


def joined(spaces: Iterable[Space]) -> Space:
    """The space over the signals of all."""
    result = Space(())
    for space in spaces:
        result = result.joined(space)
    return result
