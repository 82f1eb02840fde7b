"""What the documents handed over have in common: title block, tables, lines at the end."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from plancheck.plan.model import Plan
from plancheck.render.columns import padded, width, wrapped
from plancheck.render.layout import Page, entry

GAP = 2
"""Blanks between two columns."""


def title_block(what: str, plan: Plan, page: Page) -> Iterator[str]:
    """The head of a document: what it is, of which plan and revision."""
    yield "═" * page.width
    yield page.paint.strong(what)
    dated = f" of {plan.dated}" if plan.dated else ""
    rows = [
        ("Plan", plan.title or "without a title"),
        ("Revision", f"{plan.revision}{dated}" if plan.revision else "none stated"),
        ("File", plan.source.name),
        ("Jurisdiction", plan.jurisdiction or "none stated"),
    ]
    if plan.editions:
        rows.append(("Editions", ", ".join(edition.text for edition in plan.editions)))
    for label, text in rows:
        yield from entry(label, text, page)
    yield "═" * page.width


def table(head: Sequence[str], rows: Sequence[Sequence[str]], page: Page, indent: int = 0) -> Iterator[str]:
    """A table whose columns are as wide as they need to be; where that is too wide, the widest give way."""
    room = page.width - indent - GAP * (len(head) - 1)
    columns = _columns([head, *rows], room)
    yield from _line(head, columns, page, indent, strong=True)
    yield " " * indent + "─" * (sum(columns) + GAP * (len(columns) - 1))
    for row in rows:
        yield from _line(row, columns, page, indent)


def _columns(rows: Sequence[Sequence[str]], room: int) -> list[int]:
    columns = [
        max(max((width(w) for w in wrapped(row[i], 10_000)), default=1) for row in rows) for i in range(len(rows[0]))
    ]
    columns = [max(1, column) for column in columns]
    while sum(columns) > room and max(columns) > 1:
        columns[columns.index(max(columns))] -= 1
    return columns


def _line(
    row: Sequence[str], columns: Sequence[int], page: Page, indent: int, *, strong: bool = False
) -> Iterator[str]:
    cells = [wrapped(text, column) for text, column in zip(row, columns, strict=True)]
    for i in range(max(map(len, cells))):
        pieces = (padded(cell[i] if i < len(cell) else "", column) for cell, column in zip(cells, columns, strict=True))
        text = (" " * GAP).join(pieces).rstrip()
        yield " " * indent + (page.paint.strong(text) if strong else text)


def closing(not_assessed: Sequence[str], assumed: Sequence[str], cautions: Sequence[str], page: Page) -> Iterator[str]:
    """The lines at the end: what was not assessed, what was assumed, the cautions."""
    yield "═" * page.width
    yield from several("Not assessed", not_assessed or ("nothing that this document tells",), page)
    yield from several("Assumed", assumed, page)
    yield from several("Caution", cautions, page)


def several(label: str, sentences: Iterable[str], page: Page) -> Iterator[str]:
    """Sentences under one label."""
    for number, text in enumerate(sentences):
        yield from entry("" if number else label, text, page)


def joined(lines: Iterable[str]) -> str:
    """Lines as a text."""
    return "\n".join(line.rstrip() for line in lines) + "\n"
