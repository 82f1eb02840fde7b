"""What is selected next when a selection is widened: a word, its entry, its block, its statement, the text."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.authoring.lexed import Sort, Token, lexed
from plancheck.authoring.names import statement_at
from plancheck.authoring.view import View
from plancheck.source import Span


def widening(view: View, offset: int) -> list[Span]:
    """The spans around an offset, each within the next; the last is the whole text."""
    source = view.source
    spans = [Span(source, 0, len(source.text))]
    statement = statement_at(view.statements, offset)
    if statement is not None:
        inner = within(statement.text, offset - statement.offset)
        spans += [statement.span(start, end) for start, end in inner]
    spans.reverse()
    return [span for i, span in enumerate(spans) if i == 0 or span[1:] != spans[i - 1][1:]]


def within(text: str, offset: int) -> list[tuple[int, int]]:
    """The stretches of a statement around an offset, the widest first."""
    tokens = [token for token in lexed(text) if token.sort is not Sort.COMMENT]
    found = [(0, len(text.rstrip()))]
    found += _blocks(tokens, offset)
    found += _entry(tokens, offset)
    word = next((t for t in tokens if t.start <= offset <= t.end and t.sort is not Sort.LINE_END), None)
    if word is not None:
        found.append((word.start, word.end))
        colon = word.text.find(":") if word.sort is Sort.REFERENCE else -1
        if colon > 0:
            middle = word.start + colon
            found.append((word.start, middle) if offset <= middle else (middle + 1, word.end))
    return [each for each in _nested(found) if each[0] <= offset <= each[1]]


def _nested(found: list[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    before = found[0]
    for start, end in found:
        if before[0] <= start and end <= before[1]:
            before = start, end
            yield start, end


def _blocks(tokens: list[Token], offset: int) -> list[tuple[int, int]]:
    """The blocks around an offset, with their braces and without."""
    opened: list[int] = []
    found: list[tuple[int, int]] = []
    for token in tokens:
        if token.text == "{":
            opened.append(token.start)
        elif token.text == "}" and opened:
            start = opened.pop()
            if start < offset < token.end:
                found.append((start, token.end))
    found.sort(key=lambda block: block[0] - block[1])
    return [part for start, end in found for part in ((start, end), (start + 1, end - 1))]


def _entry(tokens: list[Token], offset: int) -> list[tuple[int, int]]:
    """What stands between two ends of lines, semicolons or braces."""
    ends = [t for t in tokens if t.sort is Sort.LINE_END or t.text in (";", "{", "}")]
    before = max((t.end for t in ends if t.end <= offset), default=0)
    behind = min((t.start for t in ends if t.start >= offset), default=None)
    inside = [t for t in tokens if t.start >= before and (behind is None or t.end <= behind) and t not in ends]
    return [(inside[0].start, inside[-1].end)] if inside else []
