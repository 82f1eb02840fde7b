"""The line of a source that a finding speaks of, with the part it means marked underneath."""

from __future__ import annotations

from plancheck.render.columns import TAB, glyph, width
from plancheck.source import Span

MARK = "▔"
CUT = "…"
_FAR = 4_000
"""Characters looked at on either side of the mark; a longer line is clipped before it is measured."""


def excerpt(span: Span, columns: int) -> tuple[str, str] | None:
    """A line and the marks below it, at most `columns` wide; None where there is no text to show."""
    if not span.source.text:
        return None
    line_number, column = span.source.position(span.start)
    line = span.source.line(line_number)
    begin = min(column - 1, len(line))
    end = min(max(begin + (span.end - span.start), begin + 1), len(line))
    low, high = max(0, begin - _FAR), min(len(line), begin + _FAR)
    cells = _cells(line[low:high])
    return _clipped(cells, begin - low, max(end, begin + 1) - low, columns, (low > 0, high < len(line)))


def _cells(text: str) -> list[str]:
    """What is shown for each character; a tab fills up to its stop."""
    cells, column = [], 0
    for character in text:
        cell = " " * (TAB - column % TAB) if character == "\t" else glyph(character)
        cells.append(cell)
        column += width(cell)
    return cells


def _clipped(cells: list[str], begin: int, end: int, columns: int, cut: tuple[bool, bool]) -> tuple[str, str]:
    """A window on the cells: as much of the marked ones as fits, and some of what surrounds them."""
    lead = next((i for i, cell in enumerate(cells[:begin]) if cell.strip()), begin) if not cut[0] else 0
    widths = [width(cell) for cell in cells]
    end = min(end, len(cells))
    first, last = _window(widths, lead, begin, end, columns)
    left = CUT if first > lead or cut[0] else ""
    right = CUT if last < len(cells) or cut[1] else ""
    before = left + "".join(cells[first:begin])
    marked = "".join(cells[begin : min(end, last)])
    line = (before + marked + "".join(cells[min(end, last) : last])).rstrip()
    return line + right, " " * width(before) + MARK * max(1, width(marked))


def _window(widths: list[int], lead: int, begin: int, end: int, columns: int) -> tuple[int, int]:
    """First and last cell to show: all if they fit, else the marked ones with what fits around them."""
    # A mark behind the last character, where something is missing, takes a column of its own.
    if sum(widths[lead:]) + (begin >= len(widths)) <= columns:
        return lead, len(widths)
    room = columns - 2
    first, last, taken = begin, begin, 0
    while last < end and taken + widths[last] <= room:
        taken += widths[last]
        last += 1
    while first > lead or last < len(widths):
        grown = False
        if first > lead and taken + widths[first - 1] <= room:
            first, taken, grown = first - 1, taken + widths[first - 1], True
        if last < len(widths) and taken + widths[last] <= room:
            taken, last, grown = taken + widths[last], last + 1, True
        if not grown:
            break
    return first, last
