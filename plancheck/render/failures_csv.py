"""The table of single failures as CSV: one line for each failure and door or gate that it touches."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.render.csv_rows import csv_text
from plancheck.review.document import FailureDocument
from plancheck.review.failures import NOTHING

HEAD = ("group", "worst effect", "kind", "failure", "door", "effect", "says", "reason")


def failures_csv(document: FailureDocument) -> str:
    """The whole document; what was not assessed comes last."""
    return csv_text(HEAD, _rows(document))


def _rows(document: FailureDocument) -> Iterator[list[str]]:
    for number, group in enumerate(document.table.groups, 1):
        for failure in group.failures:
            lead = [str(number), group.worst, failure.kind, failure.what]
            for effect in group.effects:
                yield [*lead, effect.name, effect.what, effect.says, ""]
            if not group.effects:
                yield [*lead, "", NOTHING, "", ""]
    for reason in document.not_assessed:
        yield ["", "not assessed", "", "", "", "", "", reason]
