"""Which device of the new plan is which of the old: by its name, or by kind, data and connections under another."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping

from plancheck.plan.graph import ConnectionGraph
from plancheck.plan.model import Device, Sighting, Value
from plancheck.units import Quantity

Names = Mapping[str, str]
"""Old names of renamed devices, with their new ones."""


def renamed(old: ConnectionGraph, new: ConnectionGraph) -> dict[str, str]:
    """Devices that are the same under another name. Where several could be meant, the first in the plan."""
    gone = [d for name, d in old.plan.devices.items() if name not in new.plan.devices]
    come = [d for name, d in new.plan.devices.items() if name not in old.plan.devices]
    both = {name for name in old.plan.devices if name in new.plan.devices}
    wanted: dict[object, list[str]] = defaultdict(list)
    if gone and come:
        marks = _Marks(new, both)
        for device in come:
            wanted[marks.of(device)].append(device.name)
    found: dict[str, str] = {}
    marks = _Marks(old, both)
    for device in gone if wanted else ():
        fitting = wanted.get(marks.of(device))
        if fitting:
            found[device.name] = fitting.pop(0)
    return found


class _Marks:
    """What tells a device from others, whatever it is called; only names that both plans know count."""

    def __init__(self, graph: ConnectionGraph, known: set[str]) -> None:
        self.graph, self.known = graph, known
        self.wired: dict[str, set[tuple[str, ...]]] = defaultdict(set)
        self.in_cable: dict[str, set[tuple[str, ...]]] = defaultdict(set)
        for wire in graph.plan.wires:
            for mine, other in ((wire.a, wire.b), (wire.b, wire.a)):
                place = other.key if other.device in known else f"?:{other.terminal}"
                self.wired[mine.device].add((mine.terminal, place, wire.colour))
            ends = sorted(end.key if end.device in known else f"?:{end.terminal}" for end in (wire.a, wire.b))
            self.in_cable[wire.cable].add((*ends, wire.colour))

    def of(self, device: Device) -> object:
        values = tuple(sorted((slot, self._value(value)) for slot, value in device.values.items()))
        connected = self.in_cable[device.name] if device.base == "cable" else self.wired[device.name]
        return device.kind, values, frozenset(connected)

    def _value(self, value: Value) -> str:
        match value:
            case Quantity():
                return f"{value.value:.9g} {value.dimension} {value.form}"
            case Sighting() | tuple():
                return ""
            case str() if value in self.graph.plan.devices and value not in self.known:
                return "?"
        return str(value)


def in_new_names(text: str, names: Names) -> str:
    """A text in which renamed devices have their new names."""
    if not names:
        return text
    pattern = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    return re.sub(rf"(?<![\w/])(?:{pattern})(?![\w/])", lambda match: names[match[0]], text)


def terminal(key: str, names: Names) -> str:
    """A terminal by its new name."""
    device, _, rest = key.partition(":")
    return f"{names.get(device, device)}:{rest}"
