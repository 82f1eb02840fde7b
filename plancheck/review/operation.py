"""What a door or gate does: its locks and inputs, what acts on them, and how they stand in one condition.

Shared by the sequence of operation and the table of single failures. No kind is known here: what counts are base
classes, primitives, the roles of signals, and the slots in which a door or gate names its devices.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from plancheck.circuit.conditions import Space, Truth
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.loops import acts
from plancheck.circuit.replay import Replay
from plancheck.circuit.variation import AS_DRAWN, Variation
from plancheck.plan.graph import Branch
from plancheck.plan.model import Device, Sighting, Signal, Value
from plancheck.rulebook.rule import Rulebook
from plancheck.rulebook.things import Inventory

SECURED = "secured"
MOST_SIGNALS = 20
"""Signals that one lock's or input's state may follow from here; each doubles the conditions."""

COMMANDS = ("command", "override", "exit", "approach")
"""Roles of signals by which somebody asks for something."""

WAYS_OUT = ("button", "sensor", "hardware", "release", "staff-release")
"""Slots in which a door names what lets people out."""


@dataclass(frozen=True, slots=True)
class Part:
    """A lock, or a dry input of a gate: something that is one way or the other in every condition.

    `on` and `off` are the words for the two; `safety` and `command` tell what an input is for.
    """

    subject: str
    device: str
    on: str
    off: str
    loads: tuple[Branch, ...] = ()
    sense: Branch | None = None
    safety: bool = False
    command: str = ""

    def truth(self, facts: Facts, variation: Variation = AS_DRAWN) -> Truth:
        """Whether it is held, or acts, in every condition. NotAssessed where that could not be worked out."""
        if self.sense is None:
            found = facts.state(self.device, SECURED, variation)
        else:
            found = acts(facts, self.sense, variation)
        if len(found.space.signals) > MOST_SIGNALS:
            raise NotAssessed(f"more than {MOST_SIGNALS} signals act on {self.subject}")
        return found

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of the branches that its state is read from."""
        return tuple(b.key for b in self.loads) if self.sense is None else (self.sense.key,)


