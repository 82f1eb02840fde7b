"""The things that rules speak of, by class, and which of them belong to which."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from plancheck.plan.model import Device, Plan, Sighting, Variance
from plancheck.rulebook.parts_of_gates import controls_of, zones_of
from plancheck.source import Span

if TYPE_CHECKING:
    from plancheck.circuit.conductors import Conductors
    from plancheck.circuit.facts import Facts
    from plancheck.circuit.idle import IdleContacts
    from plancheck.circuit.network import Circuit
    from plancheck.circuit.returns import SharedReturns
    from plancheck.plan.graph import Branch
    from plancheck.rulebook.change_cases import ChangeCase
    from plancheck.rulebook.topics import Topic

NOT_A_PART = frozenset({"door", "gate", "cable", "wire"})
"""Base classes whose members are no electrical devices."""


@dataclass(frozen=True, slots=True)
class Gap:
    """A rule that could not be judged for a thing, and why."""

    rule: str
    subject: str
    reason: str
    at: Span
    life_safety: bool = False


@dataclass(frozen=True, slots=True)
class Terminal:
    """A terminal of a device."""

    device: Device
    name: str

    @property
    def key(self) -> str:
        """`device:terminal`."""
        return f"{self.device.name}:{self.name}"


@dataclass(frozen=True, slots=True)
class VarianceCase:
    """A variance of the plan as the review found it."""

    variance: Variance
    known: bool
    """Whether a rule of that name exists."""
    near: str
    """The rule that comes nearest by name where there is none of that name; empty where none is near."""
    life_safety: bool
    granted: bool
    expired: bool
    used: bool


Thing = object
"""A Device, Branch, Terminal, Circuit, Zone, Control, Gap, VarianceCase, ChangeCase or Plan: each class has one."""


class Inventory:
    """The things of one plan, by class; each list is made when a rule first asks for it."""

    def __init__(
        self, facts: Facts, device_slots: Mapping[str, Sequence[str]], topics: Mapping[str, Topic] | None = None
    ) -> None:
        self.facts = facts
        self.plan: Plan = facts.plan
        self.device_slots = device_slots
        """For each kind, the slots that name devices."""
        self.topics = topics or {}
        """Clauses by edition, by what they are about."""
        self.gaps: Sequence[Gap] = ()
        self.variances: Sequence[VarianceCase] = ()
        self.changes: Sequence[ChangeCase] = ()
        self.shorted_elsewhere = False
        """Where this is a part of a plan: whether some other part has a short."""
        self._lists: dict[str, Sequence[Thing]] = {}
        self._named: dict[str, list[Device]] = {}

    def every(self, of: str) -> Sequence[Thing]:
        """All things of a class, in the order of the plan."""
        if of == "gap":
            return self.gaps
        if of == "variance":
            return self.variances
        if of not in self._lists:
            self._lists[of] = CLASSES[of].every(self)
        return self._lists[of]

    def named_by(self, holder: Device) -> list[Device]:
        """Devices that a door or gate names, each once."""
        if holder.name not in self._named:
            names: dict[str, None] = {}
            slots = self.device_slots.get(holder.kind, ())
            for value in holder.values.values():
                if isinstance(value, tuple):
                    for sighting in value:
                        if isinstance(sighting, Sighting):
                            for slot in slots:
                                names.update(dict.fromkeys(_as_names(sighting.values.get(slot))))
            for slot in slots:
                names.update(dict.fromkeys(_as_names(holder.values.get(slot))))
            self._named[holder.name] = [self.plan.devices[n] for n in names if n in self.plan.devices]
        return self._named[holder.name]

    @cached_property
    def _holders(self) -> dict[str, list[Device]]:
        holders: dict[str, list[Device]] = {}
        for device in self.plan.devices.values():
            if device.base in ("door", "gate"):
                for named in self.named_by(device):
                    holders.setdefault(named.name, []).append(device)
        return holders

    def holders_of(self, device: Device, base: str) -> list[Device]:
        """Doors or gates that name a device."""
        return [h for h in self._holders.get(device.name, ()) if h.base == base]

    @cached_property
    def workers(self) -> dict[str, list[str]]:
        """By key of a signal, the devices whose repeated entries name it, such as a remote's buttons."""
        found: dict[str, list[str]] = {}
        for device in self.plan.devices.values():
            entries = (v for value in device.values.values() if isinstance(value, tuple) for v in value)
            named = (n for entry in entries if isinstance(entry, Sighting) for n in entry.values.values())
            for key in dict.fromkeys(n for n in named if isinstance(n, str) and n in self.facts.signals):
                found.setdefault(key, []).append(device.name)
        return found

    @cached_property
    def conductors(self) -> Conductors:
        """Which wires each conductor of each cable holds."""
        from plancheck.circuit.conductors import Conductors

        return Conductors(self.facts.graph)

    @cached_property
    def idle_contacts(self) -> IdleContacts:
        """Which contacts nobody feels."""
        from plancheck.circuit.idle import IdleContacts

        return IdleContacts(self.facts)

    @cached_property
    def locks_acted_on(self) -> dict[str, list[Device]]:
        """By name of a device, the locks that its contacts decide over."""
        from plancheck.circuit.acting import devices_acting_on

        found: dict[str, list[Device]] = {}
        for lock in self.plan.with_base("lock"):
            for name in devices_acting_on(self.facts, lock.name):
                found.setdefault(name, []).append(lock)
        return found

    @cached_property
    def shared_returns(self) -> SharedReturns:
        """Which supplies meet at what they feed."""
        from plancheck.circuit.returns import SharedReturns

        return SharedReturns(self.facts)

    @cached_property
    def _circuits(self) -> dict[str, list[Circuit]]:
        by_source: dict[str, list[Circuit]] = {}
        for circuit in self.facts.circuits():
            by_source.setdefault(circuit.source.key, []).append(circuit)
        return by_source

    def circuits_of(self, source: Branch) -> list[Circuit]:
        """Branch circuits of a source."""
        return self._circuits.get(source.key, [])

    @cached_property
    def _wires(self) -> dict[str, list[Branch]]:
        by_cable: dict[str, list[Branch]] = {}
        for branch in self.facts.branches("conductor"):
            if branch.wire is not None and branch.wire.cable:
                by_cable.setdefault(branch.wire.cable, []).append(branch)
        return by_cable

    def wires_in(self, cable: Device) -> list[Branch]:
        """Conductors that run in a cable."""
        return self._wires.get(cable.name, [])


