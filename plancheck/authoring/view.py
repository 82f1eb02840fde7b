"""A plan's text as it stands before its author, and what is known of the plan that it belongs to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain
from typing import overload

from plancheck.finding import Finding
from plancheck.plan.kinds import Kinds
from plancheck.review.worked import Worked
from plancheck.rulebook.rule import Rulebook
from plancheck.source import Source
from plancheck.syntax.nodes import Statement


@dataclass(frozen=True, slots=True)
class View:
    """One text, and the plan around it.

    `statements` are those of the text as it stands now. `whole` are those of the plan: of this text, of all that it
    uses, and of packs. `worked` and `findings` are of the last review, perhaps of an earlier state of the text.
    """

    source: Source
    statements: Sequence[Statement]
    kinds: Kinds
    rulebook: Rulebook
    whole: Sequence[Statement] = ()
    worked: Worked = field(default_factory=Worked)
    findings: Sequence[Finding] = ()


class Chained(Sequence[Statement]):
    """The statements of several texts, one text after another; none is made before it is asked for."""

    def __init__(self, texts: Sequence[Sequence[Statement]]) -> None:
        self._texts = texts

    def __len__(self) -> int:
        return sum(map(len, self._texts))

    def __iter__(self) -> Iterator[Statement]:
        return chain.from_iterable(self._texts)

    @overload
    def __getitem__(self, index: int) -> Statement: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Statement]: ...
    def __getitem__(self, index: int | slice) -> Statement | Sequence[Statement]:
        return list(self)[index]
