"""What may stand next in an attribute of which the beginning is written."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plancheck.authoring.lexed import Sort, Token
from plancheck.plan.pattern import Literal, Maybe, Part, Slot
from plancheck.units import SI_UNIT

_TAKES = {
    "device": Sort.NAME, "lock": Sort.NAME, "name": Sort.NAME, "terminal": Sort.REFERENCE, "signal": Sort.REFERENCE,
    "text": Sort.STRING, "date": Sort.DATE, "count": Sort.NUMBER, "number": Sort.NUMBER,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Next:
    """A word that must stand as it is; or, where `word` is empty, a value of a slot, or the unit behind its number."""

    word: str = ""
    slot: Slot | None = None
    unit: bool = False


def ahead(parts: Sequence[Part], said: Sequence[Token], at: int = 0) -> Iterator[Next]:
    """What may stand behind `said`, read from token `at`; nothing where it does not fit the pattern."""
    if not parts:
        return
    first, rest = parts[0], parts[1:]
    match first:
        case Maybe(inner):
            yield from ahead((*inner, *rest), said, at)
            yield from ahead(rest, said, at)
        case Literal(text):
            if at == len(said):
                yield Next(text)
            elif said[at].text == text:
                yield from ahead(rest, said, at + 1)
        case Slot(type="choice"):
            yield from _choice(first, rest, said, at)
        case Slot():
            yield from _value(first, rest, said, at)


def _choice(slot: Slot, rest: Sequence[Part], said: Sequence[Token], at: int) -> Iterator[Next]:
    for choice in slot.choices:
        words = choice.split()
        written = [token.text for token in said[at : at + len(words)]]
        if written == words:
            yield from ahead(rest, said, at + len(words))
        elif at + len(written) == len(said) and written == words[: len(written)]:
            yield Next(" ".join(words[len(written) :]), slot)


def _value(slot: Slot, rest: Sequence[Part], said: Sequence[Token], at: int) -> Iterator[Next]:
    if at == len(said):
        yield Next(slot=slot)
        return
    if slot.type in SI_UNIT and slot.type != "number":
        if said[at].sort is not Sort.NUMBER:
            return
        if at + 1 == len(said):
            yield Next(slot=slot, unit=True)
            return
        at += 1
    elif said[at].sort is not _TAKES.get(slot.type):
        return
    yield from ahead(rest, said, at + 1)
    if slot.many and at + 1 < len(said) and said[at + 1].text == ",":
        yield from _value(slot, rest, said, at + 2)
