"""Existing findings: what was found when an old plan was taken on is recorded, and a review then shows what is new.

A record leaves out a finding, never a rule. What is life safety, what could not be read or judged, and what a
variance speaks of is never recorded, and were it in a record it would be shown all the same. A recorded finding
that has become worse, or says anything else, is shown again. Pure: no files, no clock.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from plancheck.finding import Finding
from plancheck.plan.model import Plan
from plancheck.review.report import READING, PlanReport, SetApart
from plancheck.review.worse import Recorded as Recorded
from plancheck.review.worse import RecordedSum as RecordedSum
from plancheck.review.worse import recorded_finding
from plancheck.review.worse import worse as is_worse


@dataclass(frozen=True, slots=True)
class PlanRecord:
    """What was recorded of one plan. `file` is its path from the record's folder, with forward slashes."""

    file: str
    title: str
    findings: tuple[Recorded, ...]


@dataclass(frozen=True, slots=True)
class Record:
    """Existing findings of some plans, as of a day (ISO)."""

    day: str
    plans: Mapping[str, PlanRecord] = field(default_factory=dict)
    """By file."""


def is_recordable(finding: Finding, report: PlanReport) -> bool:
    """Whether a finding may be put on record, and left out for it.

    Not life safety, nor what could not be read, nor what has a variance, nor what speaks of gaps and variances.
    """
    of_plan = finding.rule in report.rules_run and finding.rule not in report.rules_of_review
    return of_plan and finding.rule != READING and not finding.life_safety and finding.variance is None


def recorded(report: PlanReport, file: str) -> PlanRecord:
    """The record of what a review found in a plan."""
    found = [recorded_finding(f) for f in report.findings if is_recordable(f, report)]
    return PlanRecord(file, report.plan.title if report.plan else "", in_order(found))


def in_order(found: Iterable[Recorded]) -> tuple[Recorded, ...]:
    """By rule and thing: an order that no line number, and no other finding, changes."""
    return tuple(sorted(found, key=lambda each: (each.rule, each.subject, each.fingerprint)))


def shortened(plan: PlanRecord, report: PlanReport) -> PlanRecord:
    """The record without the findings that have gone since. Nothing is added, and nothing made worse."""
    gone = {each.fingerprint for each in _gone(plan.findings, report)}
    return replace(plan, findings=tuple(each for each in plan.findings if each.fingerprint not in gone))


# --- a review beside a record ------------------------------------------------------------------------------


def is_of(record: PlanRecord, plan: Plan) -> bool:
    """Whether a record was made of this plan, by its title: names of devices alone are alike in many plans."""
    return record.title == plan.title


def set_apart(report: PlanReport, record: PlanRecord, day: str) -> PlanReport:
    """The report without the recorded findings, and with a word on what became of each."""
    by_print = {each.fingerprint: each for each in record.findings}
    shown: list[Finding] = []
    left_out: list[Finding] = []
    worse: dict[str, str] = {}
    for finding in report.findings:
        before = by_print.get(finding.fingerprint)
        if before is None or before.rule != finding.rule or not is_recordable(finding, report):
            shown.append(finding)
        elif how := is_worse(finding, before):
            shown.append(finding)
            worse[finding.fingerprint] = how
        else:
            left_out.append(finding)
    gone = _gone(record.findings, report)
    found = {finding.fingerprint for finding in report.findings}
    unsure = [each for each in record.findings if each.fingerprint not in found and each not in gone]
    apart = SetApart(day, True, tuple(left_out), worse, _named(gone), _named(unsure))
    return replace(report, findings=tuple(shown), existing=apart)


def _gone(findings: Sequence[Recorded], report: PlanReport) -> tuple[Recorded, ...]:
    """Recorded findings whose rule was run, could judge everything, and found nothing of the kind any more."""
    if report.plan is None or report.mistakes:
        return ()
    found = {finding.fingerprint for finding in report.findings}
    judged = set(report.rules_run) - report.unjudged_rules
    return tuple(each for each in findings if each.fingerprint not in found and each.rule in judged)


def _named(findings: Iterable[Recorded]) -> tuple[tuple[str, str], ...]:
    return tuple((each.rule, each.subject) for each in findings)
