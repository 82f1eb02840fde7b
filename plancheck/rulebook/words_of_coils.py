"""Facts of coils."""

from __future__ import annotations

from plancheck.rulebook.vocabulary import Word

COIL_WORDS: list[Word] = []
