"""Parts: the branches of a network as a frame sees them, without names and values."""

from __future__ import annotations

from dataclasses import dataclass

from plancheck.plan.guard import All, AnyOf, Constant, Guard, Not

JOINTS = ("contact", "link", "protector")
"""Parts that lose no volts. A conductor of no ohms, a jumper, is a link to a frame."""
METAL = ("conductor", *JOINTS)
"""Primitives by which wire and closed metal lead on; a contact only while it is made."""

MANY_PATTERNS = 2_000
"""A network whose contacts can stand in more patterns than this is not assessed."""


class TooManyPatterns(Exception):
    """The contacts of a network can stand in more patterns than are worked out."""

    def __str__(self) -> str:
        return f"its contacts can stand in more than {MANY_PATTERNS:,} patterns"


@dataclass(frozen=True, slots=True)
class Part:
    """A branch as a frame sees it; `guard` is over (what, number) atoms, numbers local to the frame."""

    what: str
    a: int
    b: int
    guard: LocalGuard | None


@dataclass(frozen=True, slots=True)
class Local:
    """An atom of a local guard: signal, outside truth or feedback state number `number`."""

    what: str
    number: int


LocalGuard = Local | Constant | tuple[str, tuple["LocalGuard", ...]]


def localise(guard: Guard, atom: dict[object, LocalGuard]) -> LocalGuard:
    """A guard over a frame's numbers; `atom` maps each atom of it."""
    if isinstance(guard, Constant):
        return guard
    if isinstance(guard, Not):
        return "not", (localise(guard.inner, atom),)
    if isinstance(guard, All | AnyOf):
        how = "and" if isinstance(guard, All) else "or"
        return how, tuple(localise(g, atom) for g in guard.parts)
    return atom[guard]
