"""The correction list, and the variances."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from plancheck.finding import Finding
from plancheck.render.excerpt import excerpt
from plancheck.render.finding_text import badges, items
from plancheck.render.replay_text import replay_lines
from plancheck.render.submittal.cover import NO_FINDINGS
from plancheck.render.submittal.markup import table, text
from plancheck.review.report import PlanReport
from plancheck.source import Span

COLUMNS = 96
"""Columns of a line of the plan; a longer one is cut around the words that are meant."""

ALSO_SHOWN = 6

Numbered = Sequence[tuple[int, Finding]]


def corrections(report: PlanReport, findings: Numbered, show: Callable[[Finding], str]) -> Iterator[str]:
    """Findings by number; `show` gives what sets the drawing to one of them."""
    yield '<section id="corrections"><h2>Correction list</h2>'
    if not findings:
        yield f"<p>{NO_FINDINGS}</p>"
    for number, finding in findings:
        yield from _finding(number, finding, report, show(finding))
    yield "</section>"
    excepted = [(number, finding) for number, finding in findings if finding.variance is not None]
    yield '<section id="variances"><h2>Variances</h2>'
    if excepted:
        head = ["No.", "Rule", "On", "Reason", "Granted by", "Reference", "Until"]
        yield from table("Findings that a variance excuses", head, [_variance(*each) for each in excepted])
    else:
        yield "<p>No finding is under a variance.</p>"
    yield "</section>"


def _finding(number: int, finding: Finding, report: PlanReport, show: str) -> Iterator[str]:
    badge = " · ".join(badges(finding))
    yield f'<article class="finding {finding.severity.value}" id="finding-{number}">'
    yield f'<h3><span class="number">{number}</span> {text(finding.headline)}</h3>'
    yield f'<p class="badge">{text(badge)} {show}</p><dl>'
    for span in (finding.at, *finding.also_at[:ALSO_SHOWN]):
        yield from _place(span, report)
    before = ""
    replay = "; ".join(replay_lines(finding)).replace(":; ", ": ")
    for label, words in items(finding, " → ".join(finding.path), [replay]):
        if words:
            head = "" if label == before else f"<dt>{text(label)}</dt>"
            yield f"{head}<dd>{text(words)}</dd>"
            before = label
    yield "</dl></article>"


def _place(span: Span, report: PlanReport) -> Iterator[str]:
    marked = excerpt(span, COLUMNS)
    if marked is None:
        return
    where = "" if span.source is report.source else f" of {span.source.name}"
    line, marks = marked
    start = len(marks) - len(marks.lstrip())
    end = start + len(marks.strip())
    shown = f"{text(line[:start])}<mark>{text(line[start:end])}</mark>{text(line[end:])}"
    yield f"<dt>{text(f'Line {span.line}{where}')}</dt><dd><code>{shown}</code></dd>"


def _variance(number: int, finding: Finding) -> list[str]:
    record = finding.variance
    assert record is not None
    said = (finding.rule, finding.subject, record.reason, record.granted_by, record.reference, record.until)
    return [f'<a href="#finding-{number}">{number}</a>', *map(text, said)]
