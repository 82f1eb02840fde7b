"""What is to be drawn: boxes with ports, the symbols within them, and the links between ports."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Port:
    """A point of a box where links land: a terminal, by `device:terminal`, or a place in the overview."""

    key: str
    name: str
    wired: bool = True


@dataclass(frozen=True, slots=True)
class Symbol:
    """What lies between two ports of one box. `sign` names a drawing of `symbols.SIGNS`."""

    key: str
    sign: str
    a: str
    b: str
    says: str = ""


@dataclass(frozen=True, slots=True)
class Box:
    """A device, or a group of them. `reference` names a sheet; `foot` leaves a line for a state.

    A box that `feeds` stands on the left. One that is at home `elsewhere` shows here only what is wired here.
    """

    key: str
    head: str
    under: str
    ports: tuple[Port, ...]
    symbols: tuple[Symbol, ...] = ()
    reference: str = ""
    foot: bool = False
    feeds: bool = False
    elsewhere: bool = False


@dataclass(frozen=True, slots=True)
class Link:
    """A conductor between two ports. `label` stands at one end, `short` at the other, `says` is the whole of it."""

    key: str
    a: str
    b: str
    label: str
    short: str = ""
    says: str = ""