def _as_names(value: object) -> Sequence[str]:
    if isinstance(value, str):
        return (value,)
    return [v for v in value if isinstance(v, str)] if isinstance(value, tuple) else ()


@dataclass(frozen=True, slots=True)
class ThingClass:
    """A class of things. `base` is the class whose facts it shares."""

    name: str
    says: str
    every: Callable[[Inventory], Sequence[Thing]]
    base: str = ""


def _devices(inventory: Inventory) -> list[Device]:
    return [d for d in inventory.plan.devices.values() if d.base not in NOT_A_PART]


def _with_base(base: str) -> Callable[[Inventory], list[Device]]:
    return lambda inventory: inventory.plan.with_base(base)


def _primitives(*whats: str) -> Callable[[Inventory], list[Branch]]:
    if len(whats) == 1:
        return lambda inventory: inventory.facts.branches(whats[0])
    return lambda inventory: [b for b in inventory.facts.branches() if b.what in whats]


def _of_gates(parts: Callable[[Device], Sequence[Thing]]) -> Callable[[Inventory], list[Thing]]:
    return lambda inventory: [part for gate in inventory.plan.with_base("gate") for part in parts(gate)]


def _terminals(inventory: Inventory) -> list[Terminal]:
    return [t for d in _devices(inventory) for t in terminals_of(d)]


def terminals_of(device: Device) -> list[Terminal]:
    """Terminals of a device, in the order of its kind."""
    return [Terminal(device, name) for name in device.terminals]


