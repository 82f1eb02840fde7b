"""Positions of the protocol, by its specification (LSP 3.17, "Position"), in texts that are hard to count in.

Widths by the Unicode standard: U+1F6AA (a door) is two UTF-16 units and four bytes of UTF-8; U+00E9 one and two; the
combining acute U+0301 one and two.
"""

from __future__ import annotations

import random

import pytest
from lsprotocol.types import Position, PositionEncodingKind, Range, TextDocumentContentChangePartial

from plancheck.editor.documents import Documents
from plancheck.editor.positions import Positions
from plancheck.source import Source

DOOR = "\U0001f6aa"
HARD = f"a{DOOR}b\r\né\te\u0301x\rform\x0cfeed\u2028same line\n\nlast"
ENCODINGS = [PositionEncodingKind.Utf8, PositionEncodingKind.Utf16, PositionEncodingKind.Utf32]


@pytest.mark.parametrize(("encoding", "character"), [("utf-8", 5), ("utf-16", 3), ("utf-32", 2)])
def test_an_emoji_is_as_wide_as_its_encoding(encoding: str, character: int) -> None:
    positions, source = Positions(encoding), Source("a", HARD)
    assert positions.position(source, 2) == Position(0, character)
    assert positions.offset(source, Position(0, character)) == 2


def test_half_a_character_counts_as_its_beginning() -> None:
    positions = Positions(PositionEncodingKind.Utf16)
    assert positions.offset(Source("a", HARD), Position(0, 2)) == 1
    assert Positions(PositionEncodingKind.Utf8).offset(Source("a", HARD), Position(0, 4)) == 1


def test_lines_end_at_three_ends_and_no_others() -> None:
    source = Source("a", HARD)
    positions = Positions()
    # a door b CR LF | é TAB e ´ x CR | form FF feed LS same line LF | LF | last
    assert positions.position(source, HARD.index("form")) == Position(2, 0)
    assert positions.position(source, HARD.index("same")) == Position(2, len("form\x0cfeed\u2028"))
    assert positions.position(source, HARD.index("last")) == Position(4, 0)
    assert positions.offset(source, Position(1, 5)) == HARD.index("x") + 1
    assert positions.offset(source, Position(1, 99)) == HARD.index("x") + 1
    assert positions.offset(source, Position(9, 9)) == len(HARD)


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_there_and_back(encoding: PositionEncodingKind) -> None:
    positions, source = Positions(encoding), Source("a", HARD)
    for offset in range(len(HARD) + 1):
        if HARD[offset - 1 : offset + 1] != "\r\n":
            assert positions.offset(source, positions.position(source, offset)) == offset


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_changes_one_after_another_give_the_text(encoding: PositionEncodingKind) -> None:
    """The expected text is cut and joined by offsets alone, which the protocol knows nothing of."""
    rng = random.Random(7)
    positions, documents = Positions(encoding), Documents()
    documents.open("file:///a.plan", 1, HARD)
    text = HARD
    for version in range(2, 300):
        changes = []
        for _ in range(rng.randrange(1, 4)):
            source = Source("a", text)
            start = rng.randrange(len(text) + 1)
            end = min(len(text), start + rng.choice((0, 0, 1, 5)))
            # Between CR and LF there is no position.
            start, end = (at - (text[at - 1 : at + 1] == "\r\n") for at in (start, end))
            new = rng.choice(("", "x", DOOR, "\r\n", "\r", "é\n", "\x0c"))
            where = Range(positions.position(source, start), positions.position(source, end))
            changes.append(TextDocumentContentChangePartial(where, new))
            text = text[:start] + new + text[end:]
        document = documents.change("file:///a.plan", version, changes, positions)
        assert document is not None
        assert document.source.text == text
        assert document.version == version
