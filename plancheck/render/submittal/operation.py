"""The sequence of operation and the single failures, as worked out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from plancheck.render.failures_text import HARMFUL, NAMED
from plancheck.render.layout import plural
from plancheck.render.submittal.markup import listed, rows_of, table, text
from plancheck.render.submittal.settings import Settings, show_button
from plancheck.review.document import FailureDocument
from plancheck.review.failures import NOT_COVERED, Group
from plancheck.review.sentences import sentence, volts
from plancheck.review.sequence import CAUTIONS, DoorSequence, Row


def operation(doors: Sequence[tuple[int, DoorSequence]], settings: Settings) -> Iterator[str]:
    """The sequences of some doors and gates, each with its number in the plan."""
    yield '<section id="operation"><h2>Sequence of operation</h2>'
    yield from listed(CAUTIONS)
    if not doors:
        yield "<p>The plan draws no door, gate or lock: there is no operation to tell.</p>"
    for number, door in doors:
        yield f"<h3>{number} {text(_named(door))}</h3>"
        yield from (f"<p>{text(says)}</p>" for says in door.says)
        if door.rows:
            head = ["No.", "What happens", "Parts", "In words", "Drawing"]
            rows = [_row(f"{number}.{step}", row, door, settings) for step, row in enumerate(door.rows, 1)]
            yield from table(f"Sequence of {_named(door)}", head, rows, wide="shows")
    yield "</section>"


def _named(door: DoorSequence) -> str:
    return f"{door.name or 'Locks that no door names'} {door.title}".rstrip()


def _row(number: str, row: Row, door: DoorSequence, settings: Settings) -> list[str]:
    parts = "<br>".join(f"{text(o.part)}: {text(o.state + volts(o, ' '))}" for o in row.outcomes)
    show = show_button(settings.of(row.setting), f"{number} {row.event}")
    return [number, text(row.event), parts, text(sentence(row, door)), show]


def single_failures(document: FailureDocument, groups: Sequence[Group], settings: Settings) -> Iterator[str]:
    """The table of single failures: what harms first, alike ones together."""
    found = document.table
    yield '<section id="failures"><h2>Single failures</h2>'
    yield from (f"<p>{text(told)}</p>" for told in found.beforehand)
    head = ["No.", "Worst effect", "What comes of it", "After any of", "Drawing"]
    rows = [_group(number, group, settings) for number, group in enumerate(groups, 1) if group.effects]
    if rows:
        yield from table("What one failure does, worst first", head, rows, wide="shows")
    yield from rows_of([(effect, plural(count, "failure")) for effect, count in found.by_effect.items()])
    yield "<h3>Not covered</h3>"
    yield from listed(NOT_COVERED)
    yield "</section>"


def _group(number: int, group: Group, settings: Settings) -> list[str]:
    said = [f"{effect.name} {effect.says}".strip() for effect in group.effects]
    named = len(group.failures) if group.worst in HARMFUL else NAMED
    after = [failure.what for failure in group.failures[:named]]
    if len(group.failures) > named:
        after.append(f"and {len(group.failures) - named} more, which the tables beside this page name")
    first = group.failures[0].what
    setting = settings.of(dict(group.effects[0].condition), first)
    evidence = [group.evidence] if group.evidence else []
    show = show_button(setting, f"failure {number}, {first}") if "failure" in setting else ""
    return [
        str(number),
        text(group.worst),
        "<br>".join(map(text, [*said, *evidence])),
        "<br>".join(map(text, after)),
        show,
    ]
