"""Facts of radio links: which button works which channel, and what a channel is called."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from plancheck.plan.guard import atoms
from plancheck.plan.model import Device, Sighting
from plancheck.rulebook import types
from plancheck.rulebook.things import Inventory
from plancheck.rulebook.types import NUMBER, TEXT
from plancheck.rulebook.vocabulary import Word

if TYPE_CHECKING:
    from plancheck.circuit.variation import Variation
    from plancheck.plan.graph import Branch

DEVICES = types.things("device")
NUMBER_OF = "n"
"""The slot in which a repeated entry says the number of its button or channel."""


def _entries(device: Device) -> Iterator[Sighting]:
    """Repeated entries of a device, such as `button 1 works RX1:ch1`."""
    for value in device.values.values():
        if isinstance(value, tuple):
            yield from (entry for entry in value if isinstance(entry, Sighting))


def _worked_signals(inventory: Inventory, device: Device) -> list[str]:
    """Keys of the signals that a device's repeated entries name, in their order."""
    named = (value for entry in _entries(device) for value in entry.values.values())
    return [value for value in named if isinstance(value, str) and value in inventory.facts.signals]


def _works(inventory: Inventory, device: Device, variation: Variation) -> list[Device]:
    names = dict.fromkeys(inventory.facts.signals[key].device for key in _worked_signals(inventory, device))
    return [inventory.plan.devices[name] for name in names if name]


def _links(inventory: Inventory, device: Device, variation: Variation) -> int:
    return len(set(_worked_signals(inventory, device)))


def _highest(inventory: Inventory, device: Device, variation: Variation) -> float:
    numbers = [entry.values.get(NUMBER_OF) for entry in _entries(device)]
    return max((float(n) for n in numbers if isinstance(n, float | int)), default=0.0)


def _worked_by(inventory: Inventory, contact: Branch, variation: Variation) -> list[Device]:
    own = inventory.plan.devices[contact.device].signals
    keys = {own[a.name].key for a in atoms(contact.guard) if a.what == "signal"}
    names = dict.fromkeys(name for key in keys for name in inventory.workers.get(key, ()))
    return [inventory.plan.devices[name] for name in names]


def _channel_name(inventory: Inventory, contact: Branch, variation: Variation) -> str | None:
    return next((a.name for a in atoms(contact.guard) if a.what == "signal"), None)


RADIO_WORDS = [
    Word("device", "works", DEVICES, "devices whose channels its buttons work", _works),
    Word("device", "links", NUMBER, "how many channels its buttons work", _links),
    Word("device", "highest-number", NUMBER, "highest number that an entry of it gives: button 3, channel 2", _highest),
    Word("contact", "worked-by", DEVICES, "transmitters whose buttons work it", _worked_by),
    Word("contact", "channel", TEXT, "name of the signal that moves it", _channel_name),
]
