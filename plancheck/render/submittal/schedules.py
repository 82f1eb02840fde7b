"""The schedules, as tables."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from plancheck.render.submittal.markup import listed, table, text
from plancheck.review.schedules.table import Schedule


def schedule_tables(every: Iterable[Schedule], only: Collection[str] | None = None) -> Iterator[str]:
    """Schedules, or those rows of them of which the first cell is among `only`."""
    yield '<section id="schedules"><h2>Schedules</h2>'
    for schedule in every:
        rows = [[text(str(cell)) for cell in row] for row in schedule.rows if only is None or str(row[0]) in only]
        if rows:
            yield from table(schedule.title, schedule.head, rows, schedule.numbers)
            yield from listed(schedule.notes) if schedule.notes else ()
        elif only is None:
            yield f"<h3>{text(schedule.title)}</h3><p>The plan has nothing of this.</p>"
    yield "</section>"
