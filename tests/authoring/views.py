"""Views of texts, as an editor has them: the text as it stands, and what was worked out of it."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

import plancheck
from plancheck.authoring.view import View
from plancheck.library.files import IncludeReader
from plancheck.library.load import Library, load_library
from plancheck.plan.adopt import adopted_by
from plancheck.review.again import Again
from plancheck.rulebook.rule import Rulebook
from plancheck.source import Source

DAY = date(2026, 11, 25)
SAMPLES = Path(plancheck.__file__).parent.parent / "samples"


@cache
def library() -> Library:
    """The shipped kinds and rules."""
    return load_library(())


def view_of(text: str, *, name: str = "plan.plan", before: str | None = None, rulebook: Rulebook | None = None) -> View:
    """What an author of `text` sees, in the samples' folder; the last review was of `before`, where that is given."""
    source = Source(name, text)
    choice = library().choice(adopted_by(source))
    book = rulebook or choice.rulebook
    again = Again(choice.kinds, book, packs=library().packs, adopted=choice.adopted)
    last = source if before is None else Source(name, before)
    reviewed = again.review(last, IncludeReader(SAMPLES / name, last, library().folders), DAY)
    read = again.read(source)
    texts = [read if own.source is last else own for own in reviewed.texts]
    return View(
        source,
        read.statements,
        choice.kinds,
        book,
        [statement for own in texts for statement in own.statements],
        reviewed.worked,
        reviewed.findings,
    )


def marked(text: str) -> tuple[str, int]:
    """A text without its mark `‸`, and the offset where that stood."""
    at = text.index("‸")
    return text[:at] + text[at + 1 :], at
