"""An index over many plans: what each is, and what came of its review. The table can be sorted by every column."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from plancheck.finding import Finding, Severity
from plancheck.render.layout import plural
from plancheck.render.submittal.assets import asset, head
from plancheck.render.submittal.markup import text
from plancheck.review.report import CAUTION, PlanReport

TITLE = "Index of plans"
COLUMNS = (
    "Plan",
    "Revision",
    "Date",
    "File",
    "Errors",
    "Life safety",
    "Warnings",
    "Notes",
    "Under variance",
    "Assessed",
)
WHOLLY, PARTLY, UNREAD = "as a whole", "in part", "not read"
_NUMBERS = range(4, 9)


def index_page(reports: Sequence[PlanReport], links: Mapping[str, str]) -> str:
    """The page; `links` leads from the name of a plan's file to what is to be read of it, where there is something."""
    return "\n".join(_lines(reports, links)) + "\n"


def _lines(reports: Sequence[PlanReport], links: Mapping[str, str]) -> Iterator[str]:
    yield head(TITLE)
    yield f"<main><h1>{TITLE}</h1>"
    yield f'<p class="what">{plural(len(reports), "plan")}</p>'
    yield f'<p class="caution"><strong>Caution.</strong> {text(CAUTION)}</p>'
    yield f'<div class="scroll" role="region" aria-label="{TITLE}" tabindex="0"><table class="index"><thead><tr>'
    for number, name in enumerate(COLUMNS):
        kind = ' class="number"' if number in _NUMBERS else ""
        yield f'<th scope="col"{kind}><button type="button" data-column="{number}">{name}</button></th>'
    yield "</tr></thead><tbody>"
    for report in reports:
        yield _row(report, links.get(report.source.name, ""))
    yield f"</tbody></table></div></main><script>{asset('sorting.js')}</script></body></html>"


def _row(report: PlanReport, link: str) -> str:
    plan = report.plan
    title = text((plan.title if plan else "") or report.source.name)
    named = f'<a href="{text(link)}">{title}</a>' if link else title
    said = [text(plan.revision) if plan else "", text(plan.dated) if plan else "", text(report.source.name)]
    counted = "".join(f'<td class="number">{count}</td>' for count in counts(report))
    assessed = WHOLLY if report.wholly_assessed else PARTLY if plan else UNREAD
    cells = "".join(f"<td>{cell}</td>" for cell in said)
    return f'<tr><th scope="row">{named}</th>{cells}{counted}<td>{assessed}</td></tr>'


def counts(report: PlanReport) -> tuple[int, int, int, int, int]:
    """Errors, of these life safety, warnings, notes, and what is under a variance and among none of those."""
    standing = [finding for finding in report.findings if finding.variance is None]

    def of(severity: Severity) -> list[Finding]:
        return [finding for finding in standing if finding.severity is severity]

    errors = of(Severity.ERROR)
    life = sum(finding.life_safety for finding in errors)
    excepted = len(report.findings) - len(standing)
    return len(errors), life, len(of(Severity.WARNING)), len(of(Severity.NOTE)), excepted
