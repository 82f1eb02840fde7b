"""The counterexample of a finding, ready to be done again on site: events, contacts, and what a meter reads."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.circuit.facts import NotAssessed
from plancheck.circuit.replay import truth_at
from plancheck.finding import Replay
from plancheck.plan.graph import Branch
from plancheck.plan.model import Device
from plancheck.rulebook.naming import label
from plancheck.rulebook.scope import Scope, Witness
from plancheck.rulebook.things import Thing
from plancheck.rulebook.witness import away_from_rest, events, power_lost


def replay(scope: Scope, thing: Thing, witness: Witness) -> Replay | None:
    """The replay of a condition at a device or part: by the longest of the paths that its loads or inputs have.

    None where no current passes and no metal joins, or where it could not be worked out.
    """
    facts = scope.inventory.facts
    condition = {s.key: s.rests_on for s in facts.signals.values()} | dict(witness.condition)
    found: Replay | None = None
    try:
        for part in _parts(scope, thing):
            readings = facts.readings(part, condition, witness.variation)
            if readings and (found is None or len(readings) > len(found.readings)):
                made, broken = _contacts(scope, part, condition, witness)
                led = events(scope, witness) or away_from_rest(facts, witness.condition)
                found = Replay((*led, *power_lost(witness)), made, broken, tuple(readings))
    except NotAssessed:
        return None
    return found


def _parts(scope: Scope, thing: Thing) -> Iterator[Branch]:
    match thing:
        case Device():
            yield from scope.inventory.facts.branches("load", thing.name)
        case Branch():
            yield thing


def _contacts(
    scope: Scope, part: Branch, condition: dict[str, bool], witness: Witness
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Contacts in the feed of a part, those that are made and those that are not."""
    made, broken = list[str](), list[str]()
    for contact in scope.inventory.facts.contacts_in_feed(part):
        stands = truth_at(scope.inventory.facts.made(contact, witness.variation), condition)
        if stands is not None:
            (made if stands else broken).append(label(scope.inventory, contact))
    return tuple(made), tuple(broken)
