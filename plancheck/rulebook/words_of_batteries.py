"""Facts of batteries: what is drawn on reserve, what that takes from the nameplate, and what the cold leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plancheck.circuit.reserve import amps_on_reserve, sources_on_reserve, string_volts
from plancheck.circuit.storage import RATED_TIME, charge_taken, share_when_cold
from plancheck.plan.model import Device
from plancheck.rulebook import types
from plancheck.rulebook.claims import Unknown
from plancheck.rulebook.things import Inventory
from plancheck.rulebook.types import CURRENT, RATIO, VOLTAGE
from plancheck.rulebook.vocabulary import Word
from plancheck.units import Quantity

if TYPE_CHECKING:
    from plancheck.circuit.variation import Variation
    from plancheck.plan.graph import Branch

MOST_EXPONENT = 2.0
"""No battery has one by Peukert's law that is larger; lead-acid lies between 1.1 and 1.4 (from memory)."""
TIME, CHARGE = types.quantity("time"), types.quantity("charge")


def _said(device: Device, slot: str) -> float | None:
    value = device.get(slot)
    return value.value if isinstance(value, Quantity) else value if isinstance(value, float) else None


def _amps(inventory: Inventory, device: Device, *, alarm: bool = False, asking: bool = True) -> float:
    if not sources_on_reserve(inventory.facts, device.name):
        raise Unknown(f"{device.name} has no cells to draw on")
    return amps_on_reserve(inventory.facts, device.name, alarm=alarm, asking=asking)


def _standby_amps(inventory: Inventory, device: Device, variation: Variation) -> float:
    stated = _said(device, "standby-load")
    return _amps(inventory, device) if stated is None else stated


def _drawn_for(inventory: Inventory, device: Device, variation: Variation) -> float | None:
    standby, dropped = _said(device, "standby-time"), _said(device, "drop-after")
    return standby if standby is None or dropped is None else min(standby, dropped)


def _taken(device: Device, amps: float, seconds: float) -> float:
    """Coulombs of the nameplate."""
    nameplate = _said(device, "battery-charge")
    if nameplate is None:
        raise Unknown(f"{device.name} does not state the charge of its cells")
    exponent, hours = _said(device, "peukert-exponent"), _said(device, "rated-hours")
    if exponent is not None and not 1.0 <= exponent <= MOST_EXPONENT:
        raise Unknown(f"{device.name} states an exponent of {exponent:g}; of lead-acid it lies between 1.1 and 1.4")
    return charge_taken(amps, seconds, nameplate, exponent or 1.0, hours or RATED_TIME)


def _standby_taken(inventory: Inventory, device: Device, variation: Variation) -> float:
    seconds = _drawn_for(inventory, device, variation)
    if seconds is None:
        raise Unknown(f"{device.name} states no standby")
    return _taken(device, _standby_amps(inventory, device, variation), seconds)


def _alarm_taken(inventory: Inventory, device: Device, variation: Variation) -> float:
    """Nothing where no time on alarm is stated."""
    seconds = _said(device, "alarm-time")
    return 0.0 if seconds is None else _taken(device, _amps(inventory, device, alarm=True), seconds)


def _coldest(inventory: Inventory, device: Device, variation: Variation) -> float:
    stated = _said(device, "battery-coldest")
    return inventory.plan.ambient_low if stated is None else stated


def _cold_share(inventory: Inventory, device: Device, variation: Variation) -> float:
    return share_when_cold(_coldest(inventory, device, variation))


def _aged(inventory: Inventory, device: Device, variation: Variation) -> float:
    stated = _said(device, "aged-share")
    if stated is not None and stated <= 0:
        raise Unknown(f"{device.name} states that nothing is left of its cells")
    return 1.0 if stated is None else min(1.0, stated)


def _string_volts(inventory: Inventory, source: Branch, variation: Variation) -> float | None:
    return string_volts(inventory.facts, source)


BATTERY_WORDS = [
    Word(
        "device",
        "standby-amps",
        CURRENT,
        "what its cells give at most, mains gone and no alarm; as stated, where the plan does",
        _standby_amps,
        kept=True,
    ),
    Word(
        "device",
        "quiet-amps",
        CURRENT,
        "what its cells give, mains gone, no alarm, nobody at any door",
        lambda i, d, v: _amps(i, d, asking=False),
        kept=True,
    ),
    Word(
        "device",
        "alarm-amps",
        CURRENT,
        "what its cells give at most, mains gone and fire alarm on",
        lambda i, d, v: _amps(i, d, alarm=True),
        kept=True,
    ),
    Word("device", "drawn-for", TIME, "its standby, or the time after which it drops its output", _drawn_for),
    Word("device", "standby-taken", CHARGE, "what standby takes from its nameplate charge", _standby_taken, kept=True),
    Word("device", "alarm-taken", CHARGE, "what the stated time on alarm takes from it", _alarm_taken, kept=True),
    Word("device", "coldest", types.quantity("temperature"), "how cold its cells may become", _coldest),
    Word("device", "cold-share", RATIO, "share of its charge that is left when coldest", _cold_share),
    Word("device", "aged-left", RATIO, "stated share of its charge that age leaves; else all of it", _aged),
    Word("source", "string-volts", VOLTAGE, "volts of the batteries wired from its minus to its plus", _string_volts),
]
