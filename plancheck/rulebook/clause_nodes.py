"""Nodes of clauses by edition, and of the members that refer to them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from plancheck.rulebook.nodes import Name, Text, Words


@dataclass(frozen=True, slots=True)
class CitedClauses:
    """`clause sensor-release, delayed` in a basis: what the tables of clauses say for the plan's edition."""

    topics: tuple[Name, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class ClauseRow:
    """`"IBC 2018" "1010.1.9.9" grade published`."""

    edition: Text
    clause: Text
    grade: Words | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class ClausesNode:
    """`clauses sensor-release "Sensor release" for sensor release { … }`."""

    name: Name
    title: Text | None
    classes: tuple[Words, ...]
    rows: tuple[ClauseRow, ...]
    start: int
    end: int
