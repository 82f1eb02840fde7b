"""Nodes of what a rule proposes to do about its finding."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from plancheck.rulebook.nodes import DomainItem, Expression, Name, Path, Text


@dataclass(frozen=True, slots=True)
class AddStep:
    """`add diode "rated 400 V, 1 A" across X with cathode to plus`."""

    kind: Name
    entries: Text | None
    across: Path
    towards_plus: Name | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class ExchangeStep:
    """`exchange X`: the wires at its two ends."""

    path: Path
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class MoveStep:
    """`move C to the other throw`."""

    path: Path
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class WriteStep:
    """`write "holds 30 s" in T`."""

    entry: Text
    path: Path
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class TakeOutStep:
    """`take out U.device`."""

    path: Path
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class ThickenStep:
    """`thicken X.feed-cables by SHARE`, `thicken C for AMPS`: `how` is by, for or empty."""

    path: Path
    how: str
    amount: Expression | None
    start: int
    end: int


StepNode = AddStep | ExchangeStep | MoveStep | WriteStep | TakeOutStep | ThickenStep


@dataclass(frozen=True, slots=True)
class FixMember:
    """`fix "…" for suppressor U of X where …: exchange U`."""

    title: Text
    domain: tuple[DomainItem, ...]
    where: Expression | None
    steps: tuple[StepNode, ...]
    start: int
    end: int
