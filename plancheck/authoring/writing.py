"""Where in an unfinished text the author is: in which statement, in whose block, behind which words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from plancheck.authoring.lexed import Sort, Token, lexed

_GOING_ON = ("to", "in")
"""Words with which a line goes on with the statement of the line before it."""


@dataclass(slots=True)
class Writing:
    """`said` is what stands before the cursor in its statement or entry; `heads` what stands before each open brace.

    `begun` is the word that the cursor is in or behind, None where it stands free. `entries` are the other entries of
    the block around it, those behind the cursor among them.
    """

    said: list[Token]
    heads: list[list[Token]]
    begun: Token | None
    entries: list[list[Token]] = field(default_factory=list)


def writing_at(text: str, offset: int) -> Writing | None:
    """The place of the cursor in a text that begins with its statement; None in a comment or behind a text's quote."""
    before, begun = _before(text, offset)
    if before is None:
        return None
    stack: list[tuple[list[Token], list[list[Token]]]] = []
    current: list[Token] = []
    line_before: list[Token] = []
    entries: list[list[Token]] = []
    for token in before:
        if token.text == "{":
            stack.append((current or line_before, entries))
            current, line_before, entries = [], [], []
        elif token.text == "}":
            current, line_before, entries = [], [], stack.pop()[1] if stack else []
        elif token.sort is Sort.LINE_END or token.text == ";":
            if current:
                entries.append(current)
                line_before = current if token.sort is Sort.LINE_END else []
            current = []
        elif not current and line_before and token.text in _GOING_ON:
            entries.pop()
            current = [*line_before, token]
        else:
            current.append(token)
    writing = Writing(current, [head for head, _ in stack], begun, entries)
    writing.entries += _behind(text, offset) if stack else []
    return writing


def _before(text: str, offset: int) -> tuple[list[Token] | None, Token | None]:
    """The tokens before the cursor, without the word that it is in."""
    found: list[Token] = []
    for token in lexed(text):
        if token.start >= offset:
            break
        inside = offset <= token.end if token.sort in (Sort.NAME, Sort.REFERENCE) else offset < token.end
        if token.sort is Sort.COMMENT:
            if offset <= token.end:
                return None, None
            continue
        if token.sort is Sort.STRING and (inside or not token.text.endswith('"') or len(token.text) == 1):
            return (found, token) if offset <= token.end else (None, None)
        if inside:
            return found, Token(token.sort, token.text[: offset - token.start], token.start)
        found.append(token)
    return found, None


def _behind(text: str, offset: int) -> list[list[Token]]:
    """The entries behind the cursor, up to the end of its block."""
    entries: list[list[Token]] = [[]]
    depth = 0
    for token in lexed(text):
        if token.start < offset or token.sort is Sort.COMMENT:
            continue
        depth += (token.text == "{") - (token.text == "}")
        if depth < 0:
            break
        if token.sort is Sort.LINE_END or token.text == ";":
            entries.append([])
        else:
            entries[-1].append(token)
    return [entry for entry in entries[1:] if entry]


def leads(entries: Sequence[Sequence[Token]]) -> set[str]:
    """The first words of entries."""
    return {entry[0].text for entry in entries if entry}
