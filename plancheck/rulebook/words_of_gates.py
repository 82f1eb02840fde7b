"""Facts of powered gates: zones and controls of a gate's block, what commands an input, what stands in its loop."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from plancheck.circuit.conditions import Truth
from plancheck.circuit.loops import acts, commanding, resistance
from plancheck.plan.guard import atoms
from plancheck.plan.model import Device, Sighting
from plancheck.rulebook import types
from plancheck.rulebook.claims import Unknown
from plancheck.rulebook.parts_of_gates import Control, Zone
from plancheck.rulebook.things import Inventory
from plancheck.rulebook.types import NUMBER, TEXT, YES_NO
from plancheck.rulebook.vocabulary import Word
from plancheck.rulebook.words_of_devices import WORKED_BY_PEOPLE
from plancheck.units import Quantity

if TYPE_CHECKING:
    from plancheck.circuit.variation import Variation
    from plancheck.plan.graph import Branch

GATE, DEVICE = types.thing("gate"), types.thing("device")
OF_THE_OPERATOR = {"inherent-protection": "inherent", "constant-pressure-only": "constant pressure"}
"""What an operator protects by itself, by the slot that says so."""
BY_HAND = tuple(role for role in WORKED_BY_PEOPLE if role != "approach")
"""Roles of signals for which somebody must lay hand on a device."""

# --- zones -------------------------------------------------------------------------------------------------


def _protection(inventory: Inventory, zone: Zone, variation: Variation) -> list[Device]:
    names: dict[str, None] = {}
    for line in zone.lines:
        value = line.values.get("protection")
        names.update((n, None) for n in (value if isinstance(value, tuple) else ()) if isinstance(n, str))
    return [inventory.plan.devices[name] for name in names if name in inventory.plan.devices]


def _screened(inventory: Inventory, zone: Zone, variation: Variation) -> bool:
    """Only where every line of the zone says so: one that says otherwise speaks of a place that people can reach."""
    return all(line.values.get("screen") is not None for line in zone.lines)


def _said_screened(inventory: Inventory, zone: Zone, variation: Variation) -> bool:
    return any(line.values.get("screen") is not None for line in zone.lines)


def _means(inventory: Inventory, zone: Zone, variation: Variation) -> list[str]:
    """The different kinds of protection in a zone: the operator's own first, each once."""
    operator = inventory.plan.devices.get(str(zone.gate.values.get("operator", "")))
    own = [says for slot, says in OF_THE_OPERATOR.items() if operator is not None and operator.get(slot)]
    devices = _protection(inventory, zone, variation)
    fitted = [str(d.get("protects-by")) for d in devices if d.get("entrapment-protection") and d.get("protects-by")]
    return list(dict.fromkeys(own + fitted))


def _means_told(inventory: Inventory, zone: Zone, variation: Variation) -> str:
    return ", ".join(_means(inventory, zone, variation)) or "none"


ZONES = [
    Word("zone", "gate", GATE, "the gate it belongs to", lambda i, z, v: z.gate),
    Word("zone", "name", TEXT, "its name in the gate's block", lambda i, z, v: z.name),
    Word(
        "zone",
        "direction",
        types.choice("opening", "closing"),
        "which way the leaf moves",
        lambda i, z, v: z.direction or None,
    ),
    Word("zone", "screened-off", YES_NO, "nobody can get there, as each line that names the zone says", _screened),
    Word("zone", "said-screened-off", YES_NO, "at least one line says that nobody can get there", _said_screened),
    Word("zone", "protection", types.things("device"), "the devices that protect it, as the plan says", _protection),
    Word("zone", "means", TEXT, "the different kinds of protection in it, the operator's own included", _means_told),
    Word(
        "zone", "kinds", NUMBER, "how many different kinds of protection that is", lambda i, z, v: len(_means(i, z, v))
    ),
]

# --- controls ----------------------------------------------------------------------------------------------


