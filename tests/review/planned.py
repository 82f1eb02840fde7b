"""Small plans worked out, for what is made of them."""

from __future__ import annotations

from datetime import date
from functools import cache

from plancheck.library.load import Library, load_library
from plancheck.review.review import Reviewed, reviewed_text
from plancheck.review.submittal import Submittal, submittal_of
from plancheck.source import Source

HEADER = 'plan "Test bench"\nrevision "A" dated 2026-11-02\njurisdiction us\nambient 20 degC to 20 degC\n'


@cache
def shipped() -> Library:
    """The shipped rules and kinds."""
    return load_library([])


def no_include(wanted: str, by: Source) -> Source | str:
    """Nothing can be used."""
    return "nothing here"


def reviewed(text: str) -> Reviewed:
    """A plan without its header, reviewed."""
    library = shipped()
    source = Source("bench.plan", HEADER + text)
    return reviewed_text(source, library.kinds, library.rulebook, no_include, date(2026, 11, 26))


def handed_over(text: str) -> Submittal:
    """What is handed over of a plan without its header."""
    return submittal_of(reviewed(text))
