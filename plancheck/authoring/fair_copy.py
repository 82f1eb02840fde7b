"""The fair copy of a text: the same words and the same lines, set in by depth, with one blank between.

What could not be read stays to the letter. Comments stay where they are. Nothing but blanks, empty lines and line
ends ever changes, which is checked before a copy is handed out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from plancheck.authoring.edit import Edit, applied
from plancheck.authoring.fair_gaps import fill_gaps
from plancheck.authoring.fair_lines import Line, lines_of
from plancheck.authoring.lexed import Sort, lexed
from plancheck.source import Source, Span
from plancheck.syntax.reread import ReadText, reread


def fair_copy(source: Source, rules: bool) -> str:
    """The whole text, laid out."""
    return applied(source.text, fair_edits(source, rules))


def fair_edits(source: Source, rules: bool, read: ReadText | None = None) -> list[Edit]:
    """What is to be changed for it, line by line, in order; nothing where nothing needs to be."""
    statements = _rule_statements(source) if rules else _plan_statements(read or reread(source))
    lines = lines_of(source.text, statements, rules)
    fill_gaps(lines)
    edits = list(_edits(source, lines))
    return edits if _words(source.text) == _words(applied(source.text, edits)) else []


def fair_range(source: Source, start: int, end: int, rules: bool) -> list[Edit]:
    """The edits of the lines that a range touches."""
    return [edit for edit in fair_edits(source, rules) if edit.at.start <= end and edit.at.end >= start]


def _words(text: str) -> list[str]:
    """All that carries a meaning: line ends as one, empty lines none."""
    found: list[str] = []
    for token in lexed(text):
        word = "\n" if token.sort is Sort.LINE_END else token.text.rstrip()
        if word != "\n" or (found and found[-1] != "\n"):
            found.append(word)
    return found[:-1] if found[-1:] == ["\n"] else found


def _plan_statements(read: ReadText) -> Iterator[tuple[int, int, bool]]:
    for piece, start in zip(read.pieces, read.starts, strict=True):
        yield start, start + len(piece.text), not piece.broken


def _rule_statements(source: Source) -> Iterator[tuple[int, int, bool]]:
    from plancheck.rulebook.read import read_rules
    from plancheck.rulebook.split import cut

    _, mistakes = read_rules(source)
    wrong = [mistake.at.start for mistake in mistakes]
    pieces = cut(source.text)
    spans = [(chunk.start, chunk.end, True) for chunk in pieces.chunks]
    spans += [(start, end, False) for start, end in pieces.stray]
    for start, end, sound in sorted(spans):
        yield start, end, sound and not any(start <= at <= end for at in wrong)


def _edits(source: Source, lines: Sequence[Line]) -> Iterator[Edit]:
    """Lines as they are to be, one empty line where there are several, none at the beginning, a line end at the end."""
    text = source.text
    line_end = _line_end(text)
    before_empty = True
    last = max((i for i, line in enumerate(lines) if line.tokens or line.kept), default=-1)
    for number, line in enumerate(lines):
        behind = lines[number + 1].start if number + 1 < len(lines) else len(text)
        empty = not line.tokens and not line.kept
        new = "" if number > last or (empty and before_empty) else line.fair(text) + line_end
        before_empty = empty
        if text[line.start : behind] != new:
            yield Edit(Span(source, line.start, behind), new)


def _line_end(text: str) -> str:
    """The text's own, where it has but one."""
    ends = {token.text for token in lexed(text) if token.sort is Sort.LINE_END}
    return "\r\n" if ends == {"\r\n"} else "\n"
