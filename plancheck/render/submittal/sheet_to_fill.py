"""The acceptance test sheet, to be taken to the site: cautions first, blanks for what is read."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from plancheck.render.submittal.cover import BLANK
from plancheck.render.submittal.markup import listed, table, text
from plancheck.review.acceptance import AcceptanceSheet, Reading, Step


def sheet_to_fill(sheet: AcceptanceSheet, doors: Collection[str]) -> Iterator[str]:
    """The steps of some doors and gates, those at the supplies too."""
    yield '<section id="test-sheet"><h2>Acceptance test sheet</h2>'
    yield '<div class="caution"><strong>Cautions.</strong>'
    yield from listed(sheet.cautions)
    yield "</div>"
    yield f"<p>{text(sheet.tolerance)}</p>"
    head = [
        "Step",
        "Do",
        "It must",
        "Meter from",
        "to",
        "Volts",
        "from … to",
        "Reading",
        "As it must",
        "Initials",
        "Date",
    ]
    rows = [row for step in sheet.steps if step.door in doors or step.number == "0.1" for row in _rows(step)]
    yield from table("Steps", head, rows, [5, 6], "blanks")
    yield "</section>"


def _rows(step: Step) -> Iterator[list[str]]:
    must = "<br>".join(f"{text(part)}: {text(state)}" for part, state in step.must)
    notes = "".join(f"<br>{text(note)}" for note in step.notes)
    lead = [step.number, f"{text(step.door)} {text(step.do)}{notes}", must]
    for reading in step.readings:
        yield [*lead, *_reading(reading), BLANK, BLANK, BLANK, BLANK]
        lead = [step.number, "", ""]
    if not step.readings:
        yield [*lead, "", "", "", "", "", BLANK, BLANK, BLANK]


def _reading(reading: Reading) -> list[str]:
    ends = [text(reading.plus), text(reading.minus)]
    if reading.why:
        return [*ends, "not assessed", text(reading.why)]
    return [*ends, f"{reading.volts:.1f} V {reading.mode}", f"{reading.least:.1f} … {reading.most:.1f}"]
