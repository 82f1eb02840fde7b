"""Facts of conductors and cables, of contacts that nobody feels, and of what is wired and what is not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plancheck.plan.conductor import colours_of
from plancheck.plan.model import Device
from plancheck.rulebook import types
from plancheck.rulebook.things import Inventory
from plancheck.rulebook.types import NUMBER, TEXT, YES_NO
from plancheck.rulebook.vocabulary import Word

if TYPE_CHECKING:
    from plancheck.circuit.variation import Variation
    from plancheck.plan.graph import Branch

DEVICES, CONTACTS, WIRES = types.things("device"), types.things("contact"), types.things("wire")


# --- cables and wires --------------------------------------------------------------------------------------


def _conductors_used(inventory: Inventory, cable: Device, variation: Variation) -> int:
    return len(inventory.conductors.colours_in(cable.name))


def _colours_of(inventory: Inventory, cable: str) -> list[str]:
    device = inventory.plan.devices.get(cable)
    return colours_of(device) if device is not None else []


def _colours_named(inventory: Inventory, cable: Device, variation: Variation) -> int:
    return len(set(_colours_of(inventory, cable.name)))


def _colour_listed(inventory: Inventory, wire: Branch, variation: Variation) -> bool:
    """True too where its cable names no colours, or fewer than it has conductors."""
    if wire.wire is None or not wire.wire.cable:
        return True
    listed = set(_colours_of(inventory, wire.wire.cable))
    cable = inventory.plan.devices.get(wire.wire.cable)
    count = cable.get("conductors") if cable is not None else None
    whole = not isinstance(count, float | int) or len(listed) >= count
    return not listed or not whole or wire.wire.colour in listed


def _net(inventory: Inventory, wire: Branch, variation: Variation) -> str:
    return inventory.facts.graph.net(wire.a)


def _first_in_conductor(inventory: Inventory, wire: Branch, variation: Variation) -> bool:
    return inventory.conductors.along(wire)[:1] == [wire]


def _nets_in_conductor(inventory: Inventory, wire: Branch, variation: Variation) -> int:
    return inventory.conductors.nets_along(wire)


def _one_run(inventory: Inventory, wire: Branch, variation: Variation) -> bool:
    return inventory.conductors.is_one_run(wire)


def _shared_with(inventory: Inventory, wire: Branch, variation: Variation) -> Branch | None:
    return inventory.conductors.shared_with(wire)


def _going_on(inventory: Inventory, wire: Branch, variation: Variation) -> list[Branch]:
    return inventory.conductors.going_on_otherwise(wire)


CABLES = [
    Word("cable", "conductors-used", NUMBER, "different conductors of it in which wires are drawn", _conductors_used),
    Word("cable", "colours-named", NUMBER, "different colours that it is said to have; 0 if not said", _colours_named),
    Word("wire", "net", TEXT, "name of its net: all that wires and links alone join has one name", _net),
    Word(
        "wire", "colour-listed", YES_NO, "its colour is one that its cable has, as far as that is said", _colour_listed
    ),
    Word("wire", "first-in-conductor", YES_NO, "no wire before it is drawn in its conductor", _first_in_conductor),
    Word("wire", "nets-in-conductor", NUMBER, "how many nets the wires in its conductor are on", _nets_in_conductor),
    Word("wire", "one-run", YES_NO, "the wires in its conductor follow one another end to end", _one_run),
    Word(
        "wire",
        "shares-conductor-with",
        types.thing("wire"),
        "the first wire in its conductor, if that is on another net and this the first on its own",
        _shared_with,
    ),
    Word(
        "wire",
        "going-on-otherwise",
        WIRES,
        "wires of other cables that go on from it in another colour, where they have its own as well",
        _going_on,
    ),
]

# --- devices, contacts, runs -------------------------------------------------------------------------------


def _terminal_count(inventory: Inventory, device: Device, variation: Variation) -> int:
    return len(device.terminals)


def _needs_wires(inventory: Inventory, device: Device, variation: Variation) -> bool:
    return any(device.terminals.values())


def _wired_to(inventory: Inventory, device: Device, variation: Variation) -> list[Device]:
    graph = inventory.facts.graph
    wires = [w for terminal in device.terminals for w in graph.wires_at.get(f"{device.name}:{terminal}", ())]
    names = dict.fromkeys(end.partition(":")[0] for wire in wires for end in (wire.a, wire.b))
    return [inventory.plan.devices[name] for name in names if name != device.name]


def _mixed_with(inventory: Inventory, device: Device, variation: Variation) -> list[Device]:
    return [inventory.plan.devices[name] for name in inventory.shared_returns.mixed_with(device.name)]


def _idle(inventory: Inventory, contact: Branch, variation: Variation) -> bool:
    return inventory.idle_contacts.idle(contact)


def _wired_through(inventory: Inventory, contact: Branch, variation: Variation) -> bool:
    return inventory.idle_contacts.wired_through(contact)


def _bridged(inventory: Inventory, contact: Branch, variation: Variation) -> bool:
    return inventory.idle_contacts.bridged(contact)


def _way_around(inventory: Inventory, contact: Branch, variation: Variation) -> str | None:
    return " → ".join(inventory.idle_contacts.way_around(contact)) or None


def _both_throws(inventory: Inventory, contact: Branch, variation: Variation) -> list[Branch]:
    """Other contacts of its device between the same two nets, behind it in its kind."""
    graph = inventory.facts.graph
    if not _wired_through(inventory, contact, variation) or _bridged(inventory, contact, variation):
        return []
    throws = [b for b in graph.at[contact.a] if b.what == "contact" and b.a == contact.a]
    behind = throws[throws.index(contact) + 1 :]
    net = graph.net(contact.b)
    return [c for c in behind if _wired_through(inventory, c, variation) and graph.net(c.b) == net]


def _run_stated(inventory: Inventory, load: Branch, variation: Variation) -> bool:
    """True too where no wire feeds it."""
    wires = [b for b in inventory.facts.in_the_way(load) if b.what == "conductor"]
    return not wires or any(b.data.get("ohms") != 0.0 for b in wires)


DEVICES_AND_CONTACTS = [
    Word("device", "terminal-count", NUMBER, "how many terminals it has", _terminal_count),
    Word("device", "needs-wires", YES_NO, "its kind says that a terminal of it must be wired", _needs_wires),
    Word("device", "wired-to", DEVICES, "devices to which a wire leads straight from it", _wired_to),
    Word(
        "device",
        "returns-mixed-with",
        DEVICES,
        "supplies before it whose minus meets its own at what they feed, and nowhere else",
        _mixed_with,
        kept=True,
    ),
    Word("contact", "wired-through", YES_NO, "a wire reaches both its terminals", _wired_through),
    Word("contact", "bridged", YES_NO, "wire alone joins its two sides", _bridged),
    Word("contact", "way-around", TEXT, "the wire that leads around it, terminal by terminal", _way_around),
    Word("contact", "idle", YES_NO, "made or open, no load and no input feels it", _idle, kept=True),
    Word(
        "contact", "both-throws", CONTACTS, "contacts of its device behind it between the same two nets", _both_throws
    ),
    Word(
        "load", "run-stated", YES_NO, "some wire in its feed or return states how far it runs", _run_stated, kept=True
    ),
]

WIRING_WORDS = [*CABLES, *DEVICES_AND_CONTACTS]