def _control_device(inventory: Inventory, control: Control, variation: Variation) -> Device | None:
    return inventory.plan.devices.get(control.device)


def _distance(inventory: Inventory, control: Control, variation: Variation) -> float | None:
    value = control.line.values.get("control-distance")
    return value.value if isinstance(value, Quantity) else None


CONTROLS = [
    Word("control", "gate", GATE, "the gate that it works", lambda i, c, v: c.gate),
    Word("control", "device", DEVICE, "the device that it is", _control_device),
    Word("control", "distance", types.LENGTH, "from any moving part of the gate", _distance),
    Word(
        "control",
        "sight",
        types.choice("seen", "unseen"),
        "whether the gate is seen from it",
        lambda i, c, v: c.line.values.get("sight"),
    ),
]

# --- inputs, contacts, devices -----------------------------------------------------------------------------


def _acts(inventory: Inventory, sense: Branch, variation: Variation) -> Truth:
    return acts(inventory.facts, sense, variation)


def _commanded_by(inventory: Inventory, sense: Branch, variation: Variation) -> list[Branch]:
    return commanding(inventory.facts, sense)


def _loop_ohms(inventory: Inventory, sense: Branch, variation: Variation) -> float | None:
    return resistance(inventory.facts, sense)


def _mode(inventory: Inventory, contact: Branch, variation: Variation) -> str | None:
    """How the numbered entry of its device whose signal moves a contact works: momentary, timed, latched."""
    numbers = {m[0] for a in atoms(contact.guard) if a.what == "signal" and (m := re.search(r"\d+$", a.name))}
    for value in inventory.plan.devices[contact.device].values.values():
        for line in value if isinstance(value, tuple) else ():
            if isinstance(line, Sighting) and "mode" in line.values and _number(line) in numbers:
                return str(line.values["mode"])
    return None


def _number(line: Sighting) -> str:
    number = line.values.get("n")
    return str(int(number)) if isinstance(number, float | int) else ""


def _obstructed(inventory: Inventory, device: Device, variation: Variation) -> Truth:
    signals = [name for name, signal in device.signals.items() if signal.role == "obstruction"]
    if not signals:
        raise Unknown(f"nothing that gets in the way of {device.name} is a signal of the plan")
    result = Truth.constant(False)
    for name in signals:
        result = result | inventory.facts.signal(device.name, name)
    return result


def _by_hand(inventory: Inventory, device: Device, variation: Variation) -> bool:
    return any(signal.role in BY_HAND for signal in device.signals.values())


def _sees(inventory: Inventory, device: Device, variation: Variation) -> bool:
    return any(signal.role in ("approach", "motion") for signal in device.signals.values())


PARTS = [
    Word(
        "input",
        "acts",
        YES_NO,
        "its loop is as it wants it to act: open, closed, or lacking the resistance that it looks for",
        _acts,
        True,
    ),
    Word(
        "input",
        "commanded-by",
        types.things("contact"),
        "contacts on its loop, and those that decide over what moves them",
        _commanded_by,
        kept=True,
    ),
    Word(
        "input",
        "loop-resistance",
        types.quantity("resistance"),
        "what the resistances in its loop add up to",
        _loop_ohms,
        kept=True,
    ),
    Word(
        "input",
        "wanted-resistance",
        types.quantity("resistance"),
        "the resistance that it wants to see",
        lambda i, b, v: b.number("ohms"),
    ),
    Word(
        "contact",
        "mode",
        types.choice("momentary", "timed", "latched"),
        "how the channel that moves it works, as the plan says",
        _mode,
        written="channel 1 momentary",
    ),
    Word("device", "obstructed", YES_NO, "somebody or something is in the way of what it guards", _obstructed, True),
    Word("device", "worked-by-hand", YES_NO, "somebody presses, turns or shows something there", _by_hand),
    Word("device", "sees-approach", YES_NO, "it tells that somebody walks up or moves before it", _sees),
]

GATE_WORDS = [*ZONES, *CONTROLS, *PARTS]
