"""Kinds of in-house packs must mean by a word what the shipped kinds mean, or rules that use it could not be run."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from plancheck.finding import Mistake
from plancheck.plan.kinds import Kind, Kinds
from plancheck.rulebook.vocabulary import Word, words_of_kind


def fitting(kinds: Kinds, in_house: Collection[str]) -> tuple[Kinds, list[Mistake]]:
    """The kinds without those of the texts named that use a word otherwise, and what is told of these."""
    known: dict[tuple[str, str], tuple[Word, Kind]] = {}
    kept: dict[str, Kind] = {}
    mistakes: list[Mistake] = []
    for name, kind in kinds.by_name.items():
        words = [(of, word) for word in words_of_kind(kind) for of in _classes(word)]
        wrong = _mistakes(kind, words, known) if kind.at.source.name in in_house else []
        mistakes += wrong
        if not wrong:
            kept[name] = kind
            for of, word in words:
                known.setdefault((of, word.name), (word, kind))
    return Kinds(kept, kinds.elsewhere), mistakes


def _classes(word: Word) -> tuple[str, ...]:
    return (word.of, "device") if word.of == "lock" else (word.of,)


def _mistakes(
    kind: Kind, words: Iterable[tuple[str, Word]], known: dict[tuple[str, str], tuple[Word, Kind]]
) -> list[Mistake]:
    found: dict[str, Mistake] = {}
    for of, word in words:
        other, where = known.get((of, word.name), (word, kind))
        if _sort(other) != _sort(word):
            headline = f"“{word.name}” of {kind.name} means something else with {where.name}"
            expected = f"{_said(other)}, as there, or a name of its own"
            found.setdefault(word.name, Mistake(kind.at, headline, _said(word), expected, "", (where.at,)))
    return list(found.values())


def _sort(word: Word) -> object:
    return word.type.form, word.type.vector, word.type.of, word.conditional


def _said(word: Word) -> str:
    return f"{word.type}, in each condition" if word.conditional else f"{word.type}"
