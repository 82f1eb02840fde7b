"""A plan made ready for the documents that are worked out of it: the sequence of operation, the single failures."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from plancheck.circuit.facts import Facts
from plancheck.finding import Mistake
from plancheck.plan.include import Include
from plancheck.plan.kinds import Kinds
from plancheck.plan.model import Plan
from plancheck.plan.resolve import resolve
from plancheck.review.assumptions import assumptions
from plancheck.review.failures import FailureTable, failure_table
from plancheck.review.operation import Holder, Works
from plancheck.review.review import Reviewed, nothing_drawn, packs_missing
from plancheck.review.sequence import DoorSequence, sequence_of
from plancheck.rulebook.rule import Rulebook
from plancheck.source import Source

PARTLY_READ = "Part of the text could not be read; what follows is about the rest of it."


@dataclass(frozen=True)
class Document:
    """A plan with what could not be read of it, in sentences, and what was taken for granted."""

    works: Works
    unread: tuple[str, ...]
    assumed: tuple[str, ...]

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.works.facts.plan


@dataclass(frozen=True)
class SequenceDocument:
    """The sequence of operation of a plan, or of one of its doors."""

    plan: Plan
    doors: tuple[DoorSequence, ...]
    not_assessed: tuple[str, ...]
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class FailureDocument:
    """The single failures of a plan, or as far as one of its doors feels them."""

    plan: Plan
    table: FailureTable
    names: tuple[str, ...]
    not_assessed: tuple[str, ...]
    assumed: tuple[str, ...]


def read_document(
    source: Source,
    kinds: Kinds,
    rulebook: Rulebook,
    include: Include,
    packs: Collection[str] = (),
    beside: Iterable[Source] = (),
) -> Document:
    """Read a plan and work it out. Pure: the caller reads files."""
    plan, mistakes = resolve(source, kinds, include, beside)
    mistakes += packs_missing(plan, packs)
    if not mistakes:
        mistakes += nothing_drawn(plan, bool(plan.devices))
    facts = Facts(plan)
    unread = [PARTLY_READ, *map(_said, mistakes)] if mistakes else []
    return Document(Works(facts, rulebook), tuple(unread), assumptions(plan, facts))


def document_of(reviewed: Reviewed) -> Document:
    """The same for a plan that has been reviewed already: nothing is worked out twice."""
    mistakes = reviewed.report.mistakes
    unread = [PARTLY_READ, *map(_said, mistakes)] if mistakes else []
    facts = reviewed.facts
    return Document(Works(facts, reviewed.rulebook), tuple(unread), assumptions(facts.plan, facts))


def _said(mistake: Mistake) -> str:
    at = mistake.at
    told = f"{at.source.name}:{at.line}:{at.column}: {mistake.headline}"
    if mistake.found or mistake.expected:
        told += f" (found {mistake.found or 'nothing'}, expected {mistake.expected or 'something else'})"
    return f"{told}. {mistake.hint}".rstrip()


def sequence(document: Document, holders: tuple[Holder, ...]) -> SequenceDocument:
    """The sequence of operation of some doors and gates."""
    doors = tuple(sequence_of(document.works, holder) for holder in holders)
    gaps = [
        f"{door.name} {outcome.part}: {outcome.why}".strip()
        for door in doors
        for outcome in (door.rows[0].outcomes if door.rows else ())
        if outcome.why
    ]
    return SequenceDocument(document.plan, doors, (*document.unread, *gaps), document.assumed)


def failures(document: Document, holders: tuple[Holder, ...]) -> FailureDocument:
    """The table of single failures for some doors and gates."""
    table = failure_table(document.works, holders)
    effects = (e for group in table.groups for e in group.effects if e.what == "not assessed")
    gaps = dict.fromkeys(f"{e.name} {e.says}".strip() for e in effects)
    names = tuple(holder.name or "locks that no door names" for holder in holders)
    return FailureDocument(document.plan, table, names, (*document.unread, *gaps), document.assumed)
