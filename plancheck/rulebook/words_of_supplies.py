"""Facts of supplies and of release: who feeds what, who opens what, what relays that hold themselves in keep up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plancheck.circuit.conditions import Levels, Truth
from plancheck.circuit.release import contacts_shared, devices_opening, kept_from_before, panel_powered
from plancheck.circuit.supplies import back_fed_volts, devices_feeding, devices_tied, live, on_mains
from plancheck.plan.model import Device
from plancheck.rulebook import types
from plancheck.rulebook.things import Inventory
from plancheck.rulebook.types import VOLTAGE, YES_NO
from plancheck.rulebook.vocabulary import Word
from plancheck.rulebook.words_of_devices import SECURED

if TYPE_CHECKING:
    from collections.abc import Iterable

    from plancheck.circuit.variation import Variation
    from plancheck.plan.graph import Branch

DEVICES, CONTACTS = types.things("device"), types.things("contact")


def _devices(inventory: Inventory, names: Iterable[str]) -> list[Device]:
    return [inventory.plan.devices[name] for name in names]


def _fed_by(inventory: Inventory, load: Branch, variation: Variation) -> list[Device]:
    return _devices(inventory, devices_feeding(inventory.facts, load))


def _all_fed_by(inventory: Inventory, device: Device, variation: Variation) -> list[Device]:
    loads = inventory.facts.branches("load", device.name)
    names = dict.fromkeys(name for load in loads for name in devices_feeding(inventory.facts, load))
    return _devices(inventory, names)


def _live(inventory: Inventory, device: Device, variation: Variation) -> Truth:
    return live(inventory.facts, device.name, variation)


def _on_mains(inventory: Inventory, device: Device, variation: Variation) -> bool:
    return on_mains(inventory.facts, device.name)


def _back_fed(inventory: Inventory, device: Device, variation: Variation) -> Levels:
    return back_fed_volts(inventory.facts, device.name, variation)


def _opened_by(inventory: Inventory, contact: Branch, variation: Variation) -> list[Device]:
    return _devices(inventory, devices_opening(inventory.facts, contact))


def _shared(inventory: Inventory, load: Branch, variation: Variation) -> list[Branch]:
    return contacts_shared(inventory.facts, load)


def _ties(inventory: Inventory, contact: Branch, variation: Variation) -> list[Device]:
    return _devices(inventory, devices_tied(inventory.facts, contact))


def _load_kept(inventory: Inventory, load: Branch, variation: Variation) -> Truth:
    return kept_from_before(inventory.facts.energised(load, variation))


def _lock_kept(inventory: Inventory, lock: Device, variation: Variation) -> Truth:
    return kept_from_before(inventory.facts.state(lock.name, SECURED, variation))


def _panel_powered(inventory: Inventory, device: Device, variation: Variation) -> Truth:
    return panel_powered(inventory.facts, device.name)


def _input_kept(inventory: Inventory, sense: Branch, variation: Variation) -> Truth:
    return kept_from_before(inventory.facts.made(sense, variation))


HELD = "held-from-before"

SUPPLY_WORDS = [
    Word("load", "fed-by", DEVICES, "devices whose sources metal can join to both its ends", _fed_by, kept=True),
    Word("device", "fed-by", DEVICES, "devices whose sources metal can join to a load of it", _all_fed_by, kept=True),
    Word("device", "supplying", YES_NO, "a source of it has power to give", _live, True),
    Word("device", "on-mains", YES_NO, "a source of it takes its power from the mains", _on_mains, kept=True),
    Word("device", "panel-powered", YES_NO, "the alarm panel whose power it needs has power", _panel_powered, True),
    Word("device", "back-fed-volts", VOLTAGE, "volts that other supplies drive into it while off", _back_fed, True),
    Word(
        "load",
        "shared-contacts",
        CONTACTS,
        "contacts that, welded, defeat several ways to release it",
        _shared,
        kept=True,
    ),
    Word("contact", "opened-by", DEVICES, "ways out and alarms that open it, each by itself", _opened_by, kept=True),
    Word("contact", "ties", DEVICES, "the different supplies that stand on its two sides", _ties, kept=True),
    Word("load", HELD, YES_NO, "energised only by what a coil remembers", _load_kept, True),
    Word("lock", HELD, YES_NO, "secured only by what a coil remembers", _lock_kept, True),
    Word("input", HELD, YES_NO, "made only by what a coil remembers", _input_kept, True),
]
