"""What hangs behind a part of the wiring: found by taking the part away and looking what has lost its source."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

from plancheck.plan.model import Device, Primitive
from tests.faults.draft import Draft, Part
from tests.faults.standing import Standing, amount

COPPER = 0.017241e-6
"""Ohm metres at 20 °C (IEC 60028): warm and stranded it is more, so that a sum with it never exaggerates a loss."""
AMPACITIES = ((0.0, 2.0), (0.32e-6, 3.0), (0.75e-6, 6.0), (1.3e-6, 8.0), (2.08e-6, 15.0), (3.3e-6, 20.0))
"""Square metres and amperes: 22, 18, 16, 14 and 12 AWG (NEC 402.5 and 240.4(D), from memory)."""


def rated(load: Primitive) -> tuple[float, float]:
    """Volts and amperes of a load as its device rates it."""
    volts, amps, watts = (load.data.get(key) for key in ("volts", "amps", "watts"))
    if not isinstance(volts, float):
        return 0.0, 0.0
    if isinstance(amps, float):
        return volts, amps
    return volts, watts / volts if isinstance(watts, float) else 0.0


@cache
def fed(plan: Standing) -> dict[str, tuple[Device, Primitive]]:
    """The loads both of whose ends lead to a source, by the device's name."""
    found = {}
    for device, load in plan.loads():
        if all(plan.source_of(f"{device.name}:{end}") for end in (load.a, load.b)):
            found[device.name] = (device, load)
    return found


def lost(plan: Standing, without: Draft) -> list[tuple[Device, Primitive]]:
    """The loads that have a source in the plan and none in this draft of it."""
    kept = fed(Standing(without))
    return [pair for name, pair in fed(plan).items() if name not in kept]


@cache
def behind_cable(plan: Standing, cable: Part) -> list[tuple[Device, Primitive]]:
    """The loads whose current runs in a cable."""
    runs = tuple(run for run in plan.draft.runs if run.cable != cable.name)
    return lost(plan, replace(plan.draft, runs=runs))


@cache
def behind_part(plan: Standing, name: str) -> list[tuple[Device, Primitive]]:
    """The loads whose current runs through a fuse or a supply."""
    ends = {end for run in plan.draft.runs for end in run.ends if end.startswith(f"{name}:")}
    return [(d, load) for d, load in lost(plan, plan.draft.without_ends(*ends)) if d.name != name]


def ampacity(plan: Standing, cables: list[str]) -> float:
    """Amperes that the thinnest of some cables carries."""
    areas = [amount(plan.plan.devices[name].get("area")) for name in cables]
    return min((max(amps for area, amps in AMPACITIES if area <= each * 1.01) for each in areas), default=0.0)


def total_amps(loads: list[tuple[Device, Primitive]]) -> float:
    """What loads draw together at their rating."""
    return sum(rated(load)[1] for _, load in loads)


def supplies(plan: Standing) -> Iterator[tuple[Device, str, float, float]]:
    """Supplies and operators with an output for accessories: how it is worded, its volts and its amperes."""
    seen = set()
    for device, _, _ in plan.sources:
        lead = "output" if plan.draft.by_name[device.name].says("output") else "accessories"
        slot = "output" if lead == "output" else "accessory"
        amps = amount(device.get(f"{slot}-amps"))
        if device.name not in seen and amps:
            seen.add(device.name)
            yield device, lead, amount(device.get(f"{slot}-volts")), amps


def with_cable(draft: Draft, cable: Part, gauge: str, metres: float) -> Draft:
    """The cable of another gauge and length; no gauge keeps its own."""
    wanted = re.sub(r" of .*", f" of {gauge}", cable.says("conductors")) if gauge else cable.says("conductors")
    draft = draft.saying(cable.name, "conductors", wanted)
    return draft.saying(cable.name, "length", f"length {metres:.1f} m")