CLASSES: dict[str, ThingClass] = {
    c.name: c
    for c in (
        ThingClass("plan", "the plan itself", lambda inventory: [inventory.plan]),
        ThingClass("item", "anything the plan declares by name", lambda i: list(i.plan.devices.values())),
        ThingClass("device", "a device: anything with terminals", _devices, "item"),
        ThingClass("lock", "a device that holds a door or gate", _with_base("lock"), "device"),
        ThingClass("door", "a door", _with_base("door"), "item"),
        ThingClass("gate", "a powered gate", _with_base("gate"), "item"),
        ThingClass("zone", "where a gate's leaf can catch somebody while it moves one way", _of_gates(zones_of)),
        ThingClass("control", "a control as a gate's block speaks of it", _of_gates(controls_of)),
        ThingClass("cable", "a cable", _with_base("cable"), "item"),
        ThingClass("wire", "one conductor between two terminals", _primitives("conductor")),
        ThingClass("terminal", "a terminal of a device", _terminals),
        ThingClass("load", "a part that draws current: a coil, electronics, a resistance", _primitives("load")),
        ThingClass("contact", "a part that makes and breaks", _primitives("contact")),
        ThingClass("source", "a part that gives power", _primitives("source")),
        ThingClass("input", "a dry input that senses whether its terminals are joined", _primitives("sense")),
        ThingClass("suppressor", "a one-way or clamp", _primitives("one-way", "clamp")),
        ThingClass("protector", "a part that opens when too much flows", _primitives("protector")),
        ThingClass("circuit", "one branch circuit of a source", lambda i: i.facts.circuits()),
        ThingClass("gap", "a rule that could not be judged for a thing", lambda i: i.gaps),
        ThingClass("change", "what an in-house pack makes of a rule of others", lambda i: i.changes),
        ThingClass("variance", "an exception that the plan claims", lambda i: i.variances),
    )
}

LATE = frozenset({"gap", "variance"})
"""Classes that exist only after the other rules have been judged."""

OF_THE_WHOLE = frozenset({"plan", "change"})
"""Classes of which a plan has the same things as each of its parts."""

Belongs = Callable[[Inventory, Thing], Sequence[Thing]]


def _named(base: str) -> Callable[[Inventory, Device], list[Device]]:
    if base == "device":
        return lambda i, holder: [d for d in i.named_by(holder) if d.base not in NOT_A_PART]
    return lambda i, holder: [d for d in i.named_by(holder) if d.base == base]


def _part_of(*whats: str) -> Callable[[Inventory, Device], list[Branch]]:
    return lambda i, device: [b for b in i.facts.branches(None, device.name) if b.what in whats]


def _belongs() -> dict[tuple[str, str], Belongs]:
    table: dict[tuple[str, str], Callable[..., Sequence[Thing]]] = {
        ("circuit", "source"): lambda i, source: i.circuits_of(source),
        ("suppressor", "load"): lambda i, load: i.facts.across(load),
        ("contact", "load"): lambda i, load: i.facts.contacts_in_feed(load),
        ("wire", "cable"): lambda i, cable: i.wires_in(cable),
        ("wire", "terminal"): lambda i, terminal: i.facts.graph.wires_at.get(terminal.key, []),
        ("terminal", "device"): lambda i, device: terminals_of(device),
        ("zone", "gate"): lambda i, gate: zones_of(gate),
        ("control", "gate"): lambda i, gate: controls_of(gate),
        ("suppressor", "device"): _part_of("one-way", "clamp"),
        ("input", "device"): _part_of("sense"),
    }
    for what in ("load", "contact", "source", "protector"):
        table[what, "device"] = _part_of(what)
    for holder in ("door", "gate"):
        for base in ("lock", "device"):
            table[base, holder] = _named(base)
        table[holder, "device"] = lambda i, device, base=holder: i.holders_of(device, base)
    return table


BELONGS = _belongs()
"""What `CLASS of CLASS` means: (class, class it belongs to) → the things."""


def ancestry(of: str) -> list[str]:
    """A class and those whose facts it shares, nearest first."""
    found = []
    while of:
        found.append(of)
        of = CLASSES[of].base
    return found


def belonging(of: str, holder: str) -> Belongs | None:
    """How to list the things of a class that belong to one of another class."""
    return next((BELONGS[of, h] for h in ancestry(holder) if (of, h) in BELONGS), None)
