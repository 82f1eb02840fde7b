"""The first pages: what the package is of, who is asked to approve, what was assessed, and by which packs."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck import __version__
from plancheck.finding import Severity
from plancheck.render.layout import plural
from plancheck.render.submittal.markup import listed, rows_of, table, text
from plancheck.review.report import CAUTION
from plancheck.review.submittal import Submittal, digest
from plancheck.units import show

NO_FINDINGS = "No findings from the rules that were run."
BLANK = '<span class="blank"></span>'


def cover(submittal: Submittal) -> Iterator[str]:
    """Title block, what is asked of whom, the caution, and in one look what came of the review."""
    plan, report = submittal.plan, submittal.report
    dated = f" of {plan.dated}" if plan.dated else ""
    yield f'<header id="cover"><h1>{text(plan.title or plan.source.name)}</h1>'
    yield '<p class="what">Submittal: electric locking and gate wiring</p>'
    yield from rows_of(
        [
            ("Revision", f"{plan.revision}{dated}" if plan.revision else "none stated"),
            ("Plan file", plan.source.name),
            ("Digest of its text", digest([plan.source])),
            ("Jurisdiction", plan.jurisdiction or "none stated"),
            ("Editions", ", ".join(edition.text for edition in plan.editions) or "none stated"),
            ("Ambient", f"{_celsius(plan.ambient_low)} to {_celsius(plan.ambient_high)}"),
            ("Made with", f"plancheck {__version__}"),
        ]
    )
    yield f'<p class="caution"><strong>Caution.</strong> {text(CAUTION)}</p>'
    yield f'<p class="result">{text(_result(submittal))}</p>'
    yield from _asked()
    yield "</header>"
    yield '<section id="assessed"><h2>What was assessed, and what was not</h2>'
    failures = sum(submittal.failures.table.by_kind.values())
    yield from rows_of(
        [
            ("Conditions", f"{report.conditions:,} examined"),
            ("Single failures", f"{failures:,} worked out"),
            ("Rules", f"{len(report.rules_run):,} run, of the packs below"),
        ]
    )
    yield "<h3>Not assessed</h3>"
    unjudged = dict.fromkeys([*report.not_assessed, *submittal.sequence.not_assessed, *submittal.failures.not_assessed])
    yield from listed(unjudged or ["nothing that the rules ask about"])
    yield "<h3>Assumed</h3>"
    yield from listed(report.assumed or ["nothing"])
    rows = [
        [text(seal.name), text(seal.title), f"{seal.rules:,}", f"<code>{seal.digest}</code>"]
        for seal in submittal.seals
    ]
    yield from table(
        "Packs of rules and device kinds", ["Pack", "Title", "Rules run", "SHA-256 of its texts"], rows, [2]
    )
    yield "</section>"


def _celsius(kelvin: float) -> str:
    return show(kelvin, "temperature")


def _result(submittal: Submittal) -> str:
    """What came of the review in one sentence: never a verdict."""
    report = submittal.report
    open_ones = [finding for finding in report.findings if finding.variance is None]
    excepted = len(report.findings) - len(open_ones)
    parts = []
    for severity in Severity:
        some = [finding for finding in open_ones if finding.severity is severity]
        if some:
            life = sum(finding.life_safety for finding in some)
            parts.append(plural(len(some), severity.value) + (f" ({life} life safety)" if life else ""))
    told = f"{', '.join(parts)}: see the correction list." if parts else NO_FINDINGS
    if excepted:
        told += f" {plural(excepted, 'finding')} under a variance."
    if not submittal.wholly_assessed:
        told += " Not everything was assessed: see below."
    return told


def _asked() -> Iterator[str]:
    """Who is asked to approve. The names are for those who sign."""
    yield from table(
        "Asked to approve",
        ["Whom", "Name", "Decision and remarks", "Signature", "Date"],
        [[whom, BLANK, BLANK, BLANK, BLANK] for whom in ("Reviewer", "Authority having jurisdiction", "Client")],
        wide="sign",
    )
