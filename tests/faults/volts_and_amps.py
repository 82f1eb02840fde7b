"""Mistakes of volts and amperes: supplies, fuses, runs, batteries."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

from plancheck.plan.model import Device, Primitive
from tests.faults.behind import (
    COPPER,
    ampacity,
    behind_cable,
    behind_part,
    fed,
    rated,
    supplies,
    total_amps,
    with_cable,
)
from tests.faults.draft import spare_name
from tests.faults.fault import Collection, Mutant, mutant
from tests.faults.standing import Standing, amount

VOLTS = Collection()
AWG24 = 0.2047e-6
"""Square metres of 24 AWG (ASTM B258)."""
DRY = "the cable carries no load, only a dry contact's loop"


@VOLTS.fault("thin conductors over a long run", "electrical/loop-drop", "electrical/least-volts-at-load")
def _thin_and_long(plan: Standing) -> Iterator[Mutant]:
    for cable in plan.draft.of_kind("cable"):
        loads = behind_cable(plan, cable)
        if not loads:
            yield mutant(with_cable(plan.draft, cable, "24 AWG", 100), cable.name, harmless=DRY)
            continue
        volts = max(rated(load)[0] for _, load in loads)
        metres = 0.15 * volts / (total_amps(loads) * 2 * COPPER / AWG24)
        draft = with_cable(plan.draft, cable, "24 AWG", metres)
        yield mutant(draft, cable.name, *(d.name for d, _ in loads))


@VOLTS.fault("drop worked out one way only, the return forgotten", "electrical/loop-drop")
def _one_way_sum(plan: Standing) -> Iterator[Mutant]:
    for cable in plan.draft.of_kind("cable"):
        loads = behind_cable(plan, cable)
        area = amount(plan.plan.devices[cable.name].get("area"))
        if loads:
            volts = max(rated(load)[0] for _, load in loads)
            metres = 0.045 * volts / (total_amps(loads) * COPPER / area)
            draft = with_cable(plan.draft, cable, "", metres)
            yield mutant(draft, cable.name, *(d.name for d, _ in loads))


@VOLTS.fault("lock for twice the supply's volts", "electrical/voltage-mismatch", "electrical/least-volts-at-load")
def _lock_for_twice_the_volts(plan: Standing) -> Iterator[Mutant]:
    yield from _other_volts(plan, 2)


@VOLTS.fault("lock for half the supply's volts", "electrical/voltage-mismatch", "electrical/greatest-volts-at-load")
def _lock_for_half_the_volts(plan: Standing) -> Iterator[Mutant]:
    yield from _other_volts(plan, 0.5)


def _other_volts(plan: Standing, times: float) -> Iterator[Mutant]:
    for name, (device, load) in fed(plan).items():
        volts, amps = rated(load)
        if device.base == "lock" and not plan.draft.by_name[name].says("strapped"):
            draft = plan.draft.saying(name, "tolerates")
            draft = draft.saying(name, "rated", f"rated {volts * times:g} Vdc, {amps / times * 1000:g} mA")
            yield mutant(draft, name)


@VOLTS.fault("AC transformer in the place of a DC supply", "electrical/ac-dc-mismatch")
def _transformer_for_a_supply(plan: Standing) -> Iterator[Mutant]:
    for device, lead, volts, amps in supplies(plan):
        loads = behind_part(plan, device.name)
        if lead == "output" and device.kind == "supply" and loads:
            draft = plan.draft.renamed(
                {f"{device.name}:+": f"{device.name}:X1", f"{device.name}:-": f"{device.name}:X2"}
            )
            draft = draft.with_kind(device.name, "transformer", f"output {volts:g} Vac, {amps:g} A")
            yield mutant(draft, device.name, *(d.name for d, _ in loads))


@VOLTS.fault("a DC device with polarity on an AC feed", "electrical/ac-dc-mismatch")
def _polarised_device_on_ac(plan: Standing) -> Iterator[Mutant]:
    for name, (_, load) in fed(plan).items():
        if load.style == "electronic" and load.data.get("polarised"):
            source = spare_name(plan.draft, "TR")
            plus, minus = f"{name}:{load.a}", f"{name}:{load.b}"
            draft = plan.draft.without_ends(plus, minus)
            draft = draft.with_part("transformer", source, f"output {rated(load)[0]:g} Vac, 1 A")
            yield mutant(draft.with_run(f"{source}:X1", plus).with_run(f"{source}:X2", minus), name, source)


@VOLTS.fault("plus and minus of a load exchanged", "electrical/polarity")
def _polarity_reversed(plan: Standing) -> Iterator[Mutant]:
    for name, (_, load) in fed(plan).items():
        draft = plan.draft.exchanged(f"{name}:{load.a}", f"{name}:{load.b}")
        minds = load.style == "electronic" or bool(load.data.get("polarised"))
        yield mutant(draft, name, harmless="" if minds else "a coil without polarity works either way round")


@VOLTS.fault("supply loaded to its full rating", "electrical/supply-headroom", "electrical/overload")
def _supply_at_its_rating(plan: Standing) -> Iterator[Mutant]:
    for device, lead, volts, _ in supplies(plan):
        amps = total_amps(behind_part(plan, device.name))
        if lead == "output" and amps:
            yield mutant(
                plan.draft.saying(device.name, lead, f"{lead} {volts:g} Vdc, {amps * 1000:.0f} mA"), device.name
            )


@VOLTS.fault("accessories beyond the operator's output", "electrical/overload", "electrical/supply-headroom")
def _accessories_beyond_the_output(plan: Standing) -> Iterator[Mutant]:
    for device, lead, volts, _ in supplies(plan):
        amps = total_amps(behind_part(plan, device.name))
        if lead == "accessories" and amps:
            draft = plan.draft.saying(device.name, lead, f"{lead} {volts:g} Vdc, {amps * 900:.0f} mA")
            yield mutant(draft, device.name)


@VOLTS.fault(
    "charging current left out of the supply's load", "electrical/supply-headroom", "electrical/charging-counted"
)
def _charging_left_out(plan: Standing) -> Iterator[Mutant]:
    for device, lead, volts, _ in supplies(plan):
        amps = total_amps(behind_part(plan, device.name))
        if device.kind == "supply" and device.get("battery-charge") and amps:
            draft = plan.draft.saying(device.name, lead, f"{lead} {volts:g} Vdc, {amps * 1500:.0f} mA")
            draft = draft.saying(device.name, "charging", f"charging {amps * 1000:.0f} mA")
            yield mutant(draft, device.name)


@VOLTS.fault("battery too small for the standby that is asked", "electrical/battery-standby")
def _battery_too_small(plan: Standing) -> Iterator[Mutant]:
    for device, _, _, _ in supplies(plan):
        hours = amount(device.get("standby-time")) / 3600
        amps = total_amps(behind_part(plan, device.name))
        if hours and amps:
            draft = plan.draft.saying(device.name, "battery", f"battery {amps * hours * 0.5:.3f} Ah")
            yield mutant(draft, device.name)


@VOLTS.fault("supply called class 2 and too strong for it", "electrical/class-2-limits")
def _too_strong_for_class_2(plan: Standing) -> Iterator[Mutant]:
    for device, lead, volts, _ in supplies(plan):
        if lead == "output":
            most = 5.0 if volts <= 20 else 100 / volts
            draft = plan.draft.saying(device.name, lead, f"{lead} {volts:g} Vdc, {most * 1.2:.2f} A")
            yield mutant(draft.saying(device.name, "class 2", "class 2"), device.name)


# --- fuses -------------------------------------------------------------------------------------------------


@VOLTS.fault(
    "fuse larger than the wire behind it carries", "electrical/protector-size", "electrical/conductor-ampacity"
)
def _fuse_too_large(plan: Standing) -> Iterator[Mutant]:
    for fuse in plan.draft.of_kind("fuse", "breaker"):
        cables = _cables(plan, behind_part(plan, fuse.name))
        if cables:
            draft = plan.draft.saying(fuse.name, "rated", "rated 30 A")
            behind = _another(plan, fuse.name)
            why = "another fuse follows it before any run begins" if behind else ""
            yield mutant(draft, fuse.name, *cables, harmless=why)


def _cables(plan: Standing, loads: list[tuple[Device, Primitive]]) -> list[str]:
    """The cables in which the current of some loads runs."""
    return [c.name for c in plan.draft.of_kind("cable") if any(d in loads for d in behind_cable(plan, c))]


def _another(plan: Standing, fuse: str) -> bool:
    """Whether jumpers alone join a fuse to another one, at the end that is away from the source."""
    own = (f"{fuse}:1", f"{fuse}:2")
    away = next((end for end in own if (step := plan.way(end)) and step[-1][0].name == fuse), own[1])
    others = (p.name for p in plan.draft.of_kind("fuse", "breaker", "resettable-fuse") if p.name != fuse)
    jumpers = Standing(replace(plan.draft, runs=tuple(run for run in plan.draft.runs if not run.conductor)))
    return any(jumpers.joined(away, f"{other}:{end}") for other in others for end in "12")


@VOLTS.fault("fuse smaller than what it carries all day", "electrical/protector-size", "electrical/overload")
def _fuse_too_small(plan: Standing) -> Iterator[Mutant]:
    for fuse in plan.draft.of_kind("fuse", "breaker"):
        amps = total_amps(behind_part(plan, fuse.name))
        if amps:
            draft = plan.draft.saying(fuse.name, "rated", f"rated {amps * 500:.0f} mA")
            yield mutant(draft, fuse.name, *(d.name for d, _ in behind_part(plan, fuse.name)))


@VOLTS.fault("no fuse in an output", "electrical/protector-present")
def _no_fuse(plan: Standing) -> Iterator[Mutant]:
    for fuse in plan.draft.of_kind("fuse", "breaker"):
        source = plan.source_of(f"{fuse.name}:2")
        loads = behind_part(plan, fuse.name)
        if source is None or not loads:
            continue
        draft = plan.draft.bridged(f"{fuse.name}:1", f"{fuse.name}:2").without_part(fuse.name)
        cables = _cables(plan, loads)
        why = _limits_itself(source[0], ampacity(plan, cables)) or _still_protected(plan, fuse.name, loads, cables)
        yield mutant(draft, source[0].name, *cables, *(d.name for d, _ in loads), harmless=why)


def _limits_itself(supply: Device, carried: float) -> str:
    """Why the wires behind a supply need no fuse, if so. Regulated supplies limit at up to 150 % of their rating."""
    if supply.get("class"):
        return "a class 2 supply limits its current by itself to what the wires carry"
    alone = supply.get("battery-charge") is None and supply.get("peak-amps") is None and supply.kind != "battery"
    if alone and amount(supply.get("output-amps")) * 1.5 <= carried:
        return "a regulated supply of this size gives no more than its wires carry, and no battery stands behind it"
    return ""


def _still_protected(plan: Standing, fuse: str, loads: list[tuple[Device, Primitive]], cables: list[str]) -> str:
    """Whether every load behind a fuse has another one in its feed that suits the thinnest run."""
    most = ampacity(plan, cables)
    for device, load in loads:
        way = plan.way(f"{device.name}:{load.a}")
        others = [d for d, part in way if part.what == "protector" and d.name != fuse]
        if not any(amount(d.get("rated-amps")) <= most for d in others):
            return ""
    return "another fuse in the same feed is small enough for the thinnest run"


@VOLTS.fault(
    "one fuse for all doors", "electrical/protector-shared", "electrical/protector-size", "electrical/overload"
)
def _one_fuse_for_all(plan: Standing) -> Iterator[Mutant]:
    for supply, _, _, _ in supplies(plan):
        fuses = [f for f in plan.draft.of_kind("fuse") if plan.joined(f"{f.name}:1", f"{supply.name}:+")]
        fuses.sort(key=lambda fuse: amount(plan.plan.devices[fuse.name].get("rated-amps")))
        if len(fuses) < 2:
            continue
        first, others = fuses[0], fuses[1:]
        draft = plan.draft
        for fuse in others:
            draft = draft.renamed({f"{fuse.name}:1": f"{first.name}:1", f"{fuse.name}:2": f"{first.name}:2"})
            draft = draft.without_part(fuse.name)
        loads = [load for fuse in fuses for load in behind_part(plan, fuse.name)]
        doors = {plan.door_of(device.name) for device, _ in loads if device.base == "lock"}
        most = amount(plan.plan.devices[first.name].get("rated-amps"))
        fits = len(doors) < 2 and total_amps(loads) <= 0.8 * most
        why = "one door's lock and electronics, which the one fuse carries" if fits else ""
        yield mutant(draft, first.name, supply.name, harmless=why)


@VOLTS.fault(
    "a thin cord at the hinge behind a fuse for the thick run",
    "electrical/protector-size",
    "electrical/conductor-ampacity",
)
def _thin_cord_at_the_hinge(plan: Standing) -> Iterator[Mutant]:
    for name, (device, load) in fed(plan).items():
        way = plan.way(f"{name}:{load.a}")
        fuses = [amount(d.get("rated-amps")) for d, part in way if part.what == "protector"]
        runs = [run for run in plan.draft.touching(f"{name}:{load.a}") if run.ends[0] != f"{name}:{load.a}"]
        if device.base != "lock" or not fuses or fuses[-1] <= 3.5 or not runs:
            continue
        cord, block = spare_name(plan.draft, "CH"), spare_name(plan.draft, "TB")
        plus, minus = f"{name}:{load.a}", f"{name}:{load.b}"
        draft = plan.draft.with_part("cable", cord, "conductors 2 of 24 AWG", "length 5 ft")
        draft = draft.with_part("terminal-block", block, "positions 2")
        draft = draft.renamed({plus: f"{block}:a1", minus: f"{block}:a2"})
        draft = draft.with_run(f"{block}:b1", plus, conductor=f"{cord}/red")
        yield mutant(draft.with_run(minus, f"{block}:b2", conductor=f"{cord}/black"), cord, name, *_protectors(way))


def _protectors(way: list) -> list[str]:  # type: ignore[type-arg]
    return [device.name for device, part in way if part.what == "protector"]


@VOLTS.fault("conductors too thin for the current that they carry", "electrical/conductor-ampacity")
def _conductors_too_thin(plan: Standing) -> Iterator[Mutant]:
    for cable in plan.draft.of_kind("cable"):
        loads = behind_cable(plan, cable)
        if total_amps(loads) > 3.2:
            yield mutant(with_cable(plan.draft, cable, "24 AWG", 1), cable.name, *(d.name for d, _ in loads))


# --- inrush ------------------------------------------------------------------------------------------------


@VOLTS.fault("solenoid latches whose inrush no supply of this size gives", "electrical/inrush-headroom")
def _inrush_beyond_the_supply(plan: Standing) -> Iterator[Mutant]:
    for latch in plan.of_kind("electrified-latch"):
        source = plan.source_of(f"{latch.name}:+")
        if source is not None:
            draft = plan.draft.saying(latch.name, "inrush", "inrush 16 A for 300 ms")
            draft = draft.saying(source[0].name, "peak")
            yield mutant(draft, source[0].name, latch.name)


@VOLTS.fault("a contact too small for the inrush that it makes", "electrical/contact-inrush")
def _contact_too_small_for_inrush(plan: Standing) -> Iterator[Mutant]:
    for latch in plan.of_kind("electrified-latch"):
        contacts = {c.device.name for c in plan.feed(latch)}
        draft = plan.draft.saying(latch.name, "inrush", "inrush 16 A for 300 ms")
        for name in sorted(contacts):
            draft = (
                draft.saying(name, "contacts", "contacts 1 A at 30 Vdc").saying(name, "inductive").saying(name, "makes")
            )
        if contacts:
            yield mutant(draft, latch.name, *contacts)


# --- batteries by themselves -------------------------------------------------------------------------------


@VOLTS.fault("battery without a fuse", "electrical/protector-present")
def _battery_unfused(plan: Standing) -> Iterator[Mutant]:
    for battery in plan.of_kind("battery"):
        for fuse in plan.draft.of_kind("fuse"):
            if plan.joined(f"{battery.name}:+", f"{fuse.name}:1") or plan.joined(f"{battery.name}:+", f"{fuse.name}:2"):
                loads = [d.name for d, _ in behind_part(plan, fuse.name)]
                draft = plan.draft.bridged(f"{fuse.name}:1", f"{fuse.name}:2").without_part(fuse.name)
                yield mutant(draft, battery.name, *loads)


@VOLTS.fault(
    "a battery of half the volts that are wanted",
    "electrical/battery-string",
    "electrical/voltage-mismatch",
    "electrical/paralleled-sources",
    "electrical/least-volts-at-load",
)
def _battery_of_half_the_volts(plan: Standing) -> Iterator[Mutant]:
    for battery in plan.of_kind("battery"):
        half = amount(battery.get("rated-volts")) / 2
        draft = plan.draft.saying(battery.name, "rated", f"rated {half:g} Vdc, 7 Ah")
        yield mutant(draft, battery.name, *fed(plan))


@VOLTS.fault(
    "batteries of 12 V side by side, and 24 V wanted",
    "electrical/battery-string",
    "electrical/voltage-mismatch",
    "electrical/paralleled-sources",
)
def _batteries_side_by_side(plan: Standing) -> Iterator[Mutant]:
    batteries = plan.of_kind("battery")
    for one, other in itertools.pairwise(batteries):
        plus, minus = f"{one.name}:+", f"{other.name}:-"
        if plan.joined(plus, minus):
            draft = plan.draft.without_ends(plus, minus)
            draft = draft.with_run(plus, f"{other.name}:+").with_run(minus, f"{one.name}:-")
            yield mutant(draft, one.name, other.name, *(d.name for d, _, _ in plan.sources), *fed(plan))
