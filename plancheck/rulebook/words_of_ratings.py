"""Facts of ratings and protection: inrush, ampacity, what a protector guards, supplies side by side."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from math import inf
from typing import TYPE_CHECKING

from plancheck.circuit.legs import greatest_in_conductor
from plancheck.circuit.starting import coil_amps, greatest_of_coils, greatest_start, inrush_beyond, loads_behind
from plancheck.circuit.supplies import on_mains
from plancheck.circuit.values import source_limit
from plancheck.circuit.variation import AS_DRAWN, Variation
from plancheck.plan.model import Device
from plancheck.rulebook import types
from plancheck.rulebook.claims import Unknown, at_most
from plancheck.rulebook.small_conductors import ampacity
from plancheck.rulebook.things import Inventory
from plancheck.rulebook.types import CURRENT, TEXT, YES_NO
from plancheck.rulebook.vocabulary import Word
from plancheck.units import Quantity, show

if TYPE_CHECKING:
    from plancheck.plan.graph import Branch

PEAK = "peak-amps"
"""The slot in which a source states what it gives for a short time."""
CHARGING = "charging-amps"
"""The slot in which a source states what it charges with."""
LEAST_TOLD = 0.5e-3
"""Amperes below which what flows besides is not worth a term of the sum."""

OWN_FUSE = "own-fuse-amps"
"""The slot in which a source states the protector that it has inside."""

# --- inrush and coils --------------------------------------------------------------------------------------


def _starting_amps(inventory: Inventory, part: Branch, variation: Variation) -> float:
    return greatest_start(inventory.facts, part).amps


def _starting_sum(inventory: Inventory, part: Branch, variation: Variation) -> str:
    """`4 × 16 A + 800 mA steady`: the stated inrush of what starts, and what else flows, as it adds up."""
    start = greatest_start(inventory.facts, part)
    each = Counter(load.number("inrush") or 0.0 for load in start.loads)
    terms = [(f"{n} × " if n > 1 else "") + show(amps, "current") for amps, n in each.items()]
    rest = start.amps - sum(amps * n for amps, n in each.items())
    return " + ".join([*terms, f"{show(rest, 'current')} steady"] if rest > LEAST_TOLD else terms)


def _starting_loads(inventory: Inventory, part: Branch, variation: Variation) -> list[Branch]:
    return loads_behind(inventory.facts, part, inrush_beyond)


def _longest_start(inventory: Inventory, part: Branch, variation: Variation) -> float | None:
    times = [load.number("inrush-time") for load in _starting_loads(inventory, part, variation)]
    return None if None in times else max((t for t in times if t is not None), default=None)


def _coils(inventory: Inventory, part: Branch, variation: Variation) -> float:
    return greatest_of_coils(inventory.facts, part).amps


def _coils_form(inventory: Inventory, part: Branch, variation: Variation) -> str | None:
    coils = loads_behind(inventory.facts, part, coil_amps)
    forms = {inventory.facts.form_seen(coil) for coil in coils} - {""}
    return forms.pop() if len(forms) == 1 else "mixed" if forms else None


def _starting(of: str) -> list[Word]:
    """Words on inrush through a source, contact or protector."""
    most = "the most through it while all starts that can start together: steady current and stated inrush"
    loads = "loads with a stated inrush that it carries in some condition"
    longest = "how long the longest inrush of these lasts"
    return [
        Word(of, "starting-amps", CURRENT, most, _starting_amps, kept=True),
        Word(of, "starting-sum", TEXT, "how that adds up", _starting_sum, kept=True),
        Word(of, "starting-loads", types.things("load"), loads, _starting_loads, kept=True),
        Word(of, "longest-start", types.quantity("time"), longest, _longest_start, kept=True),
    ]


# --- wires and shorts --------------------------------------------------------------------------------------


def _ampacity(inventory: Inventory, wire: Branch, variation: Variation) -> float | None:
    if wire.wire is None:
        return None
    cable = inventory.plan.devices.get(wire.wire.cable)
    area = wire.wire.values.get("area", cable.get("area") if cable else None)
    metal = cable.get("material") if cable else None
    return ampacity(area.value, metal if isinstance(metal, str) else "copper") if isinstance(area, Quantity) else None


def _scarcest(inventory: Inventory, wires: Sequence[Branch], amps: Callable[[Branch], float]) -> Branch | None:
    """Of some wires that which has the least ampacity for each ampere that it is to carry."""
    found, least = None, inf
    for wire in wires:
        carries = _ampacity(inventory, wire, AS_DRAWN)
        if carries is None:
            raise Unknown(f"{wire.key} states no gauge")
        wanted = amps(wire)
        if found is None or (wanted and carries / wanted < least):
            found, least = wire, carries / wanted if wanted else least
    return found


def _conductor_amps(inventory: Inventory, wire: Branch, variation: Variation) -> float:
    return greatest_in_conductor(inventory.facts, inventory.conductors, wire)


def _busiest(inventory: Inventory, cable: Device, variation: Variation) -> Branch | None:
    return _scarcest(inventory, inventory.wires_in(cable), lambda wire: _conductor_amps(inventory, wire, variation))


def _thinnest(inventory: Inventory, protector: Branch, variation: Variation) -> Branch | None:
    return _scarcest(inventory, _guards(inventory, protector, variation), lambda wire: 1.0)


def _shorted(inventory: Inventory, part: Branch, variation: Variation) -> bool:
    facts = inventory.facts
    numbers = {network.number for network, _ in facts.engine.homes.get(part.key, ())}
    return any(facts.shorted(c).yes for c in facts.circuits() if c.network.number in numbers)


# --- protectors and sources --------------------------------------------------------------------------------


def _guards(inventory: Inventory, protector: Branch, variation: Variation) -> list[Branch]:
    return inventory.facts.touch.protection.guarded(protector)


def _doors(inventory: Inventory, protector: Branch, variation: Variation) -> list[Device]:
    """Doors of the locks in whose way no other protector stands."""
    doors: dict[str, Device] = {}
    for load in inventory.facts.touch.protection.loads_behind(protector):
        lock = inventory.plan.devices[load.device]
        way = inventory.facts.in_the_way(load) if lock.base == "lock" else []
        if [b for b in way if b.what == "protector"] == [protector]:
            doors.update((door.name, door) for door in inventory.holders_of(lock, "door"))
    return list(doors.values())


def _open_runs(inventory: Inventory, source: Branch, variation: Variation) -> list[Branch]:
    return inventory.facts.touch.protection.open_runs(source)


def _bare(inventory: Inventory, source: Branch, variation: Variation) -> list[Device]:
    devices = inventory.plan.devices
    fused = {name for name, device in devices.items() if device.get(OWN_FUSE) is not None}
    return [devices[name] for name in inventory.facts.touch.protection.bare_devices(source, fused)]


# --- supplies side by side ---------------------------------------------------------------------------------


def _alike(inventory: Inventory, device: Device) -> list[Device]:
    """Devices pole to pole with one, itself among them, that take their power from the mains as it does or does not."""
    facts = inventory.facts
    mains = on_mains(facts, device.name)
    names = dict.fromkeys(n for s in facts.branches("source", device.name) for n in facts.touch.beside(s))
    return [inventory.plan.devices[name] for name in names if on_mains(facts, name) is mains]


def _paralleled(inventory: Inventory, device: Device, variation: Variation) -> list[Device]:
    """The others of its bank; none but for the first of them, which speaks for all."""
    alike = _alike(inventory, device)
    return alike[1:] if alike[:1] == [device] else []


def _in_bank(inventory: Inventory, device: Device, variation: Variation) -> bool:
    return len(_alike(inventory, device)) > 1


def _bank_amps(inventory: Inventory, device: Device, variation: Variation) -> float:
    return sum(_gives(inventory, each) for each in _alike(inventory, device))


def _bank_peak(inventory: Inventory, device: Device, variation: Variation) -> float:
    """Stated peaks together; of one that states none its rated current."""
    peaks = [(each, each.get(PEAK)) for each in _alike(inventory, device)]
    return sum(p.value if isinstance(p, Quantity) else _gives(inventory, each) for each, p in peaks)


def _bank_charging(inventory: Inventory, device: Device, variation: Variation) -> float:
    """Stated charging currents together; nothing of one that states none."""
    stated = [each.get(CHARGING) for each in _alike(inventory, device)]
    return sum(amps.value for amps in stated if isinstance(amps, Quantity))


def _gives(inventory: Inventory, device: Device) -> float:
    """The most that a device's sources are rated for; one after another they give it, not together."""
    most = max(source_limit(s) for s in inventory.facts.branches("source", device.name))
    if most == inf:
        raise Unknown(f"{device.name} states no output current")
    return most


