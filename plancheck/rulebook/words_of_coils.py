"""Facts of coils: what is stored in them, what stands across them and where, and what an earth fault leads past."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plancheck.circuit.coils import stored_energy, volts_when_cut
from plancheck.circuit.earthing import load_held_past, lock_held_past
from plancheck.circuit.suppression import (
    amps_through,
    coil_amps,
    coils_alongside,
    peak_volts,
    release_delay,
    run_to_suppressor,
    suppressors_alongside,
    volts_left,
    working_volts,
)
from plancheck.rulebook import types
from plancheck.rulebook.things import Inventory
from plancheck.rulebook.types import CURRENT, LENGTH, NUMBER, VOLTAGE
from plancheck.rulebook.vocabulary import Word
from plancheck.rulebook.words_of_devices import SECURED

if TYPE_CHECKING:
    from plancheck.circuit.variation import Variation
    from plancheck.plan.graph import Branch
    from plancheck.plan.model import Device

ENERGY, TIME, CONTACTS = types.quantity("energy"), types.quantity("time"), types.things("contact")


def _working(inventory: Inventory, load: Branch, variation: Variation) -> float:
    return working_volts(inventory.facts, load)


def _peak(inventory: Inventory, load: Branch, variation: Variation) -> float:
    return peak_volts(inventory.facts, load)


def _coil_amps(inventory: Inventory, load: Branch, variation: Variation) -> float:
    return coil_amps(inventory.facts, load)


def _energy(inventory: Inventory, load: Branch, variation: Variation) -> float | None:
    henry = load.number("inductance")
    return None if henry is None else stored_energy(henry, coil_amps(inventory.facts, load))


def _unclamped(inventory: Inventory, load: Branch, variation: Variation) -> float | None:
    henry, facts = load.number("inductance"), inventory.facts
    return None if henry is None else volts_when_cut(peak_volts(facts, load), henry, coil_amps(facts, load))


def _delay(inventory: Inventory, load: Branch, variation: Variation) -> float | None:
    return release_delay(inventory.facts, load)


def _alongside(inventory: Inventory, load: Branch, variation: Variation) -> int:
    return len(coils_alongside(inventory.facts, load))


def _suppressors(inventory: Inventory, load: Branch, variation: Variation) -> int:
    return suppressors_alongside(inventory.facts, load)


def _run(inventory: Inventory, load: Branch, variation: Variation) -> float | None:
    return run_to_suppressor(inventory.facts, load)


def _carried_on(inventory: Inventory, load: Branch, variation: Variation) -> float:
    return amps_through(inventory.facts, load)


def _left(inventory: Inventory, load: Branch, variation: Variation) -> float | None:
    return volts_left(inventory.facts, load)


def _load_past(inventory: Inventory, load: Branch, variation: Variation) -> list[Branch]:
    return load_held_past(inventory.facts, load)


def _lock_past(inventory: Inventory, lock: Device, variation: Variation) -> list[Branch]:
    return lock_held_past(inventory.facts, lock.name, SECURED)


PAST = "held-past"

COIL_WORDS = [
    Word("load", "working-volts", VOLTAGE, "the most volts it gets, its source at its highest", _working, kept=True),
    Word("load", "peak-volts", VOLTAGE, "the same; on AC the crest of the wave", _peak, kept=True),
    Word("load", "coil-amps", CURRENT, "current of the coil at its peak volts", _coil_amps, kept=True),
    Word("load", "coil-energy", ENERGY, "what is stored in it, ½ · L · I², where its inductance is stated", _energy),
    Word("load", "unclamped-volts", VOLTAGE, "volts where its current is cut in 0.5 ms, unsuppressed", _unclamped),
    Word("load", "diode-delay", TIME, "how long a plain one-way across it keeps it in, by L/R; no magnets", _delay),
    Word("load", "coils-alongside", NUMBER, "coils that wire alone joins to both its ends, itself too", _alongside),
    Word("load", "suppressors-alongside", NUMBER, "suppressors on these coils, built-in ones too", _suppressors),
    Word("load", "suppressor-run", LENGTH, "wire to the nearest suppressor across it, one way", _run, kept=True),
    Word("load", "carried-on", CURRENT, "what each suppressor across it carries on", _carried_on, kept=True),
    Word("load", "volts-left", VOLTAGE, "volts that its suppressors leave when it is switched off", _left, kept=True),
    Word(
        "load",
        PAST,
        CONTACTS,
        "contacts in its earthed return past which an earth fault keeps it on",
        _load_past,
        kept=True,
    ),
    Word(
        "lock",
        PAST,
        CONTACTS,
        "contacts in an earthed return past which an earth fault secures it",
        _lock_past,
        kept=True,
    ),
    Word("suppressor", "absorbs", ENERGY, "what it takes in one surge, as stated", lambda i, u, v: u.number("energy")),
    Word(
        "suppressor",
        "capacitance",
        types.quantity("capacitance"),
        "its capacitance, as stated",
        lambda i, u, v: u.number("farads"),
    ),
    Word(
        "suppressor",
        "resistance",
        types.quantity("resistance"),
        "its resistance in series, as stated",
        lambda i, u, v: u.number("ohms"),
    ),
]
