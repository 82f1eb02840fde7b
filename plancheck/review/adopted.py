"""What a plan is held against besides the shipped rules: the in-house packs that apply to it, and why they do."""

from __future__ import annotations

from dataclasses import dataclass

from plancheck.source import Source


@dataclass(frozen=True, slots=True)
class PackNote:
    """An in-house pack that applies. `why` says who wants it."""

    name: str
    title: str
    why: str


@dataclass(frozen=True, slots=True)
class Adopted:
    """The packs that apply to a plan, the texts of theirs that it may speak of, and the company's own file."""

    packs: tuple[PackNote, ...] = ()
    texts: tuple[Source, ...] = ()
    """Devices and typicals."""
    house: str = ""
    """Company and name of its file, where one was obeyed."""


NOTHING = Adopted()
