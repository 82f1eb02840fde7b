"""The correction list: a report as a plan reviewer's letter."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from plancheck.finding import Finding, Severity
from plancheck.render.changes_text import changed
from plancheck.render.columns import padded, width, wrapped
from plancheck.render.excerpt import excerpt
from plancheck.render.existing_text import existing_lines
from plancheck.render.finding_text import badges, items
from plancheck.render.layout import LABEL, Page, entry, headed, plural
from plancheck.render.replay_text import replay_lines
from plancheck.review.adopted import PackNote
from plancheck.review.report import CAUTION, PlanReport
from plancheck.source import Source, Span

ALSO_SHOWN = 6
"""Further places of one finding that are shown; the rest is counted. JSON holds them all."""


def letter(reports: Sequence[PlanReport], page: Page) -> str:
    """The correction lists of all plans, with what was looked at, and the caution."""
    every_rule = sorted({rule for report in reports for rule in report.rules_run})
    lines: list[str] = []
    for report in reports:
        lines += [*_plan(report, every_rule, page), ""]
    lines += _closing(reports, every_rule, page)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def mistakes_of(reports: Sequence[PlanReport], page: Page) -> str:
    """What could not be read, without anything else that a letter says."""
    lines: list[str] = []
    for report in reports:
        lines += headed(report.source.name, page)
        for number, finding in enumerate(report.findings, 1):
            lines += [*_finding(number, 2, finding, report, page), ""]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _plan(report: PlanReport, every_rule: Sequence[str], page: Page) -> Iterator[str]:
    yield from headed(_title(report), page)
    figures = max(2, len(str(len(report.findings))))
    for number, finding in enumerate(report.findings, 1):
        yield from _finding(number, figures, finding, report, page)
        yield ""
    yield from _summary(report, every_rule, page)


def _title(report: PlanReport) -> str:
    plan = report.plan
    if plan is None:
        return report.source.name
    dated = f" of {plan.dated}" if plan.dated else ""
    revision = f"revision {plan.revision}{dated}" if plan.revision else ""
    return " · ".join(part for part in (plan.title, revision, report.source.name) if part)


def _finding(number: int, figures: int, finding: Finding, report: PlanReport, page: Page) -> Iterator[str]:
    indent = figures + 2
    badge = " · ".join(badges(finding, _on_record(finding, report) != ""))
    head = wrapped(f"{badge}   {finding.headline}", page.width - indent)
    if head[0].startswith(badge):
        head[0] = page.paint.severity(badge, finding.severity) + page.paint.strong(head[0][len(badge) :])
    head[1:] = map(page.paint.strong, head[1:])
    yield f"{number:>{figures}}  {head[0]}"
    yield from (" " * indent + line for line in head[1:])
    yield from (" " * indent + line for line in _body(finding, report, page, page.width - indent))


def _body(finding: Finding, report: PlanReport, page: Page, columns: int) -> Iterator[str]:
    home = report.source
    yield from _place("", finding.at, home, page, columns)
    for span in finding.also_at[:ALSO_SHOWN]:
        yield from _place("also ", span, home, page, columns)
    if len(finding.also_at) > ALSO_SHOWN:
        yield " " * LABEL + f"and {len(finding.also_at) - ALSO_SHOWN} more places"
    replay = replay_lines(finding) if page.full else ()
    before = ""
    for label, text in items(finding, _path(finding, report), replay, _on_record(finding, report)):
        if text:
            yield from entry("" if label == before else label, text, page, columns)
            before = label


def _place(lead: str, span: Span, home: Source, page: Page, columns: int) -> Iterator[str]:
    marked = excerpt(span, columns - LABEL)
    if marked is None:
        return
    if span.source is not home:
        yield from wrapped(f"{lead}in {span.source.name}", columns)
    label = padded(f"{lead}line {span.line}", LABEL - 1) + " "
    line, marks = marked
    yield page.paint.quiet(label) + line
    yield " " * width(label) + marks


def _path(finding: Finding, report: PlanReport) -> str:
    """The terminals that current passes, and where the wires between them are drawn."""
    if not finding.path or report.plan is None:
        return " → ".join(finding.path)
    lines: dict[str, None] = {}
    for here, there in pairwise(finding.path):
        at = report.wires.get((here, there))
        if at is not None:
            lines[str(at.line) if at.source is report.source else f"{at.line} of {at.source.name}"] = None
    drawn = f" (wired in {'line' if len(lines) == 1 else 'lines'} {', '.join(lines)})" if lines else ""
    return " → ".join(finding.path) + drawn


def _on_record(finding: Finding, report: PlanReport) -> str:
    """How a finding is worse than a record says."""
    return report.existing.worse.get(finding.fingerprint, "") if report.existing else ""


def _summary(report: PlanReport, every_rule: Sequence[str], page: Page) -> Iterator[str]:
    yield from entry("Summary", _counted([report]), page)
    yield from existing_lines(report.existing, page)
    if report.plan is None:
        yield from entry("Not assessed", "anything in this file", page)
        return
    yield from entry("Examined", plural(report.conditions, "condition"), page)
    if report.house:
        yield from entry("House file", report.house, page)
    elif report.house_above:
        said = f"none: {report.house_above} stands above and was not obeyed; name it with --house if it holds"
        yield from entry("House file", said, page)
    yield from _list("Packs", map(_pack, report.packs), page)
    yield from _list("Changed", (line for case in report.changes for line in changed(case)), page)
    left_out = sorted(set(every_rule) - set(report.rules_run))
    if left_out:
        yield from entry("Not run here", ", ".join(left_out), page)
    yield from _list("Not assessed", report.not_assessed or ("nothing that the rules ask about",), page)
    yield from _list("Assumed", report.assumed, page)


def _pack(pack: PackNote) -> str:
    return f"{pack.name}{f': {pack.title}' if pack.title else ''} ({pack.why})"


def _list(label: str, sentences: Iterable[str], page: Page) -> Iterator[str]:
    for number, sentence in enumerate(sentences):
        yield from entry("" if number else label, sentence, page)


def _counted(reports: Sequence[PlanReport]) -> str:
    findings = [f for report in reports for f in report.findings]
    if not findings and any(report.existing and report.existing.left_out for report in reports):
        return "No findings but those on record, from the rules that were run."
    if not findings:
        return "No findings from the rules that were run."
    parts = [_severity_count(findings, severity) for severity in Severity]
    excepted = sum(f.variance is not None for f in findings)
    return ", ".join(parts) + (f"; {excepted} of them under a variance" if excepted else "")


def _severity_count(findings: Sequence[Finding], severity: Severity) -> str:
    of_it = [f for f in findings if f.severity is severity]
    life = sum(f.life_safety for f in of_it)
    return plural(len(of_it), severity.value) + (f" ({life} life safety)" if life else "")


def _closing(reports: Sequence[PlanReport], every_rule: Sequence[str], page: Page) -> Iterator[str]:
    yield "═" * page.width
    if len(reports) > 1:
        unread = sum(not report.wholly_assessed for report in reports)
        total = f"{len(reports)} texts: {_counted(reports)}"
        yield from entry("All together", total, page)
        if unread:
            yield from entry("", f"{unread} of them not wholly read or assessed.", page)
    packs = by_pack(every_rule)
    counted = [f"{len(every_rule)}: {', '.join(f'{len(names)} of {pack}' for pack, names in packs.items())}"]
    named = [f"{pack}: {', '.join(names)}" for pack, names in packs.items()]
    yield from _list("Rules run", (named if page.full else counted) if packs else ["none"], page)
    yield from entry("Caution", CAUTION, page)


def by_pack(rules: Sequence[str]) -> dict[str, list[str]]:
    """The names of rules by the pack that they are of."""
    packs: dict[str, list[str]] = {}
    for rule in rules:
        pack, _, name = rule.partition("/")
        packs.setdefault(pack, []).append(name)
    return packs


def plain(text: str) -> str:
    """The text in ASCII as far as its own signs go, for an output that cannot show them."""
    return text.translate(_PLAIN)


_PLAIN = str.maketrans(
    {"─": "-", "═": "=", "▔": "~", "·": "|", "→": ">", "…": "~", "—": "-", "−": "-", "×": "x", "÷": "/",
     "“": '"', "”": '"', "’": "'", "µ": "u", "≤": "<=", "≥": ">="}
)  # fmt: skip
