"""The schedules, as tables: all of them, or of a page of some doors what concerns these."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from plancheck.render.submittal.markup import listed, table, text
from plancheck.review.schedules.table import Cell, Schedule

OF_THE_WHOLE = ("quantities", "supplies", "batteries")
"""Schedules that stand on the cover of a plan of many doors; the others are told door by door."""

_NAMING = 4
"""Leading cells of a row that may name what it is of."""


def schedule_tables(every: Iterable[Schedule], only: Collection[str] | None = None) -> Iterator[str]:
    """Schedules, or those rows of them that name one of some devices, doors or gates."""
    yield '<section id="schedules"><h2>Schedules</h2>'
    for schedule in every:
        rows = [row for row in schedule.rows if only is None or _names(row) & {*only}]
        if rows:
            cells = [[text(str(cell)) for cell in row] for row in rows]
            yield from table(schedule.title, schedule.head, cells, schedule.numbers)
            yield from listed(schedule.notes) if schedule.notes else ()
        elif only is None:
            yield f"<h3>{text(schedule.title)}</h3><p>The plan has nothing of this.</p>"
    yield "</section>"


def _names(row: tuple[Cell, ...]) -> set[str]:
    parts = (part for cell in row[:_NAMING] if isinstance(cell, str) for part in cell.split(", "))
    return {part.partition(":")[0] for part in parts}
