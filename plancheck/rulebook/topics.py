"""Clauses of codes by edition: which one speaks of a topic, and how it is cited for the editions that a plan names."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from plancheck.plan.edition import Edition, edition_first
from plancheck.source import Span

PUBLISHED = "published"
_NUMBER = re.compile(r"(?:(?:section|sec\.?|clause|§)\s*)?(?P<number>\d[\d./]*\d|\d+)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Clause:
    """Where one edition of a code speaks of a topic; `grade` says how that is known.

    `pack` is the in-house pack that says so; it is empty for what is shipped.
    """

    edition: Edition
    text: str
    grade: str
    at: Span
    pack: str = ""

    @property
    def known(self) -> str:
        """How it is known, and the in-house pack that has it."""
        return "; ".join(word for word in (self.grade, f"as the pack {self.pack} has it" if self.pack else "") if word)


@dataclass(slots=True, eq=False)
class Topic:
    """What clauses are about. `classes` are the egress classes of the doors that may claim them.

    `pack` is the in-house pack whose table it is; empty for shipped ones.
    """

    name: str
    title: str
    at: Span
    classes: tuple[str, ...] = ()
    clauses: list[Clause] = field(default_factory=list)
    pack: str = ""

    @property
    def short(self) -> str:
        """The title within a sentence: its first letter small."""
        return self.title[:1].lower() + self.title[1:] if self.title[1:2].islower() else self.title

    def codes(self) -> list[str]:
        """Codes that speak of it, in the order of the table."""
        return list(dict.fromkeys(clause.edition.code for clause in self.clauses))

    def of_code(self, code: str) -> list[Clause]:
        """Clauses of a code, the oldest edition first."""
        found = [c for c in self.clauses if c.edition.code.casefold() == code.casefold()]
        return sorted(found, key=lambda c: (c.edition.year, c.edition.text))


def as_held(topics: Iterable[Topic], packs: Collection[str] = ()) -> list[Topic]:
    """The tables where these in-house packs apply, and no others: without them, as they are shipped."""
    held = [topic for topic in topics if not topic.pack or topic.pack in packs]
    return [topic if _holds_whole(topic, packs) else _part(topic, packs) for topic in held]


def _holds_whole(topic: Topic, packs: Collection[str]) -> bool:
    return all(not clause.pack or clause.pack in packs for clause in topic.clauses)


def _part(topic: Topic, packs: Collection[str]) -> Topic:
    return replace(topic, clauses=[clause for clause in topic.clauses if not clause.pack or clause.pack in packs])


@dataclass(frozen=True, slots=True)
class Cited:
    """One clause as it is cited. `remark` says where another edition's had to be taken."""

    topic: Topic
    clause: Clause
    remark: str


def clause_for(topic: Topic, code: str, editions: Sequence[Edition]) -> Cited | None:
    """The clause of a code: of the edition named, else of the nearest earlier one; of the newest where none is named.

    None where the code says nothing of the topic.
    """
    known = topic.of_code(code)
    if not known:
        return None
    named = next((e for e in editions if e.code.casefold() == code.casefold()), None)
    if named is None:
        return Cited(topic, known[-1], "")
    exact = [c for c in known if c.edition.year == named.year]
    if exact:
        return Cited(topic, next((c for c in exact if c.edition.text == named.text), exact[-1]), "")
    earlier = [c for c in known if c.edition.year < named.year]
    nearest = earlier[-1] if earlier else known[0]
    which = "the nearest earlier edition known" if earlier else "no earlier edition is known"
    return Cited(topic, nearest, f"{which}: find the clause in {named.text}")


def cite(topics: Sequence[Topic], editions: Sequence[Edition], egress: Collection[str] = ()) -> list[str]:
    """Citations for the editions that a plan names; clauses of one edition and grade together.

    Of the topics that are for egress classes, those of the classes of the doors at hand, where these are known. Where
    the plan names editions of some of a topic's codes, the others are left out: the place has not adopted them.
    """
    wanted = [topic for topic in topics if not topic.classes or not egress or set(egress) & set(topic.classes)]
    wanted = wanted if any(topic.classes for topic in wanted) else list(topics)
    named = {e.code.casefold() for e in editions}
    codes = list(dict.fromkeys(code for topic in wanted for code in topic.codes()))
    found = [
        cited
        for code in codes
        for topic in wanted
        if (code.casefold() in named or named.isdisjoint(c.casefold() for c in topic.codes()))
        and (cited := clause_for(topic, code, editions))
    ]
    together: dict[tuple[str, str, str], list[Cited]] = {}
    for each in found:
        together.setdefault((each.clause.edition.text, each.clause.known, each.remark), []).append(each)
    return [_said(*key, alike) for key, alike in together.items()]


def _said(edition: str, known: str, remark: str, alike: Sequence[Cited]) -> str:
    clauses = ", ".join(f"{each.clause.text} ({each.topic.short})" for each in alike)
    words = "; ".join(word for word in (known, remark) if word)
    return f"{edition}, {clauses}" + (f" ({words})" if words else "")


# --- what a door claims ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Claimed:
    """A clause as a plan claims it, taken apart."""

    edition: Edition
    number: str


def read_claim(text: str) -> Claimed | None:
    """Edition and number of a clause that is claimed; None where the words are the author's own."""
    found = edition_first(text)
    number = _NUMBER.match(found[1]) if found else None
    return Claimed(found[0], number["number"]) if found and number else None


def topics_of(claimed: Claimed, topics: Iterable[Topic]) -> Iterator[tuple[Topic, Clause]]:
    """What the tables know of a claimed clause: the topics that it is about."""
    for topic in topics:
        for clause in topic.of_code(claimed.edition.code):
            if clause.edition.year == claimed.edition.year and claimed.number in _numbers(clause.text):
                yield topic, clause


def _numbers(text: str) -> set[str]:
    """`18/19.2.2.2.5` stands for clause 18.2.2.2.5 and clause 19.2.2.2.5."""
    first, dot, rest = text.partition(".")
    return {text, *(chapter + dot + rest for chapter in first.split("/"))}


def of_class(egress: str, topics: Mapping[str, Topic]) -> list[Topic]:
    """Topics whose clauses a door of an egress class may claim."""
    return [topic for topic in topics.values() if egress in topic.classes]


def general(claimed: Claimed, egress: str, topics: Mapping[str, Topic]) -> bool:
    """Whether the claimed clause holds that of the class among others: `1010.1.9` holds `1010.1.9.8`."""
    return any(
        number.startswith(f"{claimed.number}.")
        for topic in of_class(egress, topics)
        for clause in topic.of_code(claimed.edition.code)
        if clause.edition.year == claimed.edition.year
        for number in _numbers(clause.text)
    )
