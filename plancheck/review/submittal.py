"""What is handed over of one plan: its report with the documents that are worked out of it, and what judged it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256

from plancheck.plan.kinds import Kinds
from plancheck.plan.model import Plan
from plancheck.review.acceptance import AcceptanceSheet, acceptance
from plancheck.review.document import (
    Document,
    FailureDocument,
    SequenceDocument,
    document_of,
    failures,
    sequence,
)
from plancheck.review.report import PlanReport
from plancheck.review.review import Reviewed
from plancheck.review.schedules.every import schedules
from plancheck.review.schedules.table import Schedule
from plancheck.rulebook.rule import Rulebook
from plancheck.source import Source

KINDS = "kinds"


@dataclass(frozen=True, slots=True)
class PackSeal:
    """A pack as it judged: how many of its rules were run, and a digest of its texts (SHA-256, hexadecimal).

    The device kinds are one more, without rules.
    """

    name: str
    title: str
    rules: int
    digest: str


@dataclass(frozen=True)
class Submittal:
    """Report and documents of one plan."""

    report: PlanReport
    document: Document
    sequence: SequenceDocument
    failures: FailureDocument
    seals: tuple[PackSeal, ...]
    schedules: tuple[Schedule, ...]
    acceptance: AcceptanceSheet

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.document.plan

    @property
    def wholly_assessed(self) -> bool:
        """Whether everything in it was read, judged and worked out."""
        told = self.sequence
        return (
            self.report.wholly_assessed
            and not told.not_assessed
            and all(door.wholly_assessed for door in told.doors)
            and not self.failures.not_assessed
            and self.failures.table.wholly_assessed
        )


def submittal_of(reviewed: Reviewed) -> Submittal:
    """The package of a plan that has been reviewed. Pure: nothing is worked out twice."""
    document = document_of(reviewed)
    works, holders = document.works, document.works.holders
    told = sequence(document, holders)
    seals = tuple(_seals(reviewed.report, reviewed.kinds, reviewed.rulebook))
    return Submittal(
        reviewed.report,
        document,
        told,
        failures(document, holders),
        seals,
        schedules(works, holders),
        acceptance(works, told, holders),
    )


def _seals(report: PlanReport, kinds: Kinds, rulebook: Rulebook) -> Iterable[PackSeal]:
    texts: dict[str, dict[str, Source]] = {}
    for rule in rulebook.rules:
        texts.setdefault(rule.id.partition("/")[0], {})[rule.at.source.name] = rule.at.source
    for name, sources in sorted(texts.items()):
        run = sum(rule.partition("/")[0] == name for rule in report.rules_run)
        yield PackSeal(name, rulebook.packs.get(name, ""), run, digest(sources.values()))
    declared = {kind.at.source.name: kind.at.source for kind in kinds.by_name.values()}
    yield PackSeal(KINDS, "Device kinds", 0, digest(declared.values()))


def digest(sources: Iterable[Source]) -> str:
    """One digest of several texts, whatever their names and order: of the sorted digests of each."""
    each = sorted(sha256(source.text.encode("utf-8", "surrogatepass")).digest() for source in sources)
    return sha256(b"".join(each)).hexdigest()
