"""Facts of feeds: what stands in the way of a load's current, and on which pole a wire stands."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from plancheck.plan.model import Device
from plancheck.rulebook import types
from plancheck.rulebook.things import NOT_A_PART, Inventory
from plancheck.rulebook.vocabulary import Word

if TYPE_CHECKING:
    from plancheck.circuit.variation import Variation
    from plancheck.plan.graph import Branch


def _loads(inventory: Inventory, device: Device) -> list[Branch]:
    return inventory.facts.branches("load", device.name)


def _wires(inventory: Inventory, loads: Iterable[Branch]) -> list[Branch]:
    """Conductors in the feed of some loads, each once."""
    found = {b.key: b for load in loads for b in inventory.facts.in_the_way(load) if b.what == "conductor"}
    return list(found.values())


def _cables(inventory: Inventory, loads: Iterable[Branch]) -> list[Device]:
    names = dict.fromkeys(b.wire.cable for b in _wires(inventory, loads) if b.wire is not None and b.wire.cable)
    return [inventory.plan.devices[name] for name in names if name in inventory.plan.devices]


def _devices(inventory: Inventory, loads: Iterable[Branch], own: str) -> list[Device]:
    """Devices in the feed of some loads: those that carry its current, and those that only join wires there."""
    names: dict[str, None] = {}
    for load in loads:
        for part in inventory.facts.in_the_way(load):
            ends = (part.a, part.b) if part.what == "conductor" else ()
            names.update(dict.fromkeys([part.device, *(end.partition(":")[0] for end in ends)]))
    found = (inventory.plan.devices[name] for name in names if name and name != own)
    return [device for device in found if device.base not in NOT_A_PART]


def _pole(inventory: Inventory, wire: Branch, variation: Variation) -> str | None:
    """Plus or minus where wire and protectors alone bring one of them and no other; nothing on AC."""
    poles = inventory.facts.touch.poles_standing_at(wire.a)
    return next(iter(poles)) if len(poles) == 1 else None


WIRES, CABLES, DEVICES = types.things("wire"), types.things("cable"), types.things("device")
IN_FEED = "in the way of its current, past no other load"

FEED_WORDS = [
    Word("load", "feed-wires", WIRES, f"conductors {IN_FEED}", lambda i, x, v: _wires(i, [x]), kept=True),
    Word("load", "feed-cables", CABLES, f"cables {IN_FEED}", lambda i, x, v: _cables(i, [x]), kept=True),
    Word("load", "feed-devices", DEVICES, f"devices {IN_FEED}", lambda i, x, v: _devices(i, [x], x.device), kept=True),
    Word("device", "feed-wires", WIRES, f"conductors {IN_FEED}", lambda i, d, v: _wires(i, _loads(i, d)), kept=True),
    Word("device", "feed-cables", CABLES, f"cables {IN_FEED}", lambda i, d, v: _cables(i, _loads(i, d)), kept=True),
    Word(
        "device",
        "feed-devices",
        DEVICES,
        f"devices {IN_FEED}",
        lambda i, d, v: _devices(i, _loads(i, d), d.name),
        kept=True,
    ),
    Word("wire", "pole", types.choice("plus", "minus"), "the pole that wire and fuses alone bring to it", _pole),
]
