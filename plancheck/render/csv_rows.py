"""Rows as CSV that no spreadsheet takes for anything but text."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from plancheck.render.columns import shown

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet would take for the beginning of a formula (OWASP, CSV injection)."""


def csv_text(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """The rows under their head, one line each."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(head)
    writer.writerows([cell(text) for text in row] for row in rows)
    return out.getvalue()


def cell(text: str) -> str:
    """A text that is shown as it is, on one line, and not worked out."""
    text = shown(text)
    return f"'{text}" if text.lstrip().startswith(_FORMULA) else text
