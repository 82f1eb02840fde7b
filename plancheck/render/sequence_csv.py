"""The sequence of operation as CSV: one line for each row and part."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.render.csv_rows import csv_text
from plancheck.review.document import SequenceDocument
from plancheck.units import significant

HEAD = (
    "door", "step", "section", "event", "part", "state", "volts", "whatever else", "changed by", "changed together by",
    "varies with", "afterwards", "notes", "reason",
)  # fmt: skip


def sequence_csv(document: SequenceDocument) -> str:
    """The whole document; what was not assessed besides comes last."""
    return csv_text(HEAD, _rows(document))


def _rows(document: SequenceDocument) -> Iterator[list[str]]:
    for door in document.doors:
        for step, row in enumerate(door.rows, 1):
            for o in row.outcomes:
                yield [
                    door.name, str(step), row.section, row.event, o.part, o.state,
                    "" if o.volts is None else significant(o.volts), "yes" if o.always else "no",
                    "; ".join(o.alone), "; ".join(o.together), "; ".join(o.on), o.after, "; ".join(row.notes), o.why,
                ]  # fmt: skip
    for reason in document.not_assessed:
        yield ["", "", "not assessed", *[""] * 10, reason]
