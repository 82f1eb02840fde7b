"""The blanks between the words of a line: one, or as many as an author has lined up with the lines around."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

from plancheck.authoring.fair_lines import Line
from plancheck.authoring.lexed import Sort, Token

MOST_ROUNDS = 20


def fill_gaps(lines: Sequence[Line]) -> None:
    """Works out the gaps of all lines. Blanks only go, from round to round, until those that are left line up."""
    for line in lines:
        line.gaps = _as_written(line)
    for _ in range(MOST_ROUNDS):
        if not _closed_up(lines):
            return
    for line in lines:
        line.gaps = [min(gap, 1) if _may_close(line, i) else gap for i, gap in enumerate(line.gaps)]


def _as_written(line: Line) -> list[int]:
    gaps: list[int] = []
    before: Token | None = None
    for token in line.tokens:
        gaps.append(_gap(before, token) if before else 0)
        before = token
    return gaps


def _gap(before: Token, token: Token) -> int:
    """The blanks between two tokens, so that signs stand as they should."""
    written = token.start - before.end
    if token.sort is Sort.COMMENT:
        return max(written, 1)
    if token.text in (";", ",") and token.sort is Sort.SIGN:
        return 0
    after_sign = before.sort is Sort.SIGN and before.text in (";", ",", "{")
    brace = token.sort is Sort.SIGN and token.text in ("{", "}")
    return max(written, 1) if after_sign or brace or _is(before, "}") else written


def _is(token: Token, sign: str) -> bool:
    return token.sort is Sort.SIGN and token.text == sign


def _may_close(line: Line, number: int) -> bool:
    """A comment stands as far out as its author put it."""
    return line.tokens[number].sort is not Sort.COMMENT


def _closed_up(lines: Sequence[Line]) -> bool:
    """Makes one blank of each gap that lines up with nothing; whether there was any."""
    changed = False
    within = _second_columns(lines)
    lined_up = [_columns_that_line_up(lines, number) | within[number] for number in range(len(lines))]
    for line, kept in zip(lines, lined_up, strict=True):
        if line.kept:
            continue
        columns = line.columns()
        for i, gap in enumerate(line.gaps):
            if i and gap > 1 and _may_close(line, i) and columns[i] not in kept:
                line.gaps[i] = 1
                changed = True
                break  # what is behind it moves: the next round sees where to
    return changed


def _columns_that_line_up(lines: Sequence[Line], number: int) -> set[int]:
    """Columns at which words of the next line of code above or below stand."""
    found: set[int] = set()
    for step in (-1, 1):
        other = number + step
        while 0 <= other < len(lines) and lines[other].is_comment:
            other += step
        if 0 <= other < len(lines) and lines[other].tokens:
            found.update(lines[other].columns())
    return found


def _second_columns(lines: Sequence[Line]) -> list[set[int]]:
    """For each line, which of its columns is that of the second word of another line of its statement, set in alike."""
    at: dict[tuple[int, int], Counter[int]] = defaultdict(Counter)
    own = [line.columns()[1:2] if line.statement >= 0 and not line.is_comment else [] for line in lines]
    for line, columns in zip(lines, own, strict=True):
        at[line.statement, line.inset].update(columns)
    found: list[set[int]] = []
    for line, columns in zip(lines, own, strict=True):
        others = at[line.statement, line.inset]
        others.subtract(columns)
        found.append({column for column in line.columns() if others[column] > 0})
        others.update(columns)
    return found
