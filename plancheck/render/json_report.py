"""Reports as JSON. The models are the contract: their schema is what `schema` returns."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict

from plancheck import __version__
from plancheck.finding import Evidence, Finding, Replay, VarianceRecord
from plancheck.review.report import CAUTION, PlanReport, SetApart
from plancheck.rulebook.change_cases import ChangeCase
from plancheck.source import Span


class _Shape(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Tool(_Shape):
    """Who wrote the report."""

    name: str
    version: str


class PlaceShape(_Shape):
    """A stretch of a file; lines and columns count from 1, in code points, the end is just behind it."""

    file: str
    line: int
    column: int
    end_line: int
    end_column: int


class EvidenceShape(_Shape):
    """One step of the sum behind a finding."""

    what: str
    value: float | str | None
    unit: str
    limit: str


class VarianceShape(_Shape):
    """The variance that a finding stands under."""

    reason: str
    granted_by: str
    reference: str
    until: str


class ReadingShape(_Shape):
    """What a meter reads at a terminal, in volts against the last terminal of the path."""

    terminal: str
    volts: float


class ReplayShape(_Shape):
    """The counterexample step by step: events in their order, contacts of the feed, readings along the path."""

    events: list[str]
    made: list[str]
    broken: list[str]
    readings: list[ReadingShape]


class FindingShape(_Shape):
    """One correction."""

    rule: str
    severity: Literal["error", "warning", "note"]
    life_safety: bool
    subject: str
    headline: str
    found: str
    required: str
    path: list[str]
    evidence: list[EvidenceShape]
    basis: list[str]
    remedy: str
    check_local_code: bool
    at: PlaceShape
    also_at: list[PlaceShape]
    condition: Mapping[str, bool] | None
    failure: str | None
    failures: list[str]
    replay: ReplayShape | None
    fingerprint: str
    variance: VarianceShape | None
    existing: bool
    """Whether it is on record as an existing finding, and left out of the correction list and the exit status."""
    worse_than_recorded: str | None
    """How a recorded finding has become worse; it is not left out then."""


class RecordedShape(_Shape):
    """A recorded finding that was not found again."""

    rule: str
    subject: str


class ExistingShape(_Shape):
    """What became of the existing findings on record. `unsure` could not be judged again."""

    recorded: str
    on_record: bool
    left_out: int
    gone: list[RecordedShape]
    unsure: list[RecordedShape]


class PackShape(_Shape):
    """An in-house pack that applied, and why."""

    name: str
    title: str
    why: str


class EffectShape(_Shape):
    """One thing that a pack wants changed; `against` says who wants it stricter, where it does not hold."""

    says: str
    loosens: bool
    against: str


class ChangeShape(_Shape):
    """What an in-house pack makes of a rule."""

    rule: str
    pack: str
    reason: str
    life_safety: bool
    loosens: bool
    switches_off: bool
    effects: list[EffectShape]
    at: PlaceShape


class PlanShape(_Shape):
    """What was found in one text."""

    file: str
    title: str
    revision: str
    findings: list[FindingShape]
    rules_run: list[str]
    conditions: int
    not_assessed: list[str]
    house: str
    packs: list[PackShape]
    changes: list[ChangeShape]
    existing: ExistingShape | None
    """None where the review was held against no record, or a wrong one."""


class ReportShape(_Shape):
    """A whole review."""

    tool: Tool
    plans: list[PlanShape]
    caution: str


def schema() -> dict[str, Any]:
    """The JSON schema of a report."""
    return ReportShape.model_json_schema()


def as_json(reports: Sequence[PlanReport]) -> str:
    """The reports as JSON text."""
    shape = ReportShape(
        tool=Tool(name="plancheck", version=__version__),
        plans=[_plan(report) for report in reports],
        caution=CAUTION,
    )
    return shape.model_dump_json(indent=2) + "\n"


def _plan(report: PlanReport) -> PlanShape:
    plan, apart = report.plan, report.existing
    worse = apart.worse if apart else {}
    left_out = apart.left_out if apart else ()
    return PlanShape(
        file=report.source.name,
        title=plan.title if plan else "",
        revision=plan.revision if plan else "",
        findings=[
            *(_finding(finding, False, worse.get(finding.fingerprint)) for finding in report.findings),
            *(_finding(finding, True, None) for finding in left_out),
        ],
        rules_run=list(report.rules_run),
        conditions=report.conditions,
        not_assessed=list(report.not_assessed),
        house=report.house,
        packs=[PackShape(name=pack.name, title=pack.title, why=pack.why) for pack in report.packs],
        changes=[_change(case) for case in report.changes],
        existing=None if apart is None else _existing(apart),
    )


def _change(case: ChangeCase) -> ChangeShape:
    return ChangeShape(
        rule=case.change.rule,
        pack=case.change.pack,
        reason=case.change.reason,
        life_safety=case.life_safety,
        loosens=case.loosens,
        switches_off=case.switches_off,
        effects=[EffectShape(says=each.says, loosens=each.loosens, against=each.against) for each in case.effects],
        at=_place(case.change.at),
    )


def _existing(apart: SetApart) -> ExistingShape:
    return ExistingShape(
        recorded=apart.day,
        on_record=apart.on_record,
        left_out=len(apart.left_out),
        gone=[RecordedShape(rule=rule, subject=subject) for rule, subject in apart.gone],
        unsure=[RecordedShape(rule=rule, subject=subject) for rule, subject in apart.unsure],
    )


def _finding(finding: Finding, existing: bool, worse: str | None) -> FindingShape:
    return FindingShape(
        rule=finding.rule,
        severity=finding.severity.value,
        life_safety=finding.life_safety,
        subject=finding.subject,
        headline=finding.headline,
        found=finding.found,
        required=finding.required,
        path=list(finding.path),
        evidence=[_evidence(step) for step in finding.evidence],
        basis=list(finding.basis),
        remedy=finding.remedy,
        check_local_code=finding.check_local_code,
        at=_place(finding.at),
        also_at=[_place(span) for span in finding.also_at],
        condition=None if finding.condition is None else dict(finding.condition),
        failure=finding.failure or None,
        failures=list(finding.failures),
        replay=None if finding.replay is None else _replay(finding.replay),
        fingerprint=finding.fingerprint,
        variance=None if finding.variance is None else _variance(finding.variance),
        existing=existing,
        worse_than_recorded=worse,
    )


def _replay(replay: Replay) -> ReplayShape:
    return ReplayShape(
        events=list(replay.events),
        made=list(replay.made),
        broken=list(replay.broken),
        readings=[ReadingShape(terminal=terminal, volts=volts) for terminal, volts in replay.readings],
    )


def _variance(record: VarianceRecord) -> VarianceShape:
    return VarianceShape(
        reason=record.reason,
        granted_by=record.granted_by,
        reference=record.reference,
        until=record.until,
    )


def _evidence(step: Evidence) -> EvidenceShape:
    value = step.value
    # JSON has no number for "could not be worked out" and "no limit".
    if isinstance(value, float) and not math.isfinite(value):
        value = None if math.isnan(value) else "no limit"
    return EvidenceShape(what=step.what, value=value, unit=step.unit, limit=step.limit)


def _place(span: Span) -> PlaceShape:
    end_line, end_column = span.finish
    return PlaceShape(
        file=span.source.name, line=span.line, column=span.column, end_line=end_line, end_column=end_column
    )
