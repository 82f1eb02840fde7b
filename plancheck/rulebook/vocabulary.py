"""The vocabulary of rules: every fact of every class of things, typed, with a line of documentation.

This one table drives the checks of rules, the list that `rules words` prints, and completion. The facts that
the engine knows stand in the `words_of_*` modules; what device kinds declare (slots, constants, signals, states)
joins them when the kinds are known.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from plancheck.plan.model import Device
from plancheck.plan.pattern import DEVICES
from plancheck.rulebook import types
from plancheck.rulebook.claims import Unknown
from plancheck.rulebook.things import CLASSES, Inventory, ancestry
from plancheck.rulebook.types import Type
from plancheck.syntax.nodes import Member, PrimitiveMember, RepeatMember, SignalMember, TerminalsMember
from plancheck.syntax.nodes import Word as SyntaxWord
from plancheck.units import Quantity

if TYPE_CHECKING:
    from plancheck.circuit.variation import Variation
    from plancheck.plan.graph import Branch
    from plancheck.plan.kinds import Kind, Kinds
    from plancheck.plan.pattern import Slot

Read = Callable[..., object]
"""(Inventory, thing, Variation) → the fact: Truth or Levels if it changes with the condition, else a plain value.

A plain value is None where the plan does not give it. `Unknown` or `NotAssessed` is raised where it cannot be had.
"""


@dataclass(frozen=True, slots=True)
class Word:
    """A fact that rules may ask of the things of a class."""

    of: str
    name: str
    type: Type
    says: str
    read: Read
    conditional: bool = False
    """Whether it changes with the operating condition."""
    kept: bool = False
    """Whether it is so dear to work out that a review remembers it; those that change always are."""
    written: str = ""
    """How a plan gives it, where its name does not tell."""


class Vocabulary:
    """All words, and what belongs to the kinds at hand."""

    def __init__(
        self,
        words: Iterable[Word],
        device_slots: Mapping[str, tuple[str, ...]],
        roles: Iterable[str],
        terminals: Mapping[str, tuple[str, ...]],
    ) -> None:
        self.words: dict[tuple[str, str], Word] = {}
        for word in words:
            self.words.setdefault((word.of, word.name), word)
        self.device_slots = device_slots
        self.roles = tuple(roles)
        """Roles that signals of some kind play."""
        self.terminals = terminals
        """Terminals that devices of a kind may have, by the kind; not those that are numbered."""

    def find(self, of: str, name: str) -> Word | None:
        """A fact of a class, or of those whose facts it shares."""
        return next((w for c in ancestry(of) if (w := self.words.get((c, name)))), None)

    def names(self, of: str) -> list[str]:
        """Names of all facts of a class, sorted."""
        classes = set(ancestry(of))
        return sorted({name for c, name in self.words if c in classes})

    @cached_property
    def plurals(self) -> dict[str, str]:
        """Class by each word that counts its things: `lock`, `locks`."""
        return {form: name for name in CLASSES for form in (name, f"{name}s")}


def vocabulary(kinds: Kinds) -> Vocabulary:
    """The engine's words and those of the kinds."""
    from plancheck.rulebook.words_of_batteries import BATTERY_WORDS
    from plancheck.rulebook.words_of_changes import CHANGE_WORDS
    from plancheck.rulebook.words_of_clauses import CLAUSE_WORDS
    from plancheck.rulebook.words_of_coils import COIL_WORDS
    from plancheck.rulebook.words_of_devices import DEVICE_WORDS
    from plancheck.rulebook.words_of_feeds import FEED_WORDS
    from plancheck.rulebook.words_of_gates import GATE_WORDS
    from plancheck.rulebook.words_of_parts import PART_WORDS
    from plancheck.rulebook.words_of_plans import PLAN_WORDS
    from plancheck.rulebook.words_of_radio import RADIO_WORDS
    from plancheck.rulebook.words_of_ratings import RATING_WORDS
    from plancheck.rulebook.words_of_supplies import SUPPLY_WORDS
    from plancheck.rulebook.words_of_wiring import WIRING_WORDS

    names = types.choice(*kinds.by_name)
    commands = types.choice(*_said_of_inputs(kinds, "commands"))
    own = [
        Word("item", "kind", names, "the kind it was declared as", lambda i, d, v: d.kind),
        Word("input", "commands", commands, "what it commands", lambda i, b, v: b.data.get("commands")),
        *CLAUSE_WORDS,
        *PLAN_WORDS,
        *CHANGE_WORDS,
        *DEVICE_WORDS,
        *PART_WORDS,
        *SUPPLY_WORDS,
        *FEED_WORDS,
        *GATE_WORDS,
        *BATTERY_WORDS,
        *COIL_WORDS,
        *WIRING_WORDS,
        *RADIO_WORDS,
        *RATING_WORDS,
    ]
    slots = {k.name: _naming_devices(k) for k in kinds.by_name.values()}
    terminals = {k.name: _terminals(k) for k in kinds.by_name.values()}
    return Vocabulary([*own, *_declared(kinds)], slots, _roles(kinds), terminals)


def _members(kinds: Kinds) -> list[Member]:
    """Members of all kinds, those that repeat among them."""
    members = [m for kind in kinds.by_name.values() for m in kind.members]
    return members + [m for outer in members if isinstance(outer, RepeatMember) for m in outer.members]


def _naming_devices(kind: Kind) -> tuple[str, ...]:
    """Slots that name devices, those of its repeated attributes among them."""
    slots = (slot for outer in kind.slots.values() for slot in (outer, *outer.inner))
    return tuple(dict.fromkeys(slot.name for slot in slots if slot.type in DEVICES))


