"""The resolved plan: devices with their values, wires with their ends, all names known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from plancheck.plan.edition import Edition
from plancheck.plan.guard import Guard
from plancheck.source import Source, Span
from plancheck.units import Quantity

Value = Quantity | str | float | bool | tuple[str, ...] | tuple["Sighting", ...]
"""What an attribute slot holds: a quantity; a text, date, choice or device name; a count; a flag; names."""


@dataclass(frozen=True, slots=True)
class Sighting:
    """One `button 1 works RX1:ch1`: the slots of a repeated attribute, by slot name."""

    values: Mapping[str, Value]
    at: Span


@dataclass(frozen=True, slots=True)
class Signal:
    """Something outside the circuit that is on or off: mains, alarm, a press, a channel.

    `key` is unique in the plan: `RX1.ch1`, or the bare name where every device of the plan shares it.
    """

    key: str
    says: str
    role: str
    rests_on: bool
    device: str
    """Name of the device, empty where shared."""


@dataclass(frozen=True, slots=True)
class Primitive:
    """One electrical part of a device, settings resolved to SI: `data` lacks what the plan does not give.

    `what`: source, load, contact, one-way, clamp, protector, sense, link. `style`: coil, electronic or
    resistive for a load; electronic or direct for a contact; fuse, breaker or ptc for a protector.
    `a` and `b` are terminal names within the device (plus before minus, anode before cathode).
    """

    what: str
    name: str
    a: str
    b: str
    style: str
    guard: Guard | None
    data: Mapping[str, float | str | bool]


@dataclass(frozen=True, slots=True)
class State:
    """A named state of a device, such as `secured`, and when it is so."""

    name: str
    guard: Guard


@dataclass(frozen=True, slots=True)
class Device:
    """A device, door, gate or cable of the plan.

    `base` is lock, door, gate, cable or device. `terminals` maps each terminal to whether it must be wired.
    `constants` are the kind's `always` facts. `preset` names the house device it was declared as, if any.
    """

    name: str
    kind: str
    base: str
    title: str
    values: Mapping[str, Value]
    constants: Mapping[str, Value]
    terminals: Mapping[str, bool]
    signals: Mapping[str, Signal]
    primitives: tuple[Primitive, ...]
    states: tuple[State, ...]
    at: Span
    """Kind and name, as the plan wrote them."""
    value_at: Mapping[str, Span] = field(default_factory=dict)
    """Where each slot's value stands."""
    preset: str = ""

    def get(self, slot: str) -> Value | None:
        """A value of the plan, or else a constant of the kind, or None."""
        value = self.values.get(slot)
        return self.constants.get(slot) if value is None else value


@dataclass(frozen=True, slots=True)
class WireEnd:
    """A terminal that a wire reaches."""

    device: str
    terminal: str
    at: Span

    @property
    def key(self) -> str:
        """`device:terminal`."""
        return f"{self.device}:{self.terminal}"


@dataclass(frozen=True, slots=True)
class Wire:
    """One conductor between two ends; a daisy chain becomes one for each leg.

    `cable` and `colour` are empty for a jumper. `values` are attributes of its own block.
    """

    a: WireEnd
    b: WireEnd
    cable: str
    colour: str
    values: Mapping[str, Value]
    at: Span


@dataclass(frozen=True, slots=True)
class Variance:
    """An exception granted for one rule on one thing; texts are empty where the plan does not give them."""

    rule: str
    on: str
    reason: str
    granted_by: str
    reference: str
    until: str
    """ISO date or empty."""
    at: Span


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan with everything resolved. Temperatures in kelvin."""

    source: Source
    title: str
    revision: str
    dated: str
    jurisdiction: str
    """us, eu, or empty."""
    adopts: tuple[str, ...]
    ambient_low: float
    ambient_high: float
    devices: Mapping[str, Device]
    """By name, in the order of the plan; doors, gates and cables among them."""
    wires: tuple[Wire, ...]
    variances: tuple[Variance, ...]
    header_at: Mapping[str, Span] = field(default_factory=dict)
    """Where each header stands: plan, revision, jurisdiction …"""
    editions: tuple[Edition, ...] = ()
    """Editions of codes that hold, one of a code; none where the plan names none."""

    def with_base(self, base: str) -> list[Device]:
        """Devices of a base class, in the order of the plan."""
        return [d for d in self.devices.values() if d.base == base]
