"""Facts of electrical parts: loads, contacts, sources, inputs, suppressors, protectors, wires, terminals, circuits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plancheck.circuit.conditions import Levels, Truth
from plancheck.plan.guard import Atom, atoms, holds
from plancheck.plan.model import Device
from plancheck.rulebook import types
from plancheck.rulebook.claims import Unknown
from plancheck.rulebook.things import Inventory, Terminal
from plancheck.rulebook.types import CURRENT, NUMBER, RATIO, TEXT, VOLTAGE, YES_NO
from plancheck.rulebook.vocabulary import Read, Word

if TYPE_CHECKING:
    from plancheck.circuit.network import Circuit
    from plancheck.circuit.variation import Variation
    from plancheck.plan.graph import Branch

DEVICE = types.thing("device")
FORM = types.choice("dc", "ac")
WANTS = types.choice("open", "closed", "resistance")
TOLERATED = (0.85, 1.10)
"""Shares of rated volts within which a load works where it does not say (UL 294 §36.1 and UL 1034, from memory)."""


def _device(inventory: Inventory, branch: Branch, variation: Variation) -> Device:
    return inventory.plan.devices[branch.device]


def _setting(name: str) -> Read:
    return lambda inventory, branch, variation: branch.number(name)


def _flag(name: str) -> Read:
    return lambda inventory, branch, variation: bool(branch.data.get(name, False))


def _said(name: str) -> Read:
    return lambda inventory, branch, variation: branch.data.get(name)


def _style(inventory: Inventory, branch: Branch, variation: Variation) -> str | None:
    return branch.style or None


def _varied(fact: str) -> Read:
    """A fact of the circuit under a variation."""

    def read(inventory: Inventory, branch: Branch, variation: Variation) -> object:
        return getattr(inventory.facts, fact)(branch, variation)

    return read


def _most(levels: Levels, what: str) -> float:
    """The greatest magnitude over all conditions."""
    values = [abs(value) for _, value in levels.parts]
    if any(value != value for value in values):
        raise Unknown(f"{what} could not be worked out in every condition")
    return max(values)


# --- loads -------------------------------------------------------------------------------------------------


def _rated_amps(inventory: Inventory, load: Branch, variation: Variation) -> float | None:
    amps, volts, watts = load.number("amps"), load.number("volts"), load.number("watts")
    return watts / volts if amps is None and watts is not None and volts else amps


def _tolerated(setting: str, share: float) -> Read:
    def read(inventory: Inventory, load: Branch, variation: Variation) -> float | None:
        stated, volts = load.number(setting), load.number("volts")
        return stated if stated is not None or volts is None else volts * share

    return read


def _loop_drop(inventory: Inventory, load: Branch, variation: Variation) -> Levels:
    volts = load.number("volts")
    if not volts:
        raise Unknown(f"{load.device} states no rated volts")
    return inventory.facts.drop_volts(load, variation).mapped(lambda drop: drop / volts)


def _form_seen(inventory: Inventory, load: Branch, variation: Variation) -> str | None:
    return inventory.facts.form_seen(load) or None


LOADS = [
    Word("load", "device", DEVICE, "the device it is part of", _device),
    Word("load", "volts", VOLTAGE, "volts across it, plus to minus, its source at rated volts", _varied("volts"), True),
    Word("load", "amps", CURRENT, "current through it", _varied("amps"), True),
    Word(
        "load",
        "least-volts",
        VOLTAGE,
        "volts with the source at the low end of its band, all drawing",
        _varied("least_volts"),
        True,
    ),
    Word(
        "load",
        "greatest-volts",
        VOLTAGE,
        "volts with the source at the high end, every load drawing a hundredth",
        _varied("greatest_volts"),
        True,
    ),
    Word("load", "supply-volts", VOLTAGE, "volts of the source that feeds it", _varied("supply_volts"), True),
    Word(
        "load",
        "drop",
        VOLTAGE,
        "volts lost between source and load, by the worse load model",
        _varied("drop_volts"),
        True,
    ),
    Word("load", "loop-drop", RATIO, "drop as a share of its rated volts", _loop_drop, True),
    Word("load", "energised", YES_NO, "at or above pull-in volts", _varied("energised"), True),
    Word("load", "fed", YES_NO, "metal joins it to both poles of a live source", _varied("fed"), True),
    Word("load", "chattering", YES_NO, "it belongs to coils that never come to rest", _varied("chattering"), True),
    Word("load", "rated-volts", VOLTAGE, "rated volts", _setting("volts")),
    Word("load", "rated-amps", CURRENT, "rated current, or rated watts over volts", _rated_amps),
    Word(
        "load",
        "least-tolerated",
        VOLTAGE,
        "least volts at which it works; 85 % of rated if not stated",
        _tolerated("least", TOLERATED[0]),
    ),
    Word(
        "load",
        "most-tolerated",
        VOLTAGE,
        "most volts it bears; 110 % of rated if not stated",
        _tolerated("most", TOLERATED[1]),
    ),
    Word("load", "pull-in", VOLTAGE, "volts at or above which it acts", _setting("pull-in")),
    Word("load", "drop-out", VOLTAGE, "volts at or below which it lets go", _setting("drop-out")),
    Word("load", "inductance", types.quantity("inductance"), "inductance, where stated", _setting("inductance")),
    Word("load", "inrush", CURRENT, "current while it starts", _setting("inrush")),
    Word("load", "style", types.choice("coil", "electronic", "resistive"), "what sort of load it is", _style),
    Word("load", "inductive", YES_NO, "it is a coil", lambda i, b, v: b.style == "coil"),
    Word("load", "polarised", YES_NO, "plus and minus matter", _flag("polarised")),
    Word("load", "suppressed", YES_NO, "it has suppression built in", _flag("suppressed")),
    Word("load", "form", FORM, "dc or ac, as rated", _said("form")),
    Word(
        "load", "form-seen", types.choice("dc", "ac", "mixed"), "dc or ac of the sources that can feed it", _form_seen
    ),
]

# --- contacts ----------------------------------------------------------------------------------------------


def _greatest_amps(inventory: Inventory, contact: Branch, variation: Variation) -> float:
    return inventory.facts.greatest_amps(contact)[0]


def _volts_switched(inventory: Inventory, contact: Branch, variation: Variation) -> float:
    return _most(inventory.facts.volts(contact, variation), "the volts across it")


def _commanded(inventory: Inventory, contact: Branch, variation: Variation) -> bool:
    signals = inventory.plan.devices[contact.device].signals
    return any(a.what == "signal" and signals[a.name].role == "command" for a in atoms(contact.guard))


def _coil_driven(inventory: Inventory, contact: Branch, variation: Variation) -> bool:
    coils = {b.name for b in inventory.facts.branches("load", contact.device) if b.style == "coil"}
    return any(a.what == "energised" and a.name in coils for a in atoms(contact.guard))


def _rests_made(inventory: Inventory, contact: Branch, variation: Variation) -> bool:
    """Every signal at rest, electronics powered, coils as they stand in normal condition."""
    device = inventory.plan.devices[contact.device]

    def rests(atom: Atom) -> bool:
        if atom.what == "signal":
            return device.signals[atom.name].rests_on
        part = next(b for b in inventory.facts.branches(None, device.name) if b.name == atom.name)
        if part.style == "electronic":
            return True
        fact = inventory.facts.made if part.what == "sense" else inventory.facts.energised
        truth = fact(part, variation)
        # What is no signal of the plan, such as a relay held in from before, rests off.
        known = inventory.facts.signals
        index = sum(1 << i for i, s in enumerate(truth.space.signals) if s in known and known[s].rests_on)
        if truth.maybe >> index & 1:
            raise Unknown(f"{part.key} is neither clearly energised nor clearly not in normal condition")
        return bool(truth.yes >> index & 1)

    return holds(contact.guard, rests)


RATING = "contacts 2 A at 30 Vdc"

CONTACTS = [
    Word("contact", "device", DEVICE, "the device it is part of", _device),
    Word("contact", "made", YES_NO, "it joins its terminals", _varied("made"), True),
    Word("contact", "amps", CURRENT, "current through it", _varied("amps"), True),
    Word(
        "contact", "greatest-amps", CURRENT, "the most current through it in any condition", _greatest_amps, kept=True
    ),
    Word("contact", "volts-switched", VOLTAGE, "the most volts across it in any condition", _volts_switched, kept=True),
    Word("contact", "rated-amps", CURRENT, "current it may switch, resistive dc", _setting("amps"), written=RATING),
    Word("contact", "rated-volts", VOLTAGE, "volts it may switch, dc", _setting("volts"), written=RATING),
    Word("contact", "inductive-amps", CURRENT, "current it may switch, inductive dc", _setting("inductive-amps")),
    Word("contact", "style", types.choice("electronic", "direct"), "whether electronics or a hand moves it", _style),
    Word("contact", "electronic", YES_NO, "electronics move it", lambda i, b, v: b.style == "electronic"),
    Word("contact", "commanded", YES_NO, "a credential or a radio command moves it", _commanded),
    Word("contact", "coil-driven", YES_NO, "a coil of its device moves it", _coil_driven),
    Word("contact", "rests-made", YES_NO, "made with signals at rest and electronics powered", _rests_made, kept=True),
]

# --- sources -----------------------------------------------------------------------------------------------


def _worst_amps(inventory: Inventory, source: Branch, variation: Variation) -> float:
    return inventory.facts.greatest_amps(source)[0]


def _rated_output(inventory: Inventory, source: Branch, variation: Variation) -> float | None:
    return _rated_amps(inventory, source, variation)


SOURCES = [
    Word("source", "device", DEVICE, "the device it is part of", _device),
    Word("source", "name", TEXT, "its name within its kind", lambda i, b, v: b.name),
    Word("source", "live", YES_NO, "it has power to give", _varied("live"), True),
    Word("source", "rated-volts", VOLTAGE, "rated volts", _setting("volts")),
    Word("source", "rated-amps", CURRENT, "the most current it gives, or its watts over volts", _rated_output),
    Word("source", "worst-amps", CURRENT, "the greatest steady current drawn from it at once", _worst_amps, kept=True),
    Word("source", "least", VOLTAGE, "volts at the low end of its band", _setting("least")),
    Word("source", "most", VOLTAGE, "volts at the high end of its band", _setting("most")),
    Word("source", "form", FORM, "dc or ac", _said("form")),
    Word("source", "earthed", YES_NO, "its negative is earthed", _flag("earthed")),
]

# --- inputs, suppressors, protectors -----------------------------------------------------------------------


def _touching(inventory: Inventory, sense: Branch, variation: Variation) -> list[Device]:
    return [inventory.plan.devices[name] for name in inventory.facts.touching(sense)]


def _conducting(inventory: Inventory, part: Branch, variation: Variation) -> object:
    if part.what == "clamp":
        return Truth.constant(False)  # it conducts only above working volts
    return inventory.facts.conducting(part, variation)


INPUTS = [
    Word("input", "device", DEVICE, "the device it is part of", _device),
    Word("input", "name", TEXT, "its name within its kind", lambda i, b, v: b.name),
    Word("input", "made", YES_NO, "metal joins its terminals", _varied("made"), True),
    Word("input", "foreign-volts", VOLTAGE, "volts that others put on it", _varied("foreign_volts"), True),
    Word("input", "safety", YES_NO, "it keeps people safe from a moving gate", _flag("safety")),
    Word(
        "input", "wants", WANTS, "the state of its loop in which it acts, or what it wants to see there", _said("wants")
    ),
    Word(
        "input", "touching", types.things("device"), "devices on its own net, not past its common", _touching, kept=True
    ),
]

SUPPRESSORS = [
    Word("suppressor", "device", DEVICE, "the device it is part of", _device),
    Word("suppressor", "plain-diode", YES_NO, "it is a one-way, not a clamp", lambda i, b, v: b.what == "one-way"),
    Word("suppressor", "conducting", YES_NO, "it carries current forward", _conducting, True),
    Word("suppressor", "volts", VOLTAGE, "volts across it, anode to cathode", _varied("volts"), True),
    Word("suppressor", "rated-volts", VOLTAGE, "volts it bears", _setting("volts")),
    Word("suppressor", "rated-amps", CURRENT, "current it carries", _setting("amps")),
]

PROTECTORS = [
    Word("protector", "device", DEVICE, "the device it is part of", _device),
    Word("protector", "style", types.choice("fuse", "breaker", "ptc"), "what sort it is", _style),
    Word("protector", "rated-amps", CURRENT, "its rating", _setting("amps")),
    Word("protector", "amps", CURRENT, "current through it", _varied("amps"), True),
    Word(
        "protector", "greatest-amps", CURRENT, "the most current through it in any condition", _greatest_amps, kept=True
    ),
]

# --- wires, terminals, circuits ----------------------------------------------------------------------------


def _needed(inventory: Inventory, terminal: Terminal, variation: Variation) -> bool:
    return terminal.device.terminals[terminal.name]


def _ends(inventory: Inventory, terminal: Terminal, variation: Variation) -> int:
    return inventory.facts.wire_ends(terminal.device.name, terminal.name)


def _terminal_wired(inventory: Inventory, terminal: Terminal, variation: Variation) -> bool:
    return inventory.facts.wired(terminal.device.name, terminal.name)


def _stranded(inventory: Inventory, terminal: Terminal, variation: Variation) -> bool:
    name, facts = terminal.device.name, inventory.facts
    if not facts.wired(name, terminal.name):
        return False
    others = [p.b if p.a == terminal.name else p.a for p in terminal.device.primitives if terminal.name in (p.a, p.b)]
    return bool(others) and not any(facts.wired(name, other) for other in others)


def _pass_through(inventory: Inventory, terminal: Terminal, variation: Variation) -> bool:
    parts = terminal.device.primitives
    return bool(parts) and all(part.what == "link" for part in parts)


def _wire_ends(inventory: Inventory, wire: Branch, variation: Variation) -> list[Terminal]:
    ends = (wire.a.partition(":"), wire.b.partition(":"))
    return [Terminal(inventory.plan.devices[device], name) for device, _, name in ends]


WIRES = [
    Word("wire", "ends", types.things("terminal"), "its two terminals", _wire_ends),
    Word("wire", "amps", CURRENT, "current in it", _varied("amps"), True),
    Word("wire", "greatest-amps", CURRENT, "the most current in it in any condition", _greatest_amps, kept=True),
    Word("wire", "cable", TEXT, "the cable in which it runs", lambda i, w, v: (w.wire and w.wire.cable) or None),
    Word("wire", "colour", TEXT, "its colour in the cable", lambda i, w, v: (w.wire and w.wire.colour) or None),
    Word("wire", "resistance", types.quantity("resistance"), "its resistance at the warmest ambient", _setting("ohms")),
]

TERMINALS = [
    Word("terminal", "device", DEVICE, "the device it is on", lambda i, t, v: t.device),
    Word("terminal", "name", TEXT, "its name on the device", lambda i, t, v: t.name),
    Word("terminal", "needed", YES_NO, "its kind says that it must be wired", _needed),
    Word("terminal", "wired", YES_NO, "a wire reaches it", _terminal_wired),
    Word("terminal", "ends", NUMBER, "how many wires reach it", _ends),
    Word("terminal", "stranded", YES_NO, "wired, and nothing it leads to in its device is", _stranded),
    Word("terminal", "pass-through", YES_NO, "its device only joins wires", _pass_through),
]


def _restless(inventory: Inventory, circuit: Circuit, variation: Variation) -> Truth:
    load = next((b for b in circuit.network.branches if b.what == "load"), None)
    return Truth.constant(False) if load is None else inventory.facts.chattering(load, variation)


CIRCUITS = [
    Word("circuit", "chattering", YES_NO, "relays in it never come to rest", _restless, True),
    Word("circuit", "source", types.thing("source"), "the source that feeds it", lambda i, c, v: c.source),
    Word("circuit", "device", DEVICE, "the device of its source", lambda i, c, v: i.plan.devices[c.source.device]),
    Word(
        "circuit",
        "shorted",
        YES_NO,
        "metal joins the poles, no load between",
        lambda i, c, v: i.facts.shorted(c, v),
        True,
    ),
]

PART_WORDS = [*LOADS, *CONTACTS, *SOURCES, *INPUTS, *SUPPRESSORS, *PROTECTORS, *WIRES, *TERMINALS, *CIRCUITS]
