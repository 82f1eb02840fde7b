"""Variations: a plan taken otherwise than drawn."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

from plancheck.circuit.conditions import Space

OPEN, STUCK, WELDED, COIL, DEAD = "conductor open", "contact stuck open", "contact welded", "coil open", "device dead"
CABLE, POLE, EARTH = "conductors shorted", "shorted to the other pole", "shorted to earth"
BLOWN, SUPPRESSOR_SHORTED, SUPPRESSOR_OPEN = "protector blown", "suppressor shorted", "suppressor open"
FAILURE_KINDS = (OPEN, STUCK, WELDED, COIL, DEAD, CABLE, POLE, EARTH, BLOWN, SUPPRESSOR_SHORTED, SUPPRESSOR_OPEN)
"""The kinds of failure that are worked out, in the order in which they are listed."""

Poles = tuple[str, str]
"""Terminals between which sources stand: plus and minus."""


@dataclass(frozen=True, slots=True)
class Failure:
    """One thing that has failed.

    `removed` branches carry nothing, `welded` contacts are always made, the `dead` device has no power inside,
    `joined` terminals touch. `parts` are the keys of the branches that have failed, for pointing at.
    """

    kind: str
    what: str
    parts: tuple[str, ...]
    removed: frozenset[str] = frozenset()
    welded: frozenset[str] = frozenset()
    dead: str = ""
    joined: tuple[str, str] | None = None
    hashed: int = field(default=0, init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        # What is said of a failure is looked up many times over: hash it once.
        object.__setattr__(self, "hashed", hash((self.what, self.parts, self.joined)))

    def __hash__(self) -> int:
        return self.hashed


@dataclass(frozen=True, slots=True)
class Sag:
    """Poles that do not hold their volts: by condition of `space` the most that is left, in volts.

    Infinite: they may hold them or not. Masks are disjoint; in conditions in none of them the poles hold. `fed` are
    the conditions in which another supply may put volts of its own on them.
    """

    poles: Poles
    space: Space
    levels: tuple[tuple[int, float], ...]
    fed: int = 0


def hang_on(poles: Collection[Poles], sags: Iterable[Sag]) -> bool:
    """Whether what stands between some poles feels any of these sags."""
    return any(sag.poles in poles for sag in sags)


@dataclass(frozen=True, slots=True)
class Variation:
    """`dead` devices have no power inside; where `distrusted`, every electronic contact may stand anywhere.

    `sags` is what a failure does to supplies; None: that is still to be found out.
    """

    dead: frozenset[str] = frozenset()
    distrusted: bool = False
    failure: Failure | None = None
    sags: tuple[Sag, ...] | None = None
    hashed: int = field(default=0, init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        # A variation is a key many times over: hash it once.
        object.__setattr__(self, "hashed", hash((self.dead, self.distrusted, self.failure, self.sags)))

    def __hash__(self) -> int:
        return self.hashed

    @property
    def shorts(self) -> bool:
        """Whether it joins what was not."""
        return self.failure is not None and self.failure.joined is not None

    def sagging(self, sags: tuple[Sag, ...]) -> Variation:
        """The same with what its failure does to supplies."""
        return Variation(self.dead, self.distrusted, self.failure, sags)

    def is_dead(self, device: str) -> bool:
        """Whether a device has no power inside."""
        return device in self.dead or (self.failure is not None and self.failure.dead == device)


AS_DRAWN = Variation()
