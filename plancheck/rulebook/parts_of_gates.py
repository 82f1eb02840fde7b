"""What a gate's block says line by line: the zones in which its leaf can catch somebody, and its controls."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from plancheck.plan.model import Device, Sighting
from plancheck.source import Span


@dataclass(frozen=True, slots=True)
class Zone:
    """A place where the leaf of a gate can catch somebody while it moves one way.

    Lines of the block that give the same name and direction are one zone.
    """

    gate: Device
    name: str
    direction: str
    """opening or closing."""
    lines: tuple[Sighting, ...]

    @property
    def key(self) -> str:
        """A name that no other zone of the plan has."""
        return f"{self.gate.name} zone {self.name} {self.direction}"

    @property
    def label(self) -> str:
        """The zone as a finding names it."""
        return f"zone “{self.name}” of {self.gate.name}, {self.direction}"

    @property
    def at(self) -> Span:
        """Where it is first spoken of."""
        return self.lines[0].at


@dataclass(frozen=True, slots=True)
class Control:
    """A control that works a gate, as the gate's block speaks of it."""

    gate: Device
    device: str
    line: Sighting

    @property
    def key(self) -> str:
        """A name that no other control of the plan has."""
        return f"{self.gate.name} control {self.device}"

    @property
    def label(self) -> str:
        """The control as a finding names it."""
        return self.device

    @property
    def at(self) -> Span:
        """Where it is spoken of."""
        return self.line.at


def zones_of(gate: Device) -> list[Zone]:
    """The zones of a gate, in the order of its block."""
    found: dict[tuple[str, str], list[Sighting]] = {}
    for line in _lines(gate, "zone"):
        name, direction = (str(line.values.get(slot, "")) for slot in ("zone", "direction"))
        found.setdefault((name, direction), []).append(line)
    return [Zone(gate, name, direction, tuple(lines)) for (name, direction), lines in found.items()]


def controls_of(gate: Device) -> list[Control]:
    """The controls of a gate, in the order of its block."""
    return [Control(gate, str(line.values["control"]), line) for line in _lines(gate, "control")]


def _lines(gate: Device, slot: str) -> Iterator[Sighting]:
    value = gate.values.get(slot)
    for line in value if isinstance(value, tuple) else ():
        if isinstance(line, Sighting) and slot in line.values:
            yield line
