"""Editions of codes as they are written: `IBC 2018`, `NFPA 101-2015`, `BS 7273-4:2015+A2:2023`."""

from __future__ import annotations

import re
from dataclasses import dataclass

WRITTEN_LIKE = "“IBC 2018”, “NFPA 101-2015” or “BS 7273-4:2015”"

LONGEST = 120
"""Characters within which an edition is looked for at the beginning of a text."""

_EDITION = re.compile(r"(?P<code>.*?[^\s:\-,])\s*[\s:\-]\s*(?P<year>(?:19|20)\d\d)(?P<amended>\+[^\s,;]*)?")


@dataclass(frozen=True, slots=True)
class Edition:
    """One edition of a code: `code` without the year, `text` as somebody wrote it, blanks evened out."""

    code: str
    year: int
    text: str

    def same_code(self, other: Edition) -> bool:
        """Whether both are editions of one code, however it is spaced or capitalised."""
        return self.code.casefold() == other.code.casefold()


def read_edition(text: str) -> Edition | None:
    """The edition that a text names, or None where it names no code or no year."""
    even = " ".join(text.split())
    match = _EDITION.fullmatch(even)
    return None if match is None else Edition(match["code"], int(match["year"]), even)


def edition_first(text: str) -> tuple[Edition, str] | None:
    """The edition with which a text begins, and what follows it: `IBC 2021, 1010.2.12`; None where it begins with none.

    The year is the first four digits that end a word: in `NFPA 101-2015, 7.2.1.6.2` it is 2015.
    """
    even = " ".join(text.split())
    for match in re.compile(r"(?:19|20)\d\d(?:\+[^\s,;]*)?(?![\w\-.+/]|:\S)").finditer(even[:LONGEST]):
        found = read_edition(even[: match.end()])
        if found is not None:
            return found, even[match.end() :].strip(" ,;:")
    return None
