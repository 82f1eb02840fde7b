"""The line under the cursor set in as it should be, while it is typed."""

from __future__ import annotations

from collections.abc import Sequence

from plancheck.authoring.edit import Edit
from plancheck.authoring.fair_lines import STEP
from plancheck.authoring.lexed import Sort, lexed
from plancheck.authoring.names import last_before
from plancheck.source import Source, Span
from plancheck.syntax.nodes import Statement


def fair_typed(statements: Sequence[Statement], source: Source, offset: int) -> list[Edit]:
    """What sets in the line of an offset, after a line end or a brace was typed there; no other line is touched."""
    number = source.position(offset)[0]
    start = source.line_starts[number - 1]
    line = source.line(number)
    words = line.lstrip()
    statement = last_before(statements, start)
    begin = statement.offset if statement else start
    depth = _depth(source.text[begin:start]) - (1 if words.startswith("}") else 0)
    inset = " " * (STEP * max(depth, 0))
    written = line[: len(line) - len(words)]
    if written == inset or (words and depth <= 0 and not words.startswith("}")):
        return []
    return [Edit(Span(source, start, start + len(written)), inset)]


def _depth(text: str) -> int:
    """How many blocks are open at the end of a text."""
    depth = 0
    for token in lexed(text):
        if token.sort is Sort.SIGN and token.text in "{}":
            depth = max(0, depth + (1 if token.text == "{" else -1))
    return depth
