"""What a rule proposes to do about a finding, in names of the plan: no text is spoken of here, so none can be stale."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Added:
    """A new device of a kind, with the entries of its block; `joins` are its terminals, each with one of the plan."""

    kind: str
    entries: str
    joins: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Exchanged:
    """What is wired to two terminals (`device:terminal`), exchanged."""

    a: str
    b: str


@dataclass(frozen=True, slots=True)
class Moved:
    """What is wired to one terminal, taken to another to which nothing is."""

    a: str
    b: str


@dataclass(frozen=True, slots=True)
class Written:
    """An entry in the block of something declared, in the place of one that begins with the same word."""

    on: str
    entry: str


@dataclass(frozen=True, slots=True)
class TakenOut:
    """Something declared, taken out with its wires."""

    what: str


@dataclass(frozen=True, slots=True)
class Thickened:
    """The next larger size for a cable, of at least an area in m²."""

    cable: str
    area: float


Step = Added | Exchanged | Moved | Written | TakenOut | Thickened


@dataclass(frozen=True, slots=True)
class Proposed:
    """Steps that make the finding go, all of them together; `title` says what they do."""

    title: str
    steps: tuple[Step, ...]
