"""Nodes of what in-house packs say of the rules of others, and of a company's own file; as in `nodes`."""

from __future__ import annotations

from dataclasses import dataclass

from plancheck.rulebook.nodes import LimitMember, Name, SeverityMember, Text


@dataclass(frozen=True, slots=True)
class ReasonPart:
    """`reason "…"`."""

    text: Text
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class OffPart:
    """`off`."""

    start: int
    end: int


ChangePart = LimitMember | SeverityMember | ReasonPart | OffPart


@dataclass(frozen=True, slots=True)
class ChangeNode:
    """`change electrical/loop-drop { reason "…"; limit most = 3 %; severity error }`; the place is that of the id."""

    pack: Name
    name: Name
    parts: tuple[ChangePart, ...]
    start: int
    end: int

    @property
    def rule(self) -> str:
        """The id of the rule."""
        return f"{self.pack.text}/{self.name.text}"


@dataclass(frozen=True, slots=True)
class HousePart:
    """`packs "house", "site"` or `adopt "house"`."""

    keyword: str
    names: tuple[Text, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class HouseNode:
    """`house "Company" { packs "house"; adopt "house" }`."""

    company: Text
    parts: tuple[HousePart, ...]
    start: int
    end: int


PackNodes = ChangeNode | HouseNode
