"""What every schedule is: rows of texts and amounts under heads. Amounts are SI."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from plancheck.plan.model import Device
from plancheck.units import Quantity, show


class Amount(NamedTuple):
    """A value in the SI unit of its dimension."""

    value: float
    dimension: str

    def __str__(self) -> str:
        return show(self.value, self.dimension)


Cell = str | Amount


@dataclass(frozen=True)
class Schedule:
    """A table. `numbers` are the columns of amounts; where one could not be worked out its cell says why."""

    key: str
    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    numbers: frozenset[int] = frozenset()
    notes: tuple[str, ...] = ()


def stated(device: Device, slots: Iterable[str] | None = None) -> str:
    """What the plan states of a device, as it wrote it: amounts, choices, flags; not the devices that it names."""
    told = []
    for slot, value in device.values.items():
        if slots is not None and slot not in slots:
            continue
        match value:
            case Quantity():
                told.append(f"{slot.replace('-', ' ')} {value.text}")
            case bool():
                told += [slot.replace("-", " ")] if value else []
            case float():
                told.append(f"{slot.replace('-', ' ')} {value:g}")
            case str():
                told.append(f"{slot.replace('-', ' ')} {value}")
    return "; ".join(told)


def amount(device: Device | None, slot: str) -> Cell:
    """An amount that a device states, as an amount; nothing where it states none."""
    value = device.get(slot) if device is not None else None
    return Amount(value.value, value.dimension) if isinstance(value, Quantity) else ""


def written(device: Device | None, slot: str) -> str:
    """An amount that a device states, in its own words."""
    value = device.get(slot) if device is not None else None
    return value.text if isinstance(value, Quantity) else f"{value:g}" if isinstance(value, float) else str(value or "")