@dataclass(frozen=True)
class Holder:
    """A door or gate with its parts; `device` is None for locks that no door or gate names."""

    device: Device | None
    parts: tuple[Part, ...]
    named: tuple[Device, ...] = ()
    unwired: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The name in the plan; empty for locks that nobody names."""
        return self.device.name if self.device else ""

    @property
    def is_gate(self) -> bool:
        """Whether it is a powered gate."""
        return self.device is not None and self.device.base == "gate"

    @cached_property
    def ways_out(self) -> tuple[str, ...]:
        """Names of the devices that let people out, as the door says."""
        return tuple(dict.fromkeys(name for slot in WAYS_OUT for name in self.in_slot(slot)))

    def in_slot(self, slot: str) -> tuple[str, ...]:
        """Names of the devices in a slot of the door or gate."""
        value = self.device.get(slot) if self.device else None
        names = value if isinstance(value, tuple) else (value,)
        return tuple(name for name in names if isinstance(name, str))


@dataclass(frozen=True)
class Works:
    """What sequence and failures are worked out from: a plan's facts, and the situations that the rules name."""

    facts: Facts
    rulebook: Rulebook
    inventory: Inventory = field(init=False)
    _felt: dict[str, tuple[Signal, ...]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(
            self, "inventory", Inventory(self.facts, self.rulebook.vocabulary.device_slots, self.rulebook.topics)
        )

    @cached_property
    def holders(self) -> tuple[Holder, ...]:
        """Doors and gates in the order of the plan, then the locks that none of them names."""
        plan = self.facts.plan
        found = [self._holder(d) for d in plan.devices.values() if d.base in ("door", "gate")]
        named = {part.device for holder in found for part in holder.parts}
        loose = tuple(self._lock(d) for d in plan.with_base("lock") if d.name not in named)
        return (*found, Holder(None, loose)) if loose else tuple(found)

    def _holder(self, device: Device) -> Holder:
        named = tuple(self.inventory.named_by(device))
        parts = [self._lock(d) for d in named if d.base == "lock"]
        unwired = []
        if device.base == "gate":
            senses = self.facts.branches("sense", str(device.get("operator") or ""))
            for sense in senses:
                if self.facts.wired(*sense.a.split(":", 1)) or self.facts.wired(*sense.b.split(":", 1)):
                    wired = self.facts.wired(sense.device, sense.a.partition(":")[2])
                    parts += [_input(sense)] if wired else []
                    unwired += [] if wired else [_called(sense)]
        return Holder(device, tuple(parts), named, tuple(unwired))

    def _lock(self, device: Device) -> Part:
        return Part(device.name, device.name, "held", "released", tuple(self.facts.branches("load", device.name)))

    @cached_property
    def start(self) -> Replay:
        """The plan at rest, from which events can be played on a fork."""
        return Replay(self.facts.engine, self.facts.signals)

    @cached_property
    def rest(self) -> dict[str, bool]:
        """Every signal at rest."""
        return {key: signal.rests_on for key, signal in self.facts.signals.items()}

    @cached_property
    def situations(self) -> dict[str, dict[str, bool]]:
        """By name, the signals of the plan that each situation of the rules sets; “everything at rest” sets none.

        Those that tell what people do are not among them: a press of each button is an event of its own.
        """
        return {
            name: {
                signal.key: setting.on
                for setting in node.settings
                for signal in self.facts.signals.values()
                if setting.role is not None and signal.role == setting.role.text
            }
            for name, node in self.rulebook.situations.items()
            if not any(setting.role is None or setting.role.text in COMMANDS for setting in node.settings)
        }

    def absent(self, situation: str) -> tuple[str, ...]:
        """Roles that a situation sets and no signal of the plan plays."""
        settings = self.rulebook.situations[situation].settings
        roles = dict.fromkeys(s.role.text for s in settings if s.role is not None)
        return tuple(role for role in roles if not self.facts.role(role))

    def influences(self, holder: Holder) -> tuple[Signal, ...]:
        """Signals of the plan on which some part of a door or gate depends, in the order of the plan."""
        found = self._felt.get(holder.name)
        if found is None:
            felt: set[str] = set()
            for part in holder.parts:
                try:
                    felt.update(support(part.truth(self.facts)))
                except NotAssessed:
                    continue
            found = self._felt[holder.name] = self._in_order(felt)
        return found

    def cone(self, holder: Holder) -> list[Device]:
        """Devices with a part in some network on which a door or gate depends, in the order of the networks."""
        homes = (self.facts.engine.home(key) for part in holder.parts for key in part.keys)
        numbers = self.facts.engine.overlays.upstream({home[0].number for home in homes if home})
        branches = (b for number in sorted(numbers) for b in self.facts.engine.networks[number].branches)
        names = dict.fromkeys(b.device for b in branches if b.device)
        return [self.facts.plan.devices[name] for name in names]

    def _in_order(self, keys: Iterable[str]) -> tuple[Signal, ...]:
        signals = [self.facts.signals[key] for key in keys if key in self.facts.signals]
        return tuple(sorted(signals, key=lambda s: self._number[s.key]))

    @cached_property
    def _number(self) -> dict[str, int]:
        return {key: i for i, key in enumerate(self.facts.signals)}

    def _signals_of(self, names: Iterable[str]) -> list[Signal]:
        devices = (self.facts.plan.devices.get(name) for name in names)
        return [signal for device in devices if device for signal in device.signals.values() if signal.device]

    def ways_out(self, holder: Holder) -> tuple[Signal, ...]:
        """Signals that let people out: of the devices that the door names for it, and others that are there for it."""
        found = {s.key for s in self._signals_of(holder.ways_out)}
        if not holder.is_gate:
            found |= {s.key for s in self.influences(holder) if s.role in ("exit", "approach")}
        return self._in_order(found)

    def credentials(self, holder: Holder) -> tuple[Signal, ...]:
        """Signals that ask for entry, or tell a gate what to do."""
        out = {s.key for s in self.ways_out(holder)}
        named = self._signals_of(device.name for device in holder.named)
        found = {s.key for s in (*named, *self.influences(holder)) if s.role in COMMANDS}
        return self._in_order(found - out)

    @cached_property
    def workers(self) -> dict[str, list[tuple[Device, Sighting | None]]]:
        """By signal, the devices that the plan says work it, and where it says so: a button of a handheld."""
        found: dict[str, list[tuple[Device, Sighting | None]]] = {}
        for device in self.facts.plan.devices.values():
            for named, sighting in _named(device.values.values()):
                if named in self.facts.signals:
                    found.setdefault(named, []).append((device, sighting))
        return found


def _named(
    values: Iterable[Value | Sighting], sighting: Sighting | None = None
) -> Iterator[tuple[str, Sighting | None]]:
    """Every name among values, also within sightings, with the sighting that it stands in."""
    for value in values:
        if isinstance(value, str):
            yield value, sighting
        elif isinstance(value, Sighting):
            yield from _named(value.values.values(), value)
        elif isinstance(value, tuple):
            yield from _named(value, sighting)


def _called(sense: Branch) -> str:
    return f"{sense.device} {sense.name.removesuffix('-input')} input"


def _input(sense: Branch) -> Part:
    command = str(sense.data.get("commands") or "")
    on = f"told to {command.replace('-', ' ')}" if command else "acts"
    safety = bool(sense.data.get("safety"))
    return Part(_called(sense), sense.device, on, "quiet", sense=sense, safety=safety, command=command)


# --- truths over conditions --------------------------------------------------------------------------------


def mask_of(space: Space, fixed: Mapping[str, bool]) -> int:
    """The conditions of a space in which signals are as told; those that it lacks do not count."""
    mask = space.everything
    for key, on in fixed.items():
        if key in space.signals:
            mask &= space.on(key) if on else ~space.on(key)
    return mask & space.everything


def depends_on(truth: Truth, signal: str, mask: int) -> bool:
    """Whether, among the conditions of a mask that leaves a signal free, the truth changes with it."""
    on = truth.space.on(signal)
    run = 1 << truth.space.signals.index(signal)
    return any((m & mask & on) >> run != m & mask & ~on for m in (truth.yes, truth.no))


def support(truth: Truth, fixed: Mapping[str, bool] | None = None) -> tuple[str, ...]:
    """The signals on which a truth depends, some of them being fixed."""
    fixed = fixed or {}
    mask = mask_of(truth.space, fixed)
    return tuple(s for s in truth.space.signals if s not in fixed and depends_on(truth, s, mask))


def certainly_off(truth: Truth, fixed: Mapping[str, bool]) -> bool:
    """Whether something is surely not so, whatever the signals that are not fixed do."""
    mask = mask_of(truth.space, fixed)
    return mask & ~truth.no == 0
