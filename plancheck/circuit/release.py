"""Release: what opens a contact, and what a relay that holds itself in keeps up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plancheck.circuit.acting import devices_acting_on
from plancheck.circuit.conditions import Truth

if TYPE_CHECKING:
    from plancheck.circuit.facts import Facts
    from plancheck.plan.graph import Branch

HELD = " held in from before"
"""How the name of the further signal ends by which a network tells what its relays remember."""
RELEASING = ("exit", "approach", "override", "alarm")
"""Roles of signals that are to let people out."""


def devices_opening(facts: Facts, contact: Branch) -> list[str]:
    """Devices whose button, sensor or alarm, alone and from rest, opens a contact that rests made; in plan order.

    It may do so over relays and inputs. A signal that several devices share counts once, for the nearest of them.
    Raises NotAssessed.
    """
    made = facts.made(contact)
    signals = made.space.signals
    rest = sum(1 << i for i, s in enumerate(signals) if s in facts.signals and facts.signals[s].rests_on)
    if not made.yes >> rest & 1:
        return []
    opening = [
        s
        for i, s in enumerate(signals)
        if s in facts.signals and facts.signals[s].role in RELEASING and made.no >> (rest ^ 1 << i) & 1
    ]
    names = {_nearest(facts, contact, key) for key in opening}
    return [name for name in facts.plan.devices if name in names]


def _nearest(facts: Facts, contact: Branch, key: str) -> str:
    """The device of a signal that acts on a contact most directly."""
    having = [d.name for d in facts.plan.devices.values() if any(s.key == key for s in d.signals.values())]
    if len(having) == 1 or contact.device in having:
        return contact.device if contact.device in having else having[0]
    acting = devices_acting_on(facts, contact.device)
    return next((name for name in acting if name in having), having[0])


def kept_from_before(truth: Truth) -> Truth:
    """Where a statement is true only by what relays remember: with the same signals, from rest, it would be false."""
    held = [i for i, signal in enumerate(truth.space.signals) if signal.endswith(HELD)]
    if not held:
        return Truth.constant(False)
    yes, no = (_forgetting(truth, mask, held) for mask in (truth.yes, truth.no))
    return Truth(truth.space, truth.yes & no, truth.no | yes)


def _forgetting(truth: Truth, mask: int, held: list[int]) -> int:
    """A mask with every condition as it would be if nothing had been held in."""
    for i in held:
        off = mask & ~truth.space.on(truth.space.signals[i])
        mask = off | off << (1 << i)
    return mask


def panel_powered(facts: Facts, device: str) -> Truth:
    """Whether a fire alarm panel that holds in a relay which decides over a device has power."""
    result = Truth.constant(False)
    for name in devices_acting_on(facts, device):
        for own, signal in facts.plan.devices[name].signals.items():
            if signal.role == "panel":
                result = result | facts.signal(name, own)
    return result
