"""Guards: the Boolean that says when a contact is made, a source alive, a state true."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Atom:
    """A signal, a load's `energised` state, or a sense input's `made` state, by its name within the device."""

    what: Literal["signal", "energised", "made"]
    name: str


@dataclass(frozen=True, slots=True)
class Constant:
    """Always on, or always off: a signal that this device does not have (a supply without a battery)."""

    on: bool


@dataclass(frozen=True, slots=True)
class Not:
    """The opposite."""

    inner: Guard


@dataclass(frozen=True, slots=True)
class All:
    """On when every part is."""

    parts: tuple[Guard, ...]


@dataclass(frozen=True, slots=True)
class AnyOf:
    """On when some part is."""

    parts: tuple[Guard, ...]


Guard = Atom | Constant | Not | All | AnyOf


def atoms(guard: Guard | None) -> Iterator[Atom]:
    """Every atom in a guard, in the order written."""
    match guard:
        case Atom():
            yield guard
        case Not(inner):
            yield from atoms(inner)
        case All(parts) | AnyOf(parts):
            for part in parts:
                yield from atoms(part)


def holds(guard: Guard | None, atom: Callable[[Atom], bool]) -> bool:
    """A guard worked out, each of its atoms being as `atom` says; no guard always holds."""
    match guard:
        case None:
            return True
        case Constant(on):
            return on
        case Not(inner):
            return not holds(inner, atom)
        case All(parts):
            return all(holds(part, atom) for part in parts)
        case AnyOf(parts):
            return any(holds(part, atom) for part in parts)
        case Atom():
            return atom(guard)
