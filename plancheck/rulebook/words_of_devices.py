"""Facts of devices, doors, gates and cables, apart from what their kinds declare."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plancheck.circuit.acting import devices_acting_on
from plancheck.circuit.conditions import Levels, Truth
from plancheck.plan.model import Device
from plancheck.rulebook import types
from plancheck.rulebook.claims import Unknown
from plancheck.rulebook.things import Inventory
from plancheck.rulebook.vocabulary import Word

if TYPE_CHECKING:
    from collections.abc import Callable

    from plancheck.circuit.variation import Variation
    from plancheck.plan.graph import Branch

ACTING = types.things("device")
LOCKS = types.things("lock")
SECURED = "secured"
"""The state of a lock in which somebody on the locked side cannot open."""
WORKED_BY_PEOPLE = ("exit", "approach", "override", "command")
"""Roles of signals that stand for what somebody does at a device: leaving, walking up, breaking glass, a credential."""


def _loads(inventory: Inventory, device: Device) -> list[Branch]:
    loads = inventory.facts.branches("load", device.name)
    if not loads:
        raise Unknown(f"{device.name} draws no current")
    return loads


def _greatest(fact: str) -> Callable[[Inventory, Device, Variation], Levels]:
    def read(inventory: Inventory, device: Device, variation: Variation) -> Levels:
        of: Callable[[Branch, Variation], Levels] = getattr(inventory.facts, fact)
        first, *rest = (of(load, variation).mapped(abs) for load in _loads(inventory, device))
        for levels in rest:
            first = first.with_other(levels, max)
        return first

    return read


def _any(fact: str) -> Callable[[Inventory, Device, Variation], Truth]:
    def read(inventory: Inventory, device: Device, variation: Variation) -> Truth:
        of: Callable[[Branch, Variation], Truth] = getattr(inventory.facts, fact)
        first, *rest = (of(load, variation) for load in _loads(inventory, device))
        for truth in rest:
            first = first | truth
        return first

    return read


def _least_setting(setting: str) -> Callable[[Inventory, Device, Variation], float | None]:
    def read(inventory: Inventory, device: Device, variation: Variation) -> float | None:
        values = [load.number(setting) for load in _loads(inventory, device)]
        given = [value for value in values if value is not None]
        return min(given) if given else None

    return read


def _fails_safe(inventory: Inventory, device: Device, variation: Variation) -> bool:
    return not inventory.facts.state_without_power(device.name, SECURED)


def _released(inventory: Inventory, device: Device, variation: Variation) -> Truth:
    return ~inventory.facts.state(device.name, SECURED, variation)


def _live(inventory: Inventory, device: Device, variation: Variation) -> Truth:
    result = Truth.constant(False)
    for load in _loads(inventory, device):
        home = inventory.facts.engine.home(load.key, variation)
        for source in home[0].sources if home else ():
            result = result | inventory.facts.live(source, variation)
    return result


def _worked(inventory: Inventory, device: Device, variation: Variation) -> Truth:
    signals = [name for name, signal in device.signals.items() if signal.role in WORKED_BY_PEOPLE]
    if not signals:
        raise Unknown(f"nothing that people do at {device.name} is a signal of the plan")
    first, *rest = (inventory.facts.signal(device.name, name) for name in signals)
    for truth in rest:
        first = first | truth
    return first


def _acting(inventory: Inventory, device: Device, variation: Variation) -> list[Device]:
    return [inventory.plan.devices[name] for name in devices_acting_on(inventory.facts, device.name)]


def _locks_acted_on(inventory: Inventory, device: Device, variation: Variation) -> list[Device]:
    return inventory.locks_acted_on.get(device.name, [])


def _wired(inventory: Inventory, device: Device, variation: Variation) -> bool:
    return any(inventory.facts.wired(device.name, terminal) for terminal in device.terminals)


def _works_for(inventory: Inventory, device: Device, variation: Variation) -> int:
    return len(inventory.holders_of(device, "door")) + len(inventory.holders_of(device, "gate"))


DEVICE_WORDS = [
    Word("item", "name", types.TEXT, "its name in the plan", lambda i, d, v: d.name),
    Word("item", "title", types.TEXT, "the text behind its name", lambda i, d, v: d.title or None),
    Word("item", "preset", types.TEXT, "the house device it was declared as", lambda i, d, v: d.preset or None),
    Word("device", "is-wired", types.YES_NO, "a wire reaches at least one of its terminals", _wired),
    Word("device", "named-by", types.NUMBER, "how many doors and gates name it", _works_for),
    Word(
        "device", "volts", types.VOLTAGE, "volts at its load; the greatest, if it has several", _greatest("volts"), True
    ),
    Word("device", "amps", types.CURRENT, "current its load draws; the greatest, if several", _greatest("amps"), True),
    Word("device", "energised", types.YES_NO, "a load of it is at or above pull-in", _any("energised"), True),
    Word("device", "fed", types.YES_NO, "metal joins a load of it to both poles of a live source", _any("fed"), True),
    Word("device", "worked", types.YES_NO, "somebody presses it, turns it, walks up or is let in by it", _worked, True),
    Word(
        "device", "acted-on-by", ACTING, "devices whose contacts decide over it, one behind another", _acting, kept=True
    ),
    Word("device", "locks-acted-on", LOCKS, "locks that its contacts decide over", _locks_acted_on, kept=True),
    Word("device", "live", types.YES_NO, "a source of its circuit has power to give", _live, True),
    Word("device", "drop-out", types.VOLTAGE, "volts at or below which its load lets go", _least_setting("drop-out")),
    Word("device", "pull-in", types.VOLTAGE, "volts at or above which its load acts", _least_setting("pull-in")),
    Word("device", "fails-safe", types.YES_NO, "without power it is not secured", _fails_safe, kept=True),
    Word("lock", "released", types.YES_NO, "somebody on the locked side can open it", _released, True),
]
