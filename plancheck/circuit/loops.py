"""Loops of dry inputs: when an input acts, what resistance stands in its loop, and whose contacts command it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from plancheck.circuit.conditions import Truth
from plancheck.circuit.parts import METAL
from plancheck.circuit.variation import AS_DRAWN, Failure, Variation
from plancheck.plan.graph import on_the_way
from plancheck.plan.guard import atoms

if TYPE_CHECKING:
    from plancheck.circuit.facts import Facts
    from plancheck.plan.graph import Branch


def acts(facts: Facts, sense: Branch, variation: Variation = AS_DRAWN) -> Truth:
    """Whether a dry input acts: one that wants closed does when its loop is, one that wants open when it is not.

    One that wants to see a resistor acts when its loop is open, and when metal bridges the resistor. Raises
    NotAssessed.
    """
    made = facts.made(sense, variation)
    match sense.data.get("wants"):
        case "open":
            return ~made
        case "resistance":
            return ~made | bridged(facts, sense, variation)
    return made


def bridged(facts: Facts, sense: Branch, variation: Variation = AS_DRAWN) -> Truth:
    """Whether metal alone, past every resistance, joins the terminals of a dry input. Raises NotAssessed."""
    failure = variation.failure or Failure("", "", ())
    common = _wired_to(facts, sense.b, failure)
    if sense.a in common:
        return Truth.constant(True)
    reached, bridge = {sense.a: Truth.constant(True)}, Truth.constant(False)
    queue = [sense.a]
    while queue:
        terminal = queue.pop(0)
        for other, contact in _ways_on(facts, terminal, failure):
            made = Truth.constant(True) if contact is None else facts.made(contact, variation)
            if other in common:
                bridge = bridge | reached[terminal] & made
                continue
            before = reached.get(other, Truth.constant(False))
            after = before | reached[terminal] & made
            if not _same(before, after):
                reached[other] = after
                queue += [] if other in queue else [other]
    return bridge


def _wired_to(facts: Facts, start: str, failure: Failure) -> set[str]:
    """Terminals that wire alone joins to one, whatever the contacts do."""
    found, queue = {start}, [start]
    while queue:
        for other, contact in _ways_on(facts, queue.pop(), failure):
            if contact is None and other not in found:
                found.add(other)
                queue.append(other)
    return found


def _ways_on(facts: Facts, terminal: str, failure: Failure) -> Iterator[tuple[str, Branch | None]]:
    """Terminals that metal joins to one, with the contact that must be made for it, if any."""
    for branch in facts.graph.at.get(terminal, ()):
        if branch.what in METAL and branch.key not in failure.removed:
            other = branch.b if branch.a == terminal else branch.a
            yield other, branch if branch.what == "contact" else None
    if failure.joined and terminal in failure.joined:
        one, other = failure.joined
        yield other if terminal == one else one, None


def _same(one: Truth, other: Truth) -> bool:
    space = one.space.joined(other.space)
    a, b = one.over(space), other.over(space)
    return (a.yes, a.no) == (b.yes, b.no)


def resistance(facts: Facts, sense: Branch) -> float | None:
    """The resistance that the parts in an input's loop add up to, in ohms; 0 where there is none.

    None where one of them does not state its own. Parts beside one another are added as well: told is what stands
    in the loop, not what a meter shows.
    """
    stated = [b.number("ohms") for b in on_loop(facts, sense) if b.what == "load"]
    given = [ohms for ohms in stated if ohms is not None]
    return sum(given) if len(given) == len(stated) else None


def on_loop(facts: Facts, sense: Branch) -> list[Branch]:
    """Contacts, protectors and resistances on some way from one terminal of an input to the other, in plan order.

    What wire joins is one place: contacts that wire bypasses, as a common run from device to device may, are on none.
    """
    home = facts.engine.home(sense.key)
    net = facts.graph.net
    passing = [
        replace(b, a=net(b.a), b=net(b.b))
        for b in (home[0].branches if home else ())
        if b.what in ("contact", "protector") or (b.what == "load" and b.style == "resistive")
    ]
    start, goal = net(sense.a), net(sense.b)
    if start == goal:
        return []
    on_it = {b.key for b in on_the_way(start, goal, [b for b in passing if b.a != b.b])}
    return [b for b in home[0].branches if b.key in on_it] if home else []


def commanding(facts: Facts, sense: Branch) -> list[Branch]:
    """Contacts on an input's loop and, one behind another, those that decide over what moves them.

    A contact is moved by the loads and dry inputs of its own device that its guard asks about.
    """
    met: dict[str, Branch] = {}
    queue = [b for b in on_loop(facts, sense) if b.what == "contact"]
    while queue:
        contact = queue.pop(0)
        if contact.key in met:
            continue
        met[contact.key] = contact
        names = {atom.name for atom in atoms(contact.guard) if atom.what != "signal"}
        for part in facts.branches(None, contact.device):
            if part.name in names and part.what == "load":
                queue += facts.contacts_in_feed(part)
            elif part.name in names and part.what == "sense":
                queue += [b for b in on_loop(facts, part) if b.what == "contact"]
    return list(met.values())
