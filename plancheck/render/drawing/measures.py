"""Measures of a sheet in pixels of 1/96 inch, and how wide text is: all text is of one width a letter."""

from __future__ import annotations

from plancheck.render.columns import shown, width

PITCH = 18.0
"""From one slot to the next."""
MARGIN = 12.0
EDGE = 7.0
"""From a box's edge to the bar that joins the rows of one terminal."""
TRACK = 11.0
LANE = 22.0
SMALL, PLAIN, LARGE = 8.5, 9.0, 11.5
VOLTS = 54.0
"""Room for a meter's reading behind the name of a terminal."""
SIGN = 7.0
"""Half the height of a symbol: two of them are less than a slot."""

_LETTER = 0.61
"""Width of a letter for a height of 1 in the typefaces that are asked for, rounded up."""


def text_width(text: str, size: float) -> float:
    """Pixels that a text takes at most."""
    return width(shown(text)) * size * _LETTER


def cut(text: str, size: float, room: float) -> str:
    """The text, cut short with an ellipsis where it takes more than some pixels."""
    text = shown(text)
    if text_width(text, size) <= room:
        return text
    while text and text_width(text + "…", size) > room:
        text = text[:-1]
    return text.rstrip() + "…"
