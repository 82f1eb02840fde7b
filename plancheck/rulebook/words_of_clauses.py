"""Facts of the clause that a door claims, held against the tables of clauses by edition."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from plancheck.plan.edition import Edition
from plancheck.plan.model import Device, Plan
from plancheck.rulebook.things import Inventory
from plancheck.rulebook.topics import PUBLISHED, Claimed, as_held, cite, general, of_class, read_claim, topics_of
from plancheck.rulebook.types import TEXT, YES_NO
from plancheck.rulebook.vocabulary import Word

if TYPE_CHECKING:
    from plancheck.circuit.variation import Variation


def _editions(inventory: Inventory, plan: Plan, variation: Variation) -> str | None:
    return ", ".join(edition.text for edition in plan.editions) or None


def _claim(door: Device) -> Claimed | None:
    text = door.get("claimed-clause")
    return read_claim(text) if isinstance(text, str) else None


def _topic(inventory: Inventory, door: Device, variation: Variation) -> str | None:
    """Titles of the topics of the claimed clause."""
    claimed = _claim(door)
    found = [topic.short for topic, _ in topics_of(claimed, inventory.topics.values())] if claimed else []
    return " or ".join(found) or None


def _of_another_class(published: bool) -> Callable[[Inventory, Device, Variation], bool]:
    """Whether the tables give the claimed clause to other classes than the door's, by rows published or not."""

    def read(inventory: Inventory, door: Device, variation: Variation) -> bool:
        claimed, egress = _claim(door), door.get("egress")
        if claimed is None or not isinstance(egress, str):
            return False
        topics = inventory.topics
        found = list(topics_of(claimed, topics.values()))
        if any(not clause.pack for _, clause in found):  # Of what the shipped tables know, no pack says otherwise.
            topics = {topic.name: topic for topic in as_held(topics.values())}
            found = list(topics_of(claimed, topics.values()))
        if any(egress in topic.classes for topic, _ in found) or general(claimed, egress, topics):
            return False
        return bool(found) and published is any(clause.grade == PUBLISHED for _, clause in found)

    return read


def _another_edition(inventory: Inventory, door: Device, variation: Variation) -> bool:
    """Whether the plan names another edition of the claimed code than the door does."""
    claimed, named = _claim(door), _named_edition(inventory, door)
    return claimed is not None and named is not None and named.year != claimed.edition.year


def _named_edition(inventory: Inventory, door: Device) -> Edition | None:
    claimed = _claim(door)
    editions = inventory.plan.editions if claimed else ()
    return next((e for e in editions if claimed and e.same_code(claimed.edition)), None)


def _named(inventory: Inventory, door: Device, variation: Variation) -> str | None:
    named = _named_edition(inventory, door)
    return named.text if named else None


def _clause_of_class(inventory: Inventory, door: Device, variation: Variation) -> str | None:
    """The clause of its class: in the plan's editions, else in that which the door claims, else in the newest."""
    egress, claimed = door.get("egress"), _claim(door)
    topics = of_class(egress, inventory.topics) if isinstance(egress, str) else []
    editions = inventory.plan.editions or ((claimed.edition,) if claimed else ())
    return "; ".join(cite(topics, editions)) or None


CLAUSE_WORDS = [
    Word("plan", "editions", TEXT, "the editions of codes that it names", _editions, written='edition "IBC 2018"'),
    Word("door", "claimed-topic", TEXT, "what the tables of clauses say that the claimed clause is about", _topic),
    Word(
        "door",
        "claims-clause-of-another-class",
        YES_NO,
        "the tables give the claimed clause, as it was published, to other egress classes than the door's",
        _of_another_class(published=True),
    ),
    Word(
        "door",
        "may-claim-clause-of-another-class",
        YES_NO,
        "the same, by a number of the tables that is from memory",
        _of_another_class(published=False),
    ),
    Word(
        "door",
        "claims-another-edition",
        YES_NO,
        "its clause is of another edition than the plan names of that code",
        _another_edition,
    ),
    Word("door", "edition-of-claimed-code", TEXT, "the edition that the plan names of the code that it claims", _named),
    Word(
        "door",
        "clause-of-class",
        TEXT,
        "the clause of its egress class by the tables: in the plan's editions, else in the one that it claims, else "
        "in the newest",
        _clause_of_class,
    ),
]
