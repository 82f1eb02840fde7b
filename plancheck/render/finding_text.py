"""What is said of one finding, in the same words wherever it is shown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from plancheck.finding import Evidence, Finding, VarianceRecord
from plancheck.render.layout import plural
from plancheck.review.report import READING
from plancheck.units import significant


def badges(finding: Finding, worse: bool = False) -> Iterator[str]:
    """Severity, and what else is to be seen first."""
    yield finding.severity.name
    if finding.life_safety:
        yield "LIFE SAFETY"
    if finding.variance is not None:
        yield "UNDER VARIANCE"
    if worse:
        yield "WORSE THAN RECORDED"


def items(finding: Finding, path: str, replay: Iterable[str] = (), on_record: str = "") -> Iterator[tuple[str, str]]:
    """Label and text of each thing that there is to say, in order; `path` is as it is to be shown."""
    # A rule without a headline of its own has what was found for one: once is enough.
    yield "Found", "" if finding.found == finding.headline else finding.found
    yield "Required", finding.required
    yield "Failure", _failure(finding)
    yield "Path", path
    yield from (("Replay", step) for step in replay)
    yield from (("Evidence", _evidence(step)) for step in finding.evidence)
    yield "Basis", _basis(finding)
    yield "Variance", _variance(finding.variance)
    yield "On record", on_record
    yield "Remedy", finding.remedy
    yield "Rule", "" if finding.rule == READING else finding.rule


def told(finding: Finding, on_record: str = "") -> Iterator[str]:
    """Everything but headline and place, a line to each thing; `on_record` says how it is worse than recorded."""
    marks = list(badges(finding, on_record != ""))[1:]
    if marks:
        yield " · ".join(marks)
    for label, text in items(finding, " → ".join(finding.path), on_record=on_record):
        if text and label != "Rule":
            yield f"{label}: {text}"


def _failure(finding: Finding) -> str:
    """The failure shown, and how many others do the same."""
    others = len(finding.failures) - 1 if finding.failure else 0
    return finding.failure + (f", and {plural(others, 'other')} like it" if others > 0 else "")


def _evidence(step: Evidence) -> str:
    value = step.value
    said = "" if value is None else value if isinstance(value, str) else significant(value)
    amount = f"{said} {step.unit}".strip()
    limit = f" ({step.limit})" if step.limit else ""
    return f"{step.what}: {amount}{limit}" if amount else f"{step.what}{limit}"


def _basis(finding: Finding) -> str:
    basis = "; ".join(finding.basis)
    if not finding.check_local_code:
        return basis
    return f"{basis} — check local code" if basis else "check local code"


def _variance(record: VarianceRecord | None) -> str:
    if record is None:
        return ""
    granted = f"granted by {record.granted_by}" if record.granted_by else ""
    until = f"until {record.until}" if record.until else ""
    grant = ", ".join(part for part in (granted, record.reference, until) if part)
    return f"{grant}: {record.reason}" if grant else record.reason
