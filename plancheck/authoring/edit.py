"""A change of a text that is proposed to its author."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from plancheck.source import Span


@dataclass(frozen=True, slots=True)
class Edit:
    """`text` in the place of a span; the span may be empty."""

    at: Span
    text: str


def applied(text: str, edits: Iterable[Edit]) -> str:
    """A text with edits of it made; they must not overlap. Two at one empty place go in as they come."""
    for edit in sorted(edits, key=lambda edit: edit.at.start, reverse=True):
        text = text[: edit.at.start] + edit.text + text[edit.at.end :]
    return text
