"""What a rule rests on, in rows: jurisdiction, source, clause, how it is known; one for each edition."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from plancheck.rulebook.rule import Basis, Rule


class BasisRow(NamedTuple):
    """One source of a rule. `clause` and `about` are empty where the source is given in words."""

    where: str
    source: str
    clause: str
    about: str
    grade: str


def basis_rows(rule: Rule) -> list[BasisRow]:
    """Every source of a rule, and every edition of the clauses that it refers to."""
    return [row for basis in rule.basis for row in _rows(basis)]


def _rows(basis: Basis) -> Iterator[BasisRow]:
    if not basis.topics:
        yield BasisRow(basis.tag, basis.text, "", "", basis.grade)
    for topic in basis.topics:
        for code in topic.codes():
            for clause in topic.of_code(code):
                yield BasisRow(basis.tag, clause.edition.text, clause.text, topic.short, clause.known)


def basis_lines(rule: Rule) -> Iterator[str]:
    """The same as lines of text: clauses of one code on one topic in one line."""
    for basis in rule.basis:
        where = f"{basis.tag}: " if basis.tag else ""
        if not basis.topics:
            yield where + basis.said
        for topic in basis.topics:
            for code in topic.codes():
                clauses = [
                    f"{c.edition.text}, {c.text}" + (f" ({c.known})" if c.known else "") for c in topic.of_code(code)
                ]
                yield f"{where}{topic.short}: {'; '.join(clauses)}"