def _starved(inventory: Inventory, load: Branch, variation: Variation) -> bool:
    """Whether a supply in a load's network is asked for more than it gives: then its volts tell of that alone."""
    facts = inventory.facts
    home = facts.engine.home(load.key)
    sagging = facts.engine.overlays.whole
    sources = [s for s in home[0].sources if s.device in sagging] if home else []
    return any(not at_most(facts.greatest_amps(s)[0], source_limit(s)) for s in sources)


RATING_WORDS = [
    Word("load", "starved", YES_NO, "more is asked of what feeds it than that gives", _starved, kept=True),
    *_starting("source"),
    *_starting("contact"),
    *_starting("protector"),
    Word("contact", "coils-switched-amps", CURRENT, "the most that coils together draw through it", _coils, kept=True),
    Word(
        "contact",
        "coils-form",
        types.choice("dc", "ac", "mixed"),
        "dc or ac of the coils that it carries",
        _coils_form,
        kept=True,
    ),
    Word("wire", "ampacity", CURRENT, "what a conductor of its size may carry without end", _ampacity),
    Word(
        "wire",
        "conductor-amps",
        CURRENT,
        "the most that its conductor carries, with the wires drawn in that from the same end",
        _conductor_amps,
        kept=True,
    ),
    Word("cable", "busiest", types.thing("wire"), "its conductor with most current for its size", _busiest, kept=True),
    *(
        Word(of, "on-a-short", YES_NO, "in a circuit that is shorted in some condition", _shorted, kept=True)
        for of in ("wire", "protector", "contact")
    ),
    Word(
        "protector",
        "guards",
        types.things("wire"),
        "runs of wire behind it, up to the next protector, and back",
        _guards,
        kept=True,
    ),
    Word("protector", "thinnest", types.thing("wire"), "the thinnest of the runs that it guards", _thinnest, kept=True),
    Word(
        "protector",
        "doors",
        types.things("door"),
        "doors with a lock in whose feed it is the only protector",
        _doors,
        kept=True,
    ),
    Word(
        "source",
        "open-runs",
        types.things("wire"),
        "runs of wire that leave it with no protector before them",
        _open_runs,
        kept=True,
    ),
    Word(
        "source",
        "bare-devices",
        types.things("device"),
        "devices that wire alone joins to its plus, its minus being bare too",
        _bare,
        kept=True,
    ),
    Word(
        "device",
        "paralleled-with",
        types.things("device"),
        "supplies, or batteries, pole to pole with it; told of the first",
        _paralleled,
        kept=True,
    ),
    Word("device", "in-a-bank", YES_NO, "pole to pole with another of its sort", _in_bank, kept=True),
    Word("device", "bank-peak", CURRENT, "what these give for a short time", _bank_peak, kept=True),
    Word("device", "bank-charging", CURRENT, "what these charge with, as stated", _bank_charging, kept=True),
    Word("device", "bank-amps", CURRENT, "what all sources pole to pole with it give together", _bank_amps, kept=True),
]
