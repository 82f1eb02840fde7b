"""The table of single failures to be read: worst first, alike ones together, totals, what was not covered."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from plancheck.circuit.variation import Failure
from plancheck.render.columns import wrapped
from plancheck.render.layout import LABEL, Page, entry, plural
from plancheck.render.title_block import closing, joined, several, table, title_block
from plancheck.review.document import FailureDocument
from plancheck.review.failures import LOCKS_IN, NOT_ASSESSED, NOT_COVERED, RUNS, UNPROTECTED, WEAKENS, Group
from plancheck.review.sequence import CAUTIONS

NAMED = 8
"""Failures of one group that are named where they harm nobody; the rest is counted. JSON and CSV hold them all."""
HARMFUL = frozenset({LOCKS_IN, RUNS, UNPROTECTED, NOT_ASSESSED, WEAKENS})
"""Effects of which every failure is named."""


def failures_text(document: FailureDocument, page: Page) -> str:
    """The whole document."""
    found = document.table
    lines = [*title_block("SINGLE FAILURES", document.plan, page)]
    lines += several("Concerns", [", ".join(document.names) or "no door, gate or lock"], page)
    lines += several("Release", [_asked(found.asking)], page)
    lines += several("Beforehand", found.beforehand, page)
    groups = [group for group in found.groups if group.effects]
    for number, group in enumerate(groups, 1):
        lines += ["", *_group(number, group, page)]
    lines += ["", *_totals(document, page)]
    return joined([*lines, "", *_end(document, page)])


def _asked(names: Sequence[str]) -> str:
    if not names:
        return "owed by none of these, by what the plan says of them"
    return f"owed after any single failure by {', '.join(names)}, by the class that the plan gives"


def _group(number: int, group: Group, page: Page) -> Iterator[str]:
    count = plural(len(group.failures), "failure")
    head = f"{number}  {group.worst.upper()}  {count}"
    yield from map(page.paint.strong, wrapped(head, page.width))
    before = ""
    for effect in group.effects:
        place = effect.name or "a lock"
        what = "" if effect.what == group.worst else f"{effect.what}: "
        yield from entry("" if place == before else f"   {place}"[:LABEL], f"{what}{effect.says}", page)
        before = place
    named = len(group.failures) if group.worst in HARMFUL else NAMED
    yield from several("   after", _named(group.failures, named), page)
    if group.evidence:
        yield from entry("   meter", group.evidence, page)


def _named(failures: Sequence[Failure], most: int) -> Iterator[str]:
    for failure in failures[:most]:
        yield failure.what
    if len(failures) > most:
        yield f"and {len(failures) - most} more, which `--as csv` names"


def _totals(document: FailureDocument, page: Page) -> Iterator[str]:
    found = document.table
    total = sum(found.by_kind.values())
    yield from table(
        ("Worst effect", "Failures"),
        [*((w, f"{n:,}") for w, n in found.by_effect.items()), ("all", f"{total:,}")],
        page,
    )
    yield ""
    yield from table(
        ("Kind of failure", "Failures"), [(k, f"{n:,}" if n else "none") for k, n in found.by_kind.items()], page
    )


def _end(document: FailureDocument, page: Page) -> Iterator[str]:
    lines = list(closing(document.not_assessed, document.assumed, CAUTIONS, page))
    yield lines[0]
    yield from several("Not covered", NOT_COVERED, page)
    yield from lines[1:]
