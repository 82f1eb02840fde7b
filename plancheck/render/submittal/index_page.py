"""An index over many plans: what each is, and what came of its review. The table can be sorted by every column."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from plancheck import __version__
from plancheck.finding import Severity
from plancheck.render.layout import plural
from plancheck.render.submittal.assets import asset, head
from plancheck.render.submittal.markup import text
from plancheck.render.text import by_pack
from plancheck.review.report import CAUTION, PlanReport

TITLE = "Index of plans"
GROUPS = (("Plan", ("No.", "Title", "Revision", "Date", "File")), ("Review", ("Result", "Not assessed")))
COUNTED = ("Errors", "Life safety", "Warnings", "Notes", "Under variance")
ON_RECORD = "On record"
"""What a record of existing findings left out; a column only where there was a record."""
_NUMBERS = {"No.", "Not assessed", *COUNTED, ON_RECORD}

RESULTS = (
    UNREAD := "Not read",
    UNJUDGED := "Not wholly assessed",
    FINDINGS := "Findings",
    EXCEPTED := "Findings under a variance",
    LEFT_OUT := "No findings but those on record",
    NOTHING := "No findings from the rules that were run",
)
"""What may come of a plan, the worst first."""

Link = Callable[[PlanReport], str | None]
"""Where there is more to read of a plan."""


@dataclass(frozen=True, slots=True)
class Counts:
    """What a review found, as its letter counts it: what is under a variance, or life safety, is among the rest."""

    errors: int
    life_safety: int
    warnings: int
    notes: int
    under_variance: int


def counts(report: PlanReport) -> Counts:
    """The findings of a plan, without those on record."""
    found = report.findings
    errors, warnings, notes = (sum(f.severity is severity for f in found) for severity in Severity)
    life_safety = sum(f.life_safety for f in found)
    return Counts(errors, life_safety, warnings, notes, sum(f.variance is not None for f in found))


def result(report: PlanReport) -> str:
    """One of the results: what is not assessed counts for more than what was found."""
    if report.plan is None:
        return UNREAD
    if not report.wholly_assessed:
        return UNJUDGED
    if report.findings:
        return FINDINGS if any(finding.variance is None for finding in report.findings) else EXCEPTED
    return LEFT_OUT if report.existing and report.existing.left_out else NOTHING


def index_page(reports: Sequence[PlanReport], day: str, link: Link = lambda report: None) -> str:
    """The page. `day` is that by which variances were judged."""
    return "\n".join(_lines(reports, day, link)) + "\n"


def _lines(reports: Sequence[PlanReport], day: str, link: Link) -> Iterator[str]:
    recorded = any(report.existing is not None for report in reports)
    groups = (*GROUPS, ("Findings", (*COUNTED, ON_RECORD) if recorded else COUNTED))
    yield head(TITLE, asset("index_page.css"), asset("sorting.js"))
    yield f"<main><h1>{TITLE}</h1>"
    yield f'<p class="what">{plural(len(reports), "text")}, judged by {text(day)}, plancheck {__version__}</p>'
    yield f'<div class="scroll" role="region" aria-label="{TITLE}" tabindex="0"><table class="index">'
    yield from _heads(groups)
    yield "<tbody>"
    yield from (_row(number, report, link(report), recorded) for number, report in enumerate(reports, 1))
    yield f"</tbody>{_total(reports, recorded)}</table></div>"
    yield '<p class="unseen" role="status"></p>'
    yield from _foot(reports, recorded)
    yield f"</main><script>{asset('sorting.js')}</script></body></html>"


def _heads(groups: Sequence[tuple[str, Sequence[str]]]) -> Iterator[str]:
    """Buttons that sort; without the script they are headings, and the plans stand in the order given."""
    yield from (f'<colgroup span="{len(names)}"></colgroup>' for _, names in groups)
    yield "<thead><tr>"
    yield from (f'<th scope="colgroup" colspan="{len(names)}">{group}</th>' for group, names in groups)
    yield "</tr><tr>"
    for name in (name for _, names in groups for name in names):
        kind = ' class="number"' if name in _NUMBERS else ""
        sorted_by = ' aria-sort="ascending"' if name == "No." else ""
        yield f'<th scope="col"{kind}{sorted_by}><button type="button" disabled>{name}</button></th>'
    yield "</tr></thead>"


def _row(number: int, report: PlanReport, link: str | None, recorded: bool) -> str:
    plan = report.plan
    title = text(plan.title if plan else "")
    key = "" if title else ' data-key=""'
    named = f'<a href="{text(link)}">{title or "—"}</a>' if link else title or "—"
    words = [plan.revision, plan.dated] if plan else ["", ""]
    said = "".join(f"<td>{text(word)}</td>" for word in (*words, report.source.name))
    came = result(report)
    found = counts(report)
    numbers = [found.errors, found.life_safety, found.warnings, found.notes, found.under_variance]
    if recorded:
        numbers.append(len(report.existing.left_out) if report.existing else 0)
    return (
        f'<tr><td class="number">{number}</td><th scope="row"{key}>{named}</th>{said}'
        f'<td data-key="{RESULTS.index(came)}">{came}</td>{_not_assessed(report)}{"".join(map(_cell, numbers))}</tr>'
    )


def _not_assessed(report: PlanReport) -> str:
    """How many sentences say what was not assessed. A text that could not be read stands behind all numbers."""
    if report.plan is None:
        return '<td class="number" data-key="1e9">all</td>'
    return _cell(len(report.not_assessed))


def _cell(count: int) -> str:
    return f'<td class="number{" some" if count else ""}">{count}</td>'


def _total(reports: Sequence[PlanReport], recorded: bool) -> str:
    """The last line: sums, which are not sorted along."""
    every = [counts(report) for report in reports]
    sums = [sum(len(report.not_assessed) for report in reports), sum(c.errors for c in every)]
    sums += [sum(c.life_safety for c in every), sum(c.warnings for c in every), sum(c.notes for c in every)]
    sums.append(sum(c.under_variance for c in every))
    if recorded:
        sums.append(sum(len(report.existing.left_out) for report in reports if report.existing))
    partly = sum(not report.wholly_assessed for report in reports)
    told = f"{partly} not wholly read or assessed" if partly else ""
    cells = "".join(map(_cell, sums))
    return f'<tfoot><tr><th scope="row" colspan="5">All together</th><td>{told}</td>{cells}</tr></tfoot>'


def _foot(reports: Sequence[PlanReport], recorded: bool) -> Iterator[str]:
    """How to read the numbers; what was run; the caution."""
    yield "<dl>"
    said = [("Life safety", "How many of all findings of a plan guard life, whatever their severity.")]
    said.append(("Under variance", "How many of all findings of a plan stand under a variance; they are counted."))
    if recorded:
        said.append((ON_RECORD, "Existing findings that a record leaves out; they are not counted."))
    packs = by_pack(sorted({rule for report in reports for rule in report.rules_run}))
    rules = ", ".join(f"{len(names)} of {pack}" for pack, names in packs.items())
    said.append(("Rules run", f"{sum(map(len, packs.values()))}: {rules}" if packs else "none"))
    yield from (f"<dt>{label}</dt><dd>{text(words)}</dd>" for label, words in said)
    yield "</dl>"
    yield f'<p class="caution"><strong>Caution.</strong> {text(CAUTION)}</p>'
