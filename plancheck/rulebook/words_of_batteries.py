"""Facts of batteries: what is drawn on reserve, what that takes from the nameplate, and what the cold leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plancheck.circuit.banks import CHARGE as CHARGE_SLOT
from plancheck.circuit.banks import Bank, bank_across
from plancheck.circuit.reserve import amps_on_reserve, amps_together, sources_on_reserve, string_volts
from plancheck.circuit.storage import RATED_TIME, charge_taken, share_when_cold
from plancheck.circuit.variation import AS_DRAWN
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


def _bank(inventory: Inventory, device: Device) -> Bank | None:
    """The batteries across a device that has none inside."""
    return None if device.get(CHARGE_SLOT) is not None else bank_across(inventory.facts, device.name)


def _reserve_charge(inventory: Inventory, device: Device, variation: Variation) -> float | None:
    bank = _bank(inventory, device)
    return bank.charge if bank else _said(device, CHARGE_SLOT)


def _of_cells(inventory: Inventory, device: Device, slot: str) -> list[float | None]:
    """What is said of the cells that a device draws on: of each battery across it by that one, else by the device."""
    bank, own = _bank(inventory, device), _said(device, slot)
    stated = [_said(inventory.plan.devices[cell.device], slot) for cell in bank.cells] if bank else [own]
    return [own if value is None else value for value in stated]


def _amps(inventory: Inventory, device: Device, *, alarm: bool = False, asking: bool = True) -> float:
    facts, bank = inventory.facts, _bank(inventory, device)
    if bank is not None:
        return amps_together(facts, bank.last, alarm=alarm, asking=asking)
    if not sources_on_reserve(facts, device.name):
        raise Unknown(f"{device.name} has no cells to draw on")
    return amps_on_reserve(facts, device.name, alarm=alarm, asking=asking)


def _standby_amps(inventory: Inventory, device: Device, variation: Variation) -> float:
    stated = _said(device, "standby-load")
    return _amps(inventory, device) if stated is None else stated


def _spans(inventory: Inventory, device: Device) -> tuple[float | None, float | None]:
    """Seconds of standby and of alarm for which its cells are drawn on: together no longer than it holds its output.

    What draws more comes first. A battery of its own stays at the loads when the supply beside it drops its output.
    """
    standby, alarm, dropped = (_said(device, slot) for slot in ("standby-time", "alarm-time", "drop-after"))
    if dropped is None or _bank(inventory, device) is not None:
        return standby, alarm
    if standby is None or alarm is None:
        return None if standby is None else min(standby, dropped), None if alarm is None else min(alarm, dropped)
    if _amps(inventory, device, alarm=True) > _standby_amps(inventory, device, AS_DRAWN):
        alarm = min(alarm, dropped)
        return min(standby, dropped - alarm), alarm
    standby = min(standby, dropped)
    return standby, min(alarm, dropped - standby)


def _drawn_for(inventory: Inventory, device: Device, variation: Variation) -> float | None:
    return _spans(inventory, device)[0]


def _alarm_for(inventory: Inventory, device: Device, variation: Variation) -> float | None:
    return _spans(inventory, device)[1]


def _taken(inventory: Inventory, device: Device, amps: float, seconds: float) -> float:
    """Coulombs of the nameplate; of several batteries that count which loses most by drawing faster."""
    nameplate = _reserve_charge(inventory, device, AS_DRAWN)
    if nameplate is None:
        raise Unknown(f"{device.name} does not state the charge of its cells")
    exponents = [1.0 if k is None else k for k in _of_cells(inventory, device, "peukert-exponent")]
    for exponent in exponents:
        if not 1.0 <= exponent <= MOST_EXPONENT:
            raise Unknown(f"{device.name} states an exponent of {exponent:g}; of lead-acid it lies between 1.1 and 1.4")
    rated = max(seconds or RATED_TIME for seconds in _of_cells(inventory, device, "rated-hours"))
    return charge_taken(amps, seconds, nameplate, max(exponents), rated)


def _standby_taken(inventory: Inventory, device: Device, variation: Variation) -> float:
    seconds = _drawn_for(inventory, device, variation)
    if seconds is None:
        raise Unknown(f"{device.name} states no standby")
    return _taken(inventory, device, _standby_amps(inventory, device, variation), seconds)


def _alarm_taken(inventory: Inventory, device: Device, variation: Variation) -> float:
    """Nothing where no time on alarm is stated."""
    seconds = _alarm_for(inventory, device, variation)
    return 0.0 if seconds is None else _taken(inventory, device, _amps(inventory, device, alarm=True), seconds)


def _coldest(inventory: Inventory, device: Device, variation: Variation) -> float:
    ambient = inventory.plan.ambient_low
    return min(ambient if kelvin is None else kelvin for kelvin in _of_cells(inventory, device, "battery-coldest"))


def _cold_share(inventory: Inventory, device: Device, variation: Variation) -> float:
    return share_when_cold(_coldest(inventory, device, variation))


def _aged(inventory: Inventory, device: Device, variation: Variation) -> float:
    least = min(1.0 if share is None else share for share in _of_cells(inventory, device, "aged-share"))
    if least <= 0:
        raise Unknown(f"{device.name} states that nothing is left of its cells")
    return min(1.0, least)


def _string_volts(inventory: Inventory, source: Branch, variation: Variation) -> float | None:
    return string_volts(inventory.facts, source)


BATTERY_WORDS = [
    Word(
        "device",
        "reserve-charge",
        CHARGE,
        "charge of the cells in it; else of those across it, in series the least, side by side their sum",
        _reserve_charge,
        kept=True,
    ),
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
    Word("device", "drawn-for", TIME, "its standby, as far as it has not dropped its output before", _drawn_for),
    Word("device", "alarm-drawn-for", TIME, "its time on alarm, as far as it has not dropped its output", _alarm_for),
    Word("device", "standby-taken", CHARGE, "what standby takes from its nameplate charge", _standby_taken, kept=True),
    Word("device", "alarm-taken", CHARGE, "what the stated time on alarm takes from it", _alarm_taken, kept=True),
    Word("device", "coldest", types.quantity("temperature"), "how cold its cells may become", _coldest),
    Word("device", "cold-share", RATIO, "share of its charge that is left when coldest", _cold_share),
    Word("device", "aged-left", RATIO, "stated share of its charge that age leaves; else all of it", _aged),
    Word("source", "string-volts", VOLTAGE, "volts of the batteries wired from its minus to its plus", _string_volts),
]
