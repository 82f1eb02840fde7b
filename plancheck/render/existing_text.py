"""What is said of existing findings: under a plan's correction list, and when they are put on record."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence, Sized

from plancheck.finding import Finding, Severity
from plancheck.render.layout import Page, entry, headed, plural
from plancheck.review.existing import PlanRecord
from plancheck.review.report import PlanReport, SetApart

NAMED = 6
"""Findings that are named one by one; the rest is counted. The record holds them all."""


def existing_lines(apart: SetApart | None, page: Page) -> Iterator[str]:
    """What was left out of a correction list, and what became of the rest of the record."""
    if apart is None:
        return
    label = "Existing"
    for sentence in _sentences(apart):
        yield from entry(label, sentence, page)
        label = ""


def _sentences(apart: SetApart) -> Iterator[str]:
    if not apart.on_record:
        yield "Nothing is on record of this plan: every finding is shown."
        return
    yield _left_out(apart)
    if apart.worse:
        yield f"{plural(len(apart.worse), 'finding')} on record became worse and {_is(apart.worse)} shown."
    if apart.gone:
        yield (
            f"{plural(len(apart.gone), 'finding')} on record {_has(apart.gone)} gone since: {_named(apart.gone)}. "
            "Shorten the record: plancheck existing PATH --to FILE --shorten."
        )
    if apart.unsure:
        yield f"{plural(len(apart.unsure), 'finding')} on record could not be judged again: {_named(apart.unsure)}."


def _left_out(apart: SetApart) -> str:
    count = len(apart.left_out)
    if not count:
        return f"No finding on record since {apart.day} was left out."
    by_severity = _by_severity([finding.severity for finding in apart.left_out])
    return f"{plural(count, 'finding')} on record since {apart.day} {_is(apart.left_out)} left out ({by_severity})."


def _by_severity(severities: Sequence[Severity]) -> str:
    counted = Counter(severities)
    return ", ".join(plural(counted[severity], severity.value) for severity in Severity if counted[severity])


def _named(found: Sequence[tuple[str, str]]) -> str:
    said = [f"{rule} on {subject}" for rule, subject in found[:NAMED]]
    return ", ".join(said) + (f" and {len(found) - NAMED} more" if len(found) > NAMED else "")


def _is(things: Sized) -> str:
    return "is" if len(things) == 1 else "are"


def _has(things: Sized) -> str:
    return "has" if len(things) == 1 else "have"


# --- putting on record -------------------------------------------------------------------------------------


def recorded_page(
    reports: Sequence[PlanReport],
    plans: Sequence[PlanRecord],
    left: Sequence[Sequence[Finding]],
    to: str,
    page: Page,
) -> str:
    """What was recorded of each plan, and what was not (`left`)."""
    lines: list[str] = []
    for report, plan, others in zip(reports, plans, left, strict=True):
        lines += headed(report.source.name, page)
        severities = [each.severity for each in plan.findings]
        said = f"{plural(len(plan.findings), 'finding')}" + (f" ({_by_severity(severities)})" if severities else "")
        lines += entry("Recorded", said, page)
        for sentence in _not_recorded(others):
            lines += entry("Not recorded", sentence, page)
        lines += _gaps(report, page)
        lines.append("")
    lines += entry("Record", f"{to}; a review leaves out what it holds: plancheck review PATH --existing FILE", page)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _not_recorded(findings: Sequence[Finding]) -> Iterator[str]:
    open_ones = [finding for finding in findings if finding.variance is None]
    life = sum(finding.life_safety for finding in open_ones)
    other, excused = len(open_ones) - life, len(findings) - len(open_ones)
    if life:
        yield f"{life} life safety: always shown, and always counted"
    if other:
        yield f"{plural(other, 'finding')} about what could not be judged, and about variances: always shown"
    if excused:
        yield f"{plural(excused, 'finding')} under a variance: listed as such"


def _gaps(report: PlanReport, page: Page) -> Iterator[str]:
    if not report.wholly_assessed:
        said = f"{plural(len(report.not_assessed), 'point')}: a review keeps saying so, and its exit status stays 2"
        yield from entry("Not assessed", said, page)


def shortened_page(told: Sequence[tuple[PlanReport, PlanRecord | None, PlanRecord | None]], to: str, page: Page) -> str:
    """What was taken out of the record, plan by plan, and what is left."""
    lines: list[str] = []
    for report, before, after in told:
        lines += headed(report.source.name, page)
        if before is None or after is None:
            lines += entry("Left", "Nothing is on record of this plan, and nothing was added.", page)
        else:
            kept = {each.fingerprint for each in after.findings}
            gone = [(each.rule, each.subject) for each in before.findings if each.fingerprint not in kept]
            said = f"{plural(len(gone), 'finding')}: {_named(gone)}" if gone else "nothing has gone"
            lines += entry("Taken out", said, page)
            lines += entry("Left", plural(len(kept), "finding"), page)
        lines += _gaps(report, page)
        lines.append("")
    lines += entry("Record", to, page)
    return "\n".join(line.rstrip() for line in lines) + "\n"
