"""A kind of mistake: where it can be made, what comes of it, and which rule must find it there."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from tests.faults.draft import Draft
from tests.faults.standing import Standing


@dataclass(frozen=True)
class Mutant:
    """A plan with one mistake in it. A finding must stand at one of the things `at`; `where` tells it from its like.

    `harmless` says why nothing is the matter in truth: then no rule of those expected may speak.
    """

    draft: Draft
    at: frozenset[str]
    where: str
    harmless: str = ""


MANY_CIRCUITS = ("quay-house", "upper-floor")
"""The samples whose supplies feed many circuits: joined by a second supply, they are worked out all together."""

Places = Callable[[Standing], Iterator[Mutant]]


@dataclass(frozen=True)
class Fault:
    """A kind of mistake. Any of `rules` counts as having found it.

    On `heavy` plans it makes one network of many circuits, which takes long: these are left to the soak.
    """

    name: str
    rules: tuple[str, ...]
    places: Places
    heavy: tuple[str, ...] = ()


@dataclass
class Collection:
    """The faults of one family, in the order they are written."""

    faults: list[Fault] = field(default_factory=list)

    def fault(self, name: str, *rules: str, heavy: tuple[str, ...] = ()) -> Callable[[Places], Places]:
        """Adds the function below it: a generator of mutants."""

        def add(places: Places) -> Places:
            self.faults.append(Fault(name, rules, places, heavy))
            return places

        return add


def mutant(draft: Draft, *at: str, harmless: str = "") -> Mutant:
    """A mutant whose findings must stand at one of these things."""
    return Mutant(draft, frozenset(name for name in at if name), at[0], harmless)
