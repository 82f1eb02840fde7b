"""Texts to statements. Nothing raises: what cannot be read becomes a mistake, and reading goes on behind it."""

from __future__ import annotations

from functools import lru_cache

from plancheck.finding import Mistake
from plancheck.source import Source, Span
from plancheck.syntax import nodes, tree
from plancheck.syntax.kept import Kept
from plancheck.syntax.nodes import Statement
from plancheck.syntax.recover import Reading, recover
from plancheck.syntax.split import Chunk, split
from plancheck.syntax.tree import parser
from plancheck.syntax.wording import Slip

MOST_MISTAKES = 1_000
"""Mistakes told of one text; past them the rest is not read."""
LONGEST_LINE = 10_000
"""Characters in a line that is read."""
LONGEST_STATEMENT = 4_000_000
"""Characters in a statement that is read."""
LONGEST_TEXT = 20_000_000
"""Characters in a text that is read."""
REMEMBERED = 32_768
"""Statements of a plan of which something is kept, by their text."""
RECENT = 512
"""Statements kept as read for texts that come back soon, such as one that was changed and is changed back.

Those of a text that is read again and again are kept with it.
"""
KEPT = Kept("plan", nodes, tree)
"""The shipped files of kinds, by their text: place and node of each statement."""


def read_statements(source: Source) -> tuple[list[Statement], list[Mistake]]:
    """Every statement of a text, sound or broken, and every mistake found in reading them."""
    if (kept := KEPT.get(source.text)) is not None:
        return [Statement(source, start, source.text[start:end], node) for start, end, node in kept], []
    if (refusal := not_text(source)) is not None:
        return [], [refusal]
    statements: list[Statement] = []
    mistakes: list[Mistake] = []
    chunks = split(source.text)
    if not chunks:
        return [], [empty(source)]
    for chunk in chunks:
        piece = source.text[chunk.start : chunk.end]
        reading = read_chunk(piece, chunk, last=chunk is chunks[-1])
        statements.append(Statement(source, chunk.start, piece, reading.node, bool(reading.slips)))
        if reading.slips:
            mistakes += (placed(slip, source, chunk.start) for slip in reading.slips)
            if len(mistakes) >= MOST_MISTAKES:
                return statements, [*mistakes[:MOST_MISTAKES], _rest_not_read(source, chunk.end)]
    return statements, mistakes


def empty(source: Source) -> Mistake:
    """Tells that a text has no statement."""
    return Mistake(Span(source, 0, 0), "The text is empty", "no statement", "a plan")


def read_chunk(text: str, chunk: Chunk, last: bool) -> Reading:
    """The statement of a chunk, of which `text` is the text; `last` is the chunk behind which no other stands."""
    if chunk.unclosed or chunk.end - chunk.start > LONGEST_LINE:
        return _read_odd(text, chunk, last)
    return read_text(text)


@lru_cache(maxsize=RECENT)
def read_text(text: str) -> Reading:
    """One statement's text, remembered; the same text gives the same node wherever it stands."""
    from lark.exceptions import UnexpectedInput

    try:
        return Reading(parser().parse(text, start="statement"))
    except UnexpectedInput:
        return recover(text)


def _read_odd(text: str, chunk: Chunk, last: bool) -> Reading:
    """A statement that is too long, or whose braces do not close."""
    longest = max(map(len, text.splitlines()))
    if longest > LONGEST_LINE:
        return Reading(None, (_too_long(f"a line of {longest:,} characters", f"{LONGEST_LINE:,} in a line"),))
    if len(text) > LONGEST_STATEMENT:
        return Reading(None, (_too_long(f"{len(text):,} characters", f"{LONGEST_STATEMENT:,} in a statement"),))
    if not chunk.unclosed:
        return read_text(text)
    reading = recover(text + "\n" + "}" * len(chunk.unclosed))
    opened = chunk.unclosed[0] - chunk.start
    found = "the end of the text" if last else "the next statement"
    hint = "Close the block with “}”, and indent the lines inside it."
    never = Slip(opened, opened + 1, "This “{” is never closed", found, "“}”", hint)
    return Reading(reading.node, (never, *(s for s in reading.slips if s.end <= len(text))))


def _too_long(found: str, most: str) -> Slip:
    return Slip(0, 1, "This statement is too long to be read", found, f"at most {most}")


def not_text(source: Source) -> Mistake | None:
    nul = source.text.find("\0")
    if nul >= 0:
        return Mistake(Span(source, nul, nul + 1), "This is not a text file", "a NUL character", "plain text in UTF-8")
    if len(source.text) > LONGEST_TEXT:
        found = f"{len(source.text):,} characters"
        headline = "This text is too long to be read"
        return Mistake(Span(source, 0, 1), headline, found, f"at most {LONGEST_TEXT:,}")
    return None


def placed(slip: Slip, source: Source, offset: int) -> Mistake:
    """A slip of a statement that stands at an offset, as a mistake."""
    at = Span(source, offset + slip.start, offset + slip.end)
    return Mistake(at, slip.headline, slip.found, slip.expected, slip.hint)


def _rest_not_read(source: Source, offset: int) -> Mistake:
    return Mistake(
        Span(source, offset, offset),
        "The rest of the text was not read",
        f"{MOST_MISTAKES:,} mistakes up to here",
        hint="Mend these first.",
    )
