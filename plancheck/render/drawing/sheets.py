"""Which device is drawn on which sheet: a door or gate a sheet, and what several of them share on sheets of its own."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from plancheck.circuit.groups import Groups
from plancheck.plan.graph import Branch, ConnectionGraph
from plancheck.plan.model import Device
from plancheck.render.drawing.boxes import device_box
from plancheck.render.drawing.conductors import link_of
from plancheck.render.drawing.shapes import Box, Link
from plancheck.review.operation import Holder

MOST_WIRES = 40
"""Wires on one sheet; beyond, the rest of them is drawn on further sheets."""


@dataclass(frozen=True)
class Sheet:
    """One sheet: what stands on it, and the devices that are at home there.

    `place` is the name of its door or gate; of what several share, the device that feeds them.
    """

    number: int
    title: str
    place: str
    boxes: tuple[Box, ...]
    links: tuple[Link, ...]
    devices: tuple[str, ...]


Numbered = tuple[int, Branch]
"""A conductor with its number among the wires of the plan."""


@dataclass(frozen=True)
class _Home:
    """A sheet to be, with the wires that reach its devices; `place` as in a sheet."""

    title: str
    place: str
    devices: list[str]
    wires: list[Numbered]


def sheets(graph: ConnectionGraph, holders: Sequence[Holder]) -> tuple[Sheet, ...]:
    """All sheets of a plan: what is shared first, then doors and gates in the order of the plan."""
    homes = _homes(graph, holders)
    parts = [(home, wires) for home in homes for wires in _chunks(home.wires)]
    first: dict[str, int] = {}
    for reached in (True, False):
        for n, (home, wires) in enumerate(parts, 1):
            touched = {end.partition(":")[0] for _, b in wires for end in (b.a, b.b)}
            for name in home.devices:
                if not reached or name in touched:
                    first.setdefault(name, n)
    return tuple(_sheet(graph, n, home, wires, first) for n, (home, wires) in enumerate(parts, 1))


def _homes(graph: ConnectionGraph, holders: Sequence[Holder]) -> list[_Home]:
    drawn = {d.name: d for d in graph.plan.devices.values() if d.terminals and d.base not in ("door", "gate", "cable")}
    owner = _owners(graph, drawn, holders)
    wires: dict[str, list[Numbered]] = defaultdict(list)
    for number, branch in enumerate(b for b in graph.branches if b.wire is not None):
        for home in dict.fromkeys(owner[end.partition(":")[0]] for end in (branch.a, branch.b)):
            wires[home].append((number, branch))
    found = []
    for key in dict.fromkeys([*(k for k in owner.values() if k.startswith(_SHARED)), *(h.name for h in holders)]):
        devices = [name for name in drawn if owner[name] == key]
        if devices:
            found.append(_home(key, devices, wires[key], graph))
    return found


_SHARED = "\0"
"""Before the first device of those that several doors share: the key of their sheet."""


def _owners(graph: ConnectionGraph, drawn: Mapping[str, Device], holders: Sequence[Holder]) -> dict[str, str]:
    """The sheet of each device: its door's or gate's name, or that of what several share."""
    named: dict[str, list[str]] = defaultdict(list)
    for holder in holders:
        for device in holder.named if holder.name else ():
            named[device.name].append(holder.name)
    owner = {name: doors[0] for name, doors in named.items() if len(set(doors)) == 1 and name in drawn}
    near = _neighbours(graph, drawn)
    for group in _hanging_together((n for n in drawn if n not in owner and not _feeds(graph, n)), near):
        doors = {owner[other] for name in group for other in near[name] if other in owner}
        if len(doors) == 1:
            owner.update(dict.fromkeys(group, doors.pop()))
    left = [name for name in drawn if name not in owner]
    for group in _hanging_together(left, near):
        doors = {owner[other] for name in group for other in near[name] if other in owner}
        owner.update(dict.fromkeys(group, doors.pop() if len(doors) == 1 else _SHARED + group[0]))
    return owner


def _neighbours(graph: ConnectionGraph, drawn: Mapping[str, Device]) -> dict[str, dict[str, None]]:
    near: dict[str, dict[str, None]] = {name: {} for name in drawn}
    for wire in graph.plan.wires:
        near[wire.a.device][wire.b.device] = None
        near[wire.b.device][wire.a.device] = None
    return near


def _hanging_together(names: Iterable[str], near: Mapping[str, Iterable[str]]) -> list[list[str]]:
    """Devices in sets that wires join, in the order of the plan."""
    joined = Groups[str]()
    every = list(names)
    known = set(every)
    for name in every:
        joined.join(name, name)
        for other in near[name]:
            if other in known:
                joined.join(name, other)
    sets: dict[str, list[str]] = defaultdict(list)
    for name in every:
        sets[joined.leader(name)].append(name)
    return list(sets.values())


def _feeds(graph: ConnectionGraph, name: str) -> bool:
    return any(branch.what == "source" for branch in graph.by_device.get(name, ()))


def _home(key: str, devices: list[str], wires: list[Numbered], graph: ConnectionGraph) -> _Home:
    if not key.startswith(_SHARED):
        return _Home(f"{key} {graph.plan.devices[key].title}".rstrip(), key, devices, wires)
    feeding = [name for name in devices if _feeds(graph, name)] or devices
    more = f" and {len(feeding) - 3} more" if len(feeding) > 3 else ""
    return _Home(f"{', '.join(feeding[:3])}{more} and what is shared", feeding[0], devices, wires)


def _chunks(wires: Sequence[Numbered]) -> Iterator[list[Numbered]]:
    """The wires of a sheet, or of several of them where they are many: in equal parts, in the order of the plan."""
    parts = max(1, -(-len(wires) // MOST_WIRES))
    size = max(1, -(-len(wires) // parts))
    for start in range(0, max(len(wires), 1), size):
        yield list(wires[start : start + size])


def _sheet(
    graph: ConnectionGraph, sheet: int, home: _Home, wires: Sequence[Numbered], first: Mapping[str, int]
) -> Sheet:
    """One sheet. A device that is at home elsewhere, or whose first sheet is another, shows what is wired here."""
    wired = dict.fromkeys(end for _, branch in wires for end in (branch.a, branch.b))
    own = [name for name in home.devices if first[name] == sheet]
    touched = {end.partition(":")[0] for end in wired}
    boxes = [
        device_box(graph, device, wired, "" if name in own else f"more on sheet {first[name]}")
        for name, device in graph.plan.devices.items()
        if name in touched or name in own
    ]
    links = tuple(link_of(graph.plan, number, branch) for number, branch in wires)
    return Sheet(sheet, home.title, home.place, tuple(boxes), links, tuple(own))
