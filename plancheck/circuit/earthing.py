"""Earthing: contacts in the earthed return of a load. An earth fault between load and contact leads past them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from plancheck.circuit.acting import devices_acting_on
from plancheck.circuit.parts import METAL
from plancheck.circuit.variation import AS_DRAWN, WELDED, Failure, Variation
from plancheck.plan.graph import on_the_way

if TYPE_CHECKING:
    from plancheck.circuit.conditions import Truth
    from plancheck.circuit.facts import Facts
    from plancheck.plan.graph import Branch

Ask = Callable[[Variation], "Truth"]


def contacts_in_earthed_return(facts: Facts, load: Branch) -> list[Branch]:
    """Contacts between a load and the earthed pole of a source that can feed it, in plan order."""
    home = facts.engine.home(load.key) if facts.touch.earthed else None
    found: dict[str, Branch] = {}
    for source in home[0].sources if home else ():
        if facts.graph.net(source.b) in facts.touch.earthed:
            found.update((contact.key, contact) for contact in _between(facts, load, source))
    return list(found.values())


def _between(facts: Facts, load: Branch, source: Branch) -> Iterator[Branch]:
    """Contacts on the ways from a source's minus to an end of a load that pass neither its plus nor the other end."""
    metal = [b for b in facts.in_the_way(load) if b.what in METAL]
    for end, other in ((load.a, load.b), (load.b, load.a)):
        barred = {source.a, other}
        ways = [b for b in metal if b.a not in barred and b.b not in barred]
        yield from (b for b in on_the_way(source.b, end, ways) if b.what == "contact")


def load_held_past(facts: Facts, load: Branch) -> list[Branch]:
    """Contacts in a load's earthed return past which an earth fault keeps it on; none where others cut it too.

    Raises NotAssessed.
    """
    contacts = contacts_in_earthed_return(facts, load)
    return contacts if _led_past(contacts, lambda variation: ~facts.energised(load, variation)) else []


def lock_held_past(facts: Facts, lock: str, state: str) -> list[Branch]:
    """Contacts past which an earth fault keeps a lock in a state, by way of its own coil or of one that acts on it.

    Raises NotAssessed.
    """
    found: dict[str, Branch] = {}
    for name in dict.fromkeys((lock, *devices_acting_on(facts, lock))) if facts.touch.earthed else ():
        for load in facts.branches("load", name):
            contacts = contacts_in_earthed_return(facts, load)
            if _led_past(contacts, lambda variation: ~facts.state(lock, state, variation)):
                found.update((contact.key, contact) for contact in contacts)
    return list(found.values())


def _led_past(contacts: list[Branch], let_go: Ask) -> bool:
    """Whether something that surely lets go in some condition does not, with the contacts led past."""
    if not contacts:
        return False
    keys = frozenset(contact.key for contact in contacts)
    fault = Failure(WELDED, f"{contacts[0].device} led past", tuple(sorted(keys)), welded=keys)
    drawn, failed = let_go(AS_DRAWN), let_go(Variation(failure=fault))
    space = drawn.space.joined(failed.space)
    return bool(drawn.over(space).yes & ~failed.over(space).yes)