def _terminals(kind: Kind) -> tuple[str, ...]:
    found = (member for member in kind.members if isinstance(member, TerminalsMember))
    return tuple(word.text for member in found for word in member.names)


def _roles(kinds: Kinds) -> list[str]:
    return sorted({m.role.text for m in _members(kinds) if isinstance(m, SignalMember) and m.role})


def _said_of_inputs(kinds: Kinds, setting: str) -> list[str]:
    """Words that the kinds give for a setting of their dry inputs."""
    inputs = [m for m in _members(kinds) if isinstance(m, PrimitiveMember) and m.what.text == "sense"]
    settings = [s for each in inputs for s in each.settings if s.name.text == setting]
    return sorted({i.text for s in settings for items in s.choices for i in items if isinstance(i, SyntaxWord)})


# --- what kinds declare ------------------------------------------------------------------------------------


def _declared(kinds: Kinds) -> list[Word]:
    """Slots and constants, signals and states; a name means the same for every kind of a base class, or is mixed."""
    found: dict[tuple[str, str], list[Word]] = {}
    for kind in kinds.by_name.values():
        for word in words_of_kind(kind):
            found.setdefault((word.of, word.name), []).append(word)
            if word.of == "lock":  # a device of unknown base may be a lock
                found.setdefault(("device", word.name), []).append(word)
    return [_united(of, name, words) for (of, name), words in found.items()]


def words_of_kind(kind: Kind) -> list[Word]:
    """What one kind declares."""
    says = f"declared by {kind.name}"
    words = [
        Word(kind.base, slot.name, _slot_type(slot), says, _slot_reader(kind.base, slot.name, _slot_type(slot)))
        for slot in kind.slots.values()
    ]
    for name, value in kind.constants.items():
        of = _value_type(value)
        words.append(Word(kind.base, name, of, says, _slot_reader(kind.base, name, of)))
    for name in kind.signals:
        if "#" not in name:
            words.append(Word(kind.base, name, types.YES_NO, f"signal of {kind.name}", _signal_reader(name), True))
    for name in kind.states:
        words.append(Word(kind.base, name, types.YES_NO, f"state of {kind.name}", _state_reader(name), True))
    return words


def _united(of: str, name: str, words: list[Word]) -> Word:
    first = words[0]
    kind_names = list(dict.fromkeys(w.says.rpartition(" ")[2] for w in words))
    says = first.says.rpartition(" ")[0] + " " + ", ".join(kind_names)
    forms = {(w.type.form, w.type.vector, w.type.of, w.conditional) for w in words}
    if len(forms) > 1:
        return Word(of, name, types.MIXED, says, first.read)
    if first.type.form == "choice":
        options = dict.fromkeys(o for w in words for o in w.type.options)
        return Word(of, name, types.choice(*options), says, first.read)
    return Word(of, name, first.type, says, first.read, first.conditional)


def _slot_type(slot: Slot) -> Type:
    if slot.type in DEVICES:
        return types.things("device") if slot.many else types.thing("device")
    if slot.many or slot.type == "sightings":
        return types.SIGHTINGS
    if slot.type == "choice":
        return types.choice(*slot.choices)
    if slot.type == "flag":
        return types.YES_NO
    if slot.type == "count":
        return types.NUMBER
    if slot.type == "date":
        return types.DATE
    return types.quantity(slot.type) if slot.type in types.VECTORS else types.TEXT


def _value_type(value: object) -> Type:
    if isinstance(value, bool):
        return types.YES_NO
    if isinstance(value, Quantity):
        return types.quantity(value.dimension)
    if isinstance(value, float):
        return types.NUMBER
    return types.choice(value) if isinstance(value, str) else types.SIGHTINGS


def _slot_reader(base: str, slot: str, of: Type) -> Read:
    if base == "wire":
        return lambda inventory, wire, variation: _plain(_wire_value(inventory, wire, slot), of)
    if of.form == "thing":
        return lambda inventory, device, variation: inventory.plan.devices.get(device.values.get(slot))
    if of.form == "list":
        return lambda inventory, device, variation: _listed(inventory, device, slot)
    return lambda inventory, device, variation: _plain(device.get(slot), of)


def _plain(value: object, of: Type) -> object:
    if isinstance(value, Quantity):
        return value.value
    if value is None and of.form == "yes/no":
        return False
    return value


def _wire_value(inventory: Inventory, wire: Branch, slot: str) -> object:
    """A wire's own value, or that of the cable in which it runs."""
    if wire.wire is None:
        return None
    value = wire.wire.values.get(slot)
    cable = inventory.plan.devices.get(wire.wire.cable)
    return cable.get(slot) if value is None and cable is not None else value


def _listed(inventory: Inventory, device: Device, slot: str) -> list[Device] | None:
    names = device.values.get(slot)
    if not isinstance(names, tuple):
        return None
    return [inventory.plan.devices[n] for n in names if isinstance(n, str) and n in inventory.plan.devices]


def _signal_reader(name: str) -> Read:
    def read(inventory: Inventory, device: Device, variation: Variation) -> object:
        if name not in device.signals:
            raise Unknown(f"{device.name} has no signal “{name}”")
        return inventory.facts.signal(device.name, name)

    return read


def _state_reader(name: str) -> Read:
    return lambda inventory, device, variation: inventory.facts.state(device.name, name, variation)
