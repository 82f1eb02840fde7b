"""The sequence of operation to be read: for each door numbered sentences, then the table."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.render.columns import wrapped
from plancheck.render.layout import Page
from plancheck.render.title_block import closing, joined, table, title_block
from plancheck.review.document import SequenceDocument
from plancheck.review.sentences import changed, sentence, volts
from plancheck.review.sequence import CAUTIONS, DoorSequence, Outcome, Row

_NUMBER = 6
"""Columns that the number of a sentence takes at least."""


def sequence_text(document: SequenceDocument, page: Page) -> str:
    """The whole document."""
    lines = [*title_block("SEQUENCE OF OPERATION", document.plan, page)]
    for number, door in enumerate(document.doors, 1):
        lines += ["", *_door(number, door, page)]
    if not document.doors:
        lines += ["", *wrapped("The plan draws no door, gate or lock: there is no operation to tell.", page.width)]
    lines += ["", *closing(document.not_assessed, document.assumed, CAUTIONS, page)]
    return joined(lines)


def heading(number: int, name: str, title: str, page: Page) -> Iterator[str]:
    """A numbered heading of a door or gate."""
    text = f"{number}  {name or 'Locks that no door names'}" + (f"  “{title}”" if title else "")
    yield from map(page.paint.strong, wrapped(text, page.width))
    yield "─" * page.width


def _door(number: int, door: DoorSequence, page: Page) -> Iterator[str]:
    yield from heading(number, door.name, door.title, page)
    for text in door.says:
        yield from ("   " + line for line in wrapped(text, page.width - 3))
    if not door.rows:
        return
    yield ""
    columns = max(_NUMBER, len(f"{number}.{len(door.rows)} "))
    for step, row in enumerate(door.rows, 1):
        first, *others = wrapped(sentence(row, door), page.width - columns)
        yield f"{number}.{step}".ljust(columns) + first
        yield from (" " * columns + line for line in others)
    yield ""
    yield from table(("No.", "Event", "Part", "State", "Whatever else"), [*_rows(number, door)], page)


def _rows(number: int, door: DoorSequence) -> Iterator[tuple[str, ...]]:
    normal = door.rows[0]
    for step, row in enumerate(door.rows, 1):
        before = (f"{number}.{step}", row.event)
        for outcome in _told(row, normal):
            yield (*before, outcome.part, _state(outcome), _also(outcome))
            before = ("", "")
        if before[0]:
            yield (*before, "all", "as in normal", "")


def _told(row: Row, normal: Row) -> list[Outcome]:
    """Of normal condition, and of a door with one part, everything; else only what stands otherwise."""
    if row is normal or len(row.outcomes) == 1:
        return list(row.outcomes)
    return [one for one, usual in zip(row.outcomes, normal.outcomes, strict=True) if changed(one, usual)]


def _state(outcome: Outcome) -> str:
    return outcome.state + volts(outcome, " ")


def _also(outcome: Outcome) -> str:
    """Whether other things could change it: the sentences say which."""
    if outcome.after:
        return f"afterwards {outcome.after}"
    if outcome.always:
        return "the same"
    return "may change" if outcome.alone or outcome.together or outcome.on else ""
