"""Which devices decide over a part: its contacts, what moves them, and what moves that."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plancheck.plan.guard import atoms

if TYPE_CHECKING:
    from plancheck.circuit.facts import Facts
    from plancheck.plan.graph import Branch

MOVED = ("load", "sense")
"""What contacts act on: a load by feeding it, a dry input by joining its terminals."""


def devices_acting_on(facts: Facts, device: str) -> list[str]:
    """Devices whose contacts stand in the feed of a device's loads or on the nets of its dry inputs, and, one behind
    another, those that move them.

    A contact is moved by the coils, electronics and dry inputs of its own device that its guard asks about: these
    by the contacts in their feed, an input by the devices on its net. In the order in which they are met.
    """
    met: dict[str, None] = {}
    asked: set[str] = set()
    queue = [b for b in facts.branches(None, device) if b.what in MOVED]
    while queue:
        part = queue.pop(0)
        if part.key in asked:
            continue
        asked.add(part.key)
        if part.what == "load":
            contacts = facts.contacts_in_feed(part)
        else:
            contacts = [c for name in facts.touching(part) for c in facts.branches("contact", name)]
        for contact in contacts:
            met.setdefault(contact.device)
            queue += _movers(facts, contact)
    return list(met)


def _movers(facts: Facts, contact: Branch) -> list[Branch]:
    """The loads and inputs of its own device that a contact's guard asks about."""
    names = {atom.name for atom in atoms(contact.guard) if atom.what != "signal"}
    return [b for b in facts.branches(None, contact.device) if b.what in MOVED and b.name in names]
