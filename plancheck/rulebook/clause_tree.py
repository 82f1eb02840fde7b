"""How reductions of clauses and editions become nodes; the builder of the whole grammar inherits these."""

from __future__ import annotations

from typing import Any

from plancheck.rulebook.clause_nodes import CitedClauses, ClauseRow, ClausesNode
from plancheck.rulebook.nodes import BasisMember, Text, Words


class ClauseBuilder:
    """One method for each rule of the grammar that speaks of clauses or editions."""

    def clauses(self, children: list[Any]) -> ClausesNode:
        name, title, classes, *rows = children
        return ClausesNode(name, _quoted(title), classes or (), tuple(rows), name.start, (rows or [name])[-1].end)

    def clauses_for(self, children: list[Any]) -> tuple[Words, ...]:
        return tuple(children)

    def clause_row(self, children: list[Any]) -> ClauseRow:
        edition, clause = _quoted(children[0]), _quoted(children[1])
        grade = children[2]
        assert edition is not None
        assert clause is not None
        return ClauseRow(edition, clause, grade, edition.start, grade.end if grade else clause.end)

    def basis(self, children: list[Any]) -> BasisMember:
        tag, *cited = children
        return BasisMember(tag, tuple(cited), cited[0].start, cited[-1].end)

    def cited_clauses(self, children: list[Any]) -> CitedClauses:
        return CitedClauses(tuple(children), children[0].start, children[-1].end)

    def limit_edition(self, children: list[Any]) -> Text | None:
        return _quoted(children[0])


def _quoted(token: Any) -> Text | None:
    return None if token is None else Text(token[1:-1], token.start_pos, token.end_pos)
