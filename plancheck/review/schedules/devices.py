"""Doors and their hardware, all devices, and how many of each there are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from plancheck.plan.model import Device, Value
from plancheck.review.operation import Holder, Works
from plancheck.review.schedules.table import Cell, Schedule, stated

_NO_DEVICES = ("door", "gate", "cable")


def doors(works: Works, holders: Sequence[Holder]) -> Schedule:
    """Each door and gate with what the plan says of it, and its devices by the slots that name them."""
    rows = tuple(row for holder in holders for row in _of_door(works, holder))
    head = ("Door or gate", "Title", "What", "Device", "Kind", "Stated")
    return Schedule("doors", "Doors and hardware", head, rows)


def _of_door(works: Works, holder: Holder) -> Iterator[tuple[Cell, ...]]:
    device = holder.device
    if device is None:
        for part in holder.parts:
            lock = works.facts.plan.devices[part.device]
            yield "named by no door", "", "lock", lock.name, _kind(lock), stated(lock)
        return
    yield device.name, device.title, "itself", "", _kind(device), stated(device)
    slots: dict[str, list[str]] = defaultdict(list)
    for slot, value in device.values.items():
        for name in _names(value):
            if name in works.facts.plan.devices:
                slots[name].append(slot.replace("-", " "))
    for named in holder.named:
        what = ", ".join(slots.get(named.name, ["beside it"]))
        yield device.name, device.title, what, named.name, _kind(named), stated(named)


def _names(value: Value) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for each in value:
            if isinstance(each, str):
                yield each
            else:
                for inner in each.values.values():
                    yield from _names(inner)


def _kind(device: Device) -> str:
    return device.kind.replace("-", " ")


def devices(works: Works, holders: Sequence[Holder]) -> Schedule:
    """Every device but doors, gates and cables."""
    of: dict[str, list[str]] = defaultdict(list)
    for holder in holders:
        for device in holder.named:
            of[device.name].append(holder.name)
    rows = tuple(
        (device.name, _kind(device), device.title, ", ".join(filter(None, of[device.name])), stated(device))
        for device in works.facts.plan.devices.values()
        if device.base not in _NO_DEVICES
    )
    return Schedule("devices", "Devices", ("Device", "Kind", "Title", "Door or gate", "Stated"), rows)


def quantities(works: Works) -> Schedule:
    """Devices of one kind with the same said of them, counted. What tells only where one stands is left out."""
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for device in works.facts.plan.devices.values():
        if device.base not in _NO_DEVICES:
            found[_kind(device), _rated(works, device)].append(device.name)
    rows = tuple(
        (kind, said, str(len(names)), ", ".join(names[:6]) + (" …" if len(names) > 6 else ""))
        for (kind, said), names in found.items()
    )
    head = ("Kind", "Rated", "Quantity", "Which")
    return Schedule("quantities", "Device list with quantities", head, rows, frozenset({2}))


def _rated(works: Works, device: Device) -> str:
    """What is said of a device, without names of signals and texts: marks and places."""
    own = {slot for slot, value in device.values.items() if not isinstance(value, str | tuple)}
    known = works.facts.plan.devices
    texts = {slot: value for slot, value in device.values.items() if isinstance(value, str)}
    return stated(device, own | {slot for slot, value in texts.items() if " " not in value and value not in known})
