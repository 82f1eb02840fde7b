"""The acceptance test sheet as a table to be filled in: one line for each reading, or step without one."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.render.csv_rows import csv_text
from plancheck.review.acceptance import AcceptanceSheet, Reading, Step, condition_words

HEAD = (
    "step", "door", "do", "condition", "must", "from", "to", "mode", "expected V", "least V", "most V",
    "reading V", "as it must", "initials", "date",
)  # fmt: skip


def acceptance_csv(sheet: AcceptanceSheet) -> str:
    """The whole sheet; the cautions stand in the first lines."""
    return csv_text(HEAD, _rows(sheet))


def _rows(sheet: AcceptanceSheet) -> Iterator[list[str]]:
    for caution in (*sheet.cautions, sheet.tolerance):
        yield ["caution", "", caution, *[""] * (len(HEAD) - 3)]
    for step in sheet.steps:
        lead = [step.number, step.door, step.do, condition_words(step.setting), must_words(step)]
        for reading in step.readings:
            yield [*lead, *_reading(reading), "", "", "", ""]
        if not step.readings:
            yield [*lead, *[""] * (len(HEAD) - len(lead))]


def must_words(step: Step) -> str:
    """What each lock or input must do."""
    return "; ".join(f"{part}: {state}" for part, state in step.must)


def _reading(reading: Reading) -> list[str]:
    if reading.why:
        return [reading.plus, reading.minus, reading.mode, f"not assessed: {reading.why}", "", ""]
    return [
        reading.plus,
        reading.minus,
        reading.mode,
        *(f"{v:.2f}" for v in (reading.volts, reading.least, reading.most)),
    ]
