"""Columns of a terminal: how wide a text shows, what may not reach it as it is, where lines break."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

TAB = 4
"""A tab in a source line is shown as this many columns, so that the mark below it stays under its word."""

# Joiners are needed to write some scripts; every other format character (bidirectional overrides among them)
# could make a line read as something else.
_HARMLESS_FORMAT = {"\u200c", "\u200d"}
_ESCAPED = {"Cc", "Cf", "Cs", "Zl", "Zp"}


def glyph(character: str) -> str:
    """The character as it may be shown: controls, overrides and lone surrogates by their code."""
    if character in _HARMLESS_FORMAT or unicodedata.category(character) not in _ESCAPED:
        return character
    code = ord(character)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def shown(text: str) -> str:
    """A text on one line, without anything that a terminal would obey."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(glyph(c) for c in text)


def width(text: str) -> int:
    """Columns that an already shown text takes: wide characters two, combining ones none."""
    return len(text) if text.isascii() else sum(map(_width_of, text))


def _width_of(character: str) -> int:
    if unicodedata.combining(character) or unicodedata.category(character) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def padded(text: str, columns: int) -> str:
    """The text filled with blanks to a number of columns."""
    return text + " " * max(0, columns - width(text))


def wrapped(text: str, columns: int) -> list[str]:
    """The text, made showable, broken into lines at blanks; a word too long for a line is broken anywhere."""
    lines: list[str] = []
    line = ""
    for word in shown(text).split(" "):
        for piece in _pieces(word, columns):
            joined = f"{line} {piece}" if line else piece
            if line and width(joined) > columns:
                lines.append(line)
                line = piece
            else:
                line = joined
    return [*lines, line]


def _pieces(word: str, columns: int) -> Iterator[str]:
    if width(word) <= columns:
        yield word
        return
    piece, taken = "", 0
    for character in word:
        wide = _width_of(character)
        if taken + wide > columns and piece:
            yield piece
            piece, taken = "", 0
        piece, taken = piece + character, taken + wide
    yield piece
