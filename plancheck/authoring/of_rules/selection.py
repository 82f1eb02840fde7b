"""What is selected next when a selection in a rules file is widened: a word, what it is part of, its rule, the text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from plancheck.authoring.of_rules.lexed import Sort, lexed
from plancheck.rulebook.read import RulesFile
from plancheck.source import Span


def widening(file: RulesFile, offset: int) -> list[Span]:
    """The spans around an offset, each within the next; the last is the whole text."""
    source = file.source
    found = {(0, len(source.text)), *_around(file.statements, offset)}
    found |= {
        (t.start, t.end) for t in lexed(source.text) if t.sort is not Sort.LINE_END and t.start <= offset <= t.end
    }
    spans: list[Span] = []
    for start, end in sorted(found, key=lambda each: (each[1] - each[0], each)):
        if not spans or (start <= spans[-1].start and spans[-1].end <= end):
            spans.append(Span(source, start, end))
    return spans


def _around(node: Any, offset: int) -> Iterator[tuple[int, int]]:
    """The nodes around an offset."""
    if isinstance(node, tuple | list):
        for each in node:
            yield from _around(each, offset)
    elif is_dataclass(node):
        start, end = getattr(node, "start", None), getattr(node, "end", None)
        if isinstance(start, int) and isinstance(end, int):
            if not start <= offset <= end:
                return
            yield start, end
        for field in fields(node):
            yield from _around(getattr(node, field.name), offset)
