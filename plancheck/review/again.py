"""One plan reviewed again and again, as its text changes under an author's hands."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import date

from plancheck.circuit.facts import Facts
from plancheck.finding import Finding
from plancheck.plan.include import Include
from plancheck.plan.kinds import Kinds
from plancheck.review.adopted import NOTHING, Adopted
from plancheck.review.report import reading_finding
from plancheck.review.review import review_text
from plancheck.review.worked import Worked
from plancheck.rulebook.rule import Rulebook
from plancheck.source import Source
from plancheck.syntax import read_statements
from plancheck.syntax.nodes import Statement


class Superseded(Exception):
    """Raised by whoever asked for a review to stop it: the text has changed meanwhile."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A text as read: its statements, and what could not be read of it."""

    statements: tuple[Statement, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Reviewed:
    """Everything that a review of a plan says, `findings` in order, in every text of it; and what was worked out."""

    findings: tuple[Finding, ...]
    worked: Worked
    statements: tuple[Statement, ...]
    """Of all texts of the plan: what it uses stands before it."""


class Again:
    """Reviews of one plan: what has not changed since the last one is not worked out anew."""

    def __init__(
        self, kinds: Kinds, rulebook: Rulebook, *, packs: Collection[str] = (), adopted: Adopted = NOTHING
    ) -> None:
        self.kinds, self.rulebook, self.packs, self.adopted = kinds, rulebook, packs, adopted

    def read(self, source: Source) -> Reading:
        """The text alone: what can be said of it at once."""
        statements, mistakes = read_statements(source)
        return Reading(tuple(statements), tuple(reading_finding(mistake) for mistake in mistakes))

    def review(
        self, source: Source, include: Include, today: date, on_progress: Callable[[int, int], None] | None = None
    ) -> Reviewed:
        """The findings that `review_text` has for the same text. What `on_progress` raises ends it."""
        report = review_text(
            source, self.kinds, self.rulebook, include, today,
            packs=self.packs, adopted=self.adopted, on_progress=on_progress,
        )  # fmt: skip
        statements, _ = read_statements(source)
        return Reviewed(tuple(report.findings), Worked((Facts(report.plan),) if report.plan else ()), tuple(statements))
