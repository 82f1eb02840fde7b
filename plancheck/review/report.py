"""The report of one text: what was found, what was looked at, and what could not be judged."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from plancheck.finding import Finding, Mistake, Severity
from plancheck.plan.model import Plan
from plancheck.review.adopted import PackNote
from plancheck.rulebook.change_cases import ChangeCase
from plancheck.source import Source, Span

READING = "file/reading"
"""The rule of a finding that says a text could not be read: no rule file holds it."""

CAUTION = (
    "This is an aid for the one who reviews, not a decision. The authority having jurisdiction decides; "
    "check local code. Licensed practice and the devices' own listings and instructions govern. "
    "No other rules than these were run."
)


@dataclass(frozen=True, slots=True)
class SetApart:
    """What became of the findings that were on record when the plan was taken on; `day` is that of the record.

    `left_out` were found again, as they were recorded; `worse` tells, by fingerprint, how a finding that is shown
    is worse than recorded. `gone` and `unsure` name rule and thing of those not found again: for the first the rule
    judged everything that it asks about, for the others not. A plan that is not `on_record` is new as a whole.
    """

    day: str
    on_record: bool = True
    left_out: tuple[Finding, ...] = ()
    worse: Mapping[str, str] = field(default_factory=dict)
    gone: tuple[tuple[str, str], ...] = ()
    unsure: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class PlanReport:
    """What a review says about one text. `plan` is None where the text could not be read at all.

    `findings` are sorted, those about reading among them; `not_assessed` and `assumed` are sentences.
    `gaps` counts what rules could not judge: with one of them, nothing may be taken as passed.
    """

    source: Source
    plan: Plan | None
    findings: tuple[Finding, ...]
    rules_run: tuple[str, ...] = ()
    conditions: int = 0
    not_assessed: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    mistakes: tuple[Mistake, ...] = ()
    gaps: int = 0
    packs: tuple[PackNote, ...] = ()
    """In-house packs that applied."""
    house: str = ""
    """Company and file that were obeyed."""
    house_above: str = ""
    """Where none was obeyed: one that stands too far up to be."""
    changes: tuple[ChangeCase, ...] = ()
    """Rules that in-house packs changed, or wanted to."""
    unjudged_rules: frozenset[str] = frozenset()
    """Rules that could not judge something that they ask about."""
    rules_of_review: frozenset[str] = frozenset()
    """Rules that were run and speak of the review itself: of gaps and variances."""
    existing: SetApart | None = None
    """Where the review was held against a record of existing findings; those are not among `findings`."""

    @cached_property
    def wires(self) -> dict[tuple[str, str], Span]:
        """Where each pair of terminals that a wire joins is drawn, by either order."""
        found: dict[tuple[str, str], Span] = {}
        for wire in self.plan.wires if self.plan else ():
            found.setdefault((wire.a.key, wire.b.key), wire.at)
            found.setdefault((wire.b.key, wire.a.key), wire.at)
        return found

    @property
    def wholly_assessed(self) -> bool:
        """Whether everything was read and every rule that was run could judge everything it asks about."""
        return self.plan is not None and not self.mistakes and not self.gaps

    def exceeds(self, threshold: Severity) -> bool:
        """Whether a finding without a variance is at or above a severity."""
        return any(f.severity.rank <= threshold.rank for f in self.findings if f.variance is None)


def unread(source: Source, mistakes: tuple[Mistake, ...]) -> PlanReport:
    """The report of a text that no plan came of: a file that is missing or no text, a broken pack."""
    return PlanReport(source, None, in_order([reading_finding(m) for m in mistakes]), mistakes=mistakes)


def reading_finding(mistake: Mistake) -> Finding:
    """A mistake in a text, as a finding."""
    return Finding(
        rule=READING,
        severity=Severity.ERROR,
        life_safety=False,
        subject=mistake.at.source.name,
        headline=mistake.headline,
        found=mistake.found,
        required=mistake.expected,
        remedy=mistake.hint or "Mend this and review again; what could not be read was not assessed.",
        at=mistake.at,
        also_at=mistake.also_at,
        variant=f"{mistake.headline}\0{mistake.found}",
    )


def in_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """Worst first: reading before rules, open before excepted, then severity, life safety, place and rule.

    Findings that would share a fingerprint are told apart by their order in the text.
    """
    seen: Counter[tuple[str, str, str]] = Counter()
    apart = []
    for finding in sorted(findings, key=lambda f: (f.at.order, f.rule, f.subject, f.variant, f.headline)):
        name = (finding.rule, finding.subject, finding.variant)
        seen[name] += 1
        if seen[name] > 1:
            finding = replace(finding, variant=f"{finding.variant}\0{seen[name]}")
        apart.append(finding)
    return tuple(sorted(apart, key=_weight))


def _weight(finding: Finding) -> tuple[bool, bool, int, bool]:
    return (
        finding.rule != READING,
        finding.variance is not None,
        finding.severity.rank,
        not finding.life_safety,
    )
