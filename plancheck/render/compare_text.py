"""A comparison of two revisions, to be read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from plancheck.finding import Finding
from plancheck.render.columns import wrapped
from plancheck.render.layout import Page
from plancheck.render.title_block import closing, joined, table
from plancheck.review.comparing.comparison import Change, Comparison, NetChange
from plancheck.review.report import CAUTION

NOTHING = (
    "No electrical change: devices, data, connections, conductors, states at every event and findings are the same."
)
ABSENT = "—"


def compare_text(found: Comparison, page: Page) -> str:
    """The whole comparison."""
    lines = ["═" * page.width, page.paint.strong("REVISIONS COMPARED")]
    for label, plan in (("Old", found.old), ("New", found.new)):
        revision = f"revision {plan.revision} of {plan.dated}" if plan.revision else "without a revision"
        lines += wrapped(f"{label}  {plan.title or 'without a title'}, {revision}, {plan.source.name}", page.width)
    lines.append("═" * page.width)
    if not found.changed:
        lines += ["", *wrapped(NOTHING, page.width)]
    for part in _parts(found, page):
        lines += ["", *part]
    lines += ["", *closing(found.not_assessed, (), (CAUTION,), page)]
    return joined(lines)


def _parts(found: Comparison, page: Page) -> Iterator[list[str]]:
    if found.title:
        yield _changes("Title block", ("What", "Old", "New"), found.title, page, of=False)
    for heading, names in (("Devices come", found.come), ("Devices gone", found.gone)):
        if names:
            yield [page.paint.strong(heading), *wrapped(", ".join(names), page.width)]
    if found.renamed:
        told = ", ".join(f"{old} is now {new}" for old, new in found.renamed)
        yield [page.paint.strong("Devices renamed"), *wrapped(told, page.width)]
    if found.data:
        yield _changes("Data", ("Device", "What", "Old", "New"), found.data, page)
    if found.nets:
        yield [page.paint.strong("Connections"), *(line for net in found.nets for line in _net(net, page))]
    if found.conductors:
        yield _changes("Conductors", ("Wire", "Old", "New"), found.conductors, page, what=False)
    if found.states:
        yield _changes("Locks and inputs", ("Which", "When", "Old", "New"), found.states, page)
    for heading, findings in (("Findings come", found.findings_come), ("Findings gone", found.findings_gone)):
        if findings:
            yield [page.paint.strong(heading), *(line for f in findings for line in _finding(f, page))]
    if found.findings_changed:
        yield _changes("Findings that weigh otherwise", ("On", "Rule", "Old", "New"), found.findings_changed, page)


def _changes(
    heading: str, head: Sequence[str], changes: Sequence[Change], page: Page, *, of: bool = True, what: bool = True
) -> list[str]:
    rows = [
        [
            *([change.of] if of else []),
            *([change.what] if what else []),
            change.old or ABSENT,
            change.new or ABSENT,
        ]
        for change in changes
    ]
    return [page.paint.strong(heading), *table(head, rows, page)]


def _net(net: NetChange, page: Page) -> Iterator[str]:
    """A net in a sentence: what came to it, what left it."""
    told = []
    if net.joined and net.stayed:
        told.append(f"{', '.join(net.joined)} joined to {', '.join(net.stayed)}")
    elif net.joined:
        told.append(f"{', '.join(net.joined)} joined")
    if net.left:
        told.append(f"{', '.join(net.left)} no longer joined" + (f" to {', '.join(net.stayed)}" if net.stayed else ""))
    first, *rest = wrapped("; ".join(told), page.width - 2)
    yield f"· {first}"
    yield from (f"  {line}" for line in rest)


def _finding(finding: Finding, page: Page) -> Iterator[str]:
    life = ", life safety, check local code" if finding.life_safety else ""
    first, *rest = wrapped(f"{finding.severity.value}{life}: {finding.headline} ({finding.rule})", page.width - 2)
    yield f"· {first}"
    yield from (f"  {line}" for line in rest)
