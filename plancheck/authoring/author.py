"""Everything that whoever writes a plan may ask for."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from plancheck.authoring.completion import proposals
from plancheck.authoring.definition import definition
from plancheck.authoring.edit import Edit
from plancheck.authoring.fair_copy import fair_edits
from plancheck.authoring.fair_typed import fair_typed
from plancheck.authoring.fixes import Fix, fixes
from plancheck.authoring.folding import Fold, folds
from plancheck.authoring.hover import Told, hover
from plancheck.authoring.inlay import Hint, inlay_hints
from plancheck.authoring.names import Names
from plancheck.authoring.proposal import Proposal
from plancheck.authoring.references import references
from plancheck.authoring.rename import Refusal, rename, renameable
from plancheck.authoring.selection import widening
from plancheck.authoring.symbols import Symbol, outline
from plancheck.authoring.tokens import Token, Tokens
from plancheck.authoring.view import View
from plancheck.finding import Finding
from plancheck.source import Source, Span


class PlanAuthor:
    """Who writes a plan. What is asked for twice of one state of the text is worked out once."""

    def __init__(self, view: View, tokens: Tokens) -> None:
        self.view, self._tokens = view, tokens

    @property
    def source(self) -> Source:
        """The text."""
        return self.view.source

    @cached_property
    def names(self) -> Names:
        """The names of the plan."""
        return Names(self.view)

    def hover(self, offset: int) -> Told | None:
        """What is told of the thing at an offset."""
        return hover(self.view, offset, self.names)

    def hints(self, start: int, end: int) -> list[Hint]:
        """What stands behind the lines between two offsets."""
        return inlay_hints(self.view, start, end)

    def proposals(self, offset: int) -> list[Proposal]:
        """What may be written at an offset."""
        return proposals(self.view, offset, self.names)

    def definition(self, offset: int) -> list[Span]:
        """Where what is named at an offset is declared."""
        return definition(self.names, offset)

    def references(self, offset: int, declaration: bool) -> list[Span]:
        """Where else it is named."""
        return references(self.names, offset, declaration)

    def renameable(self, offset: int) -> Span | None:
        """The name at an offset, where it can be another."""
        return renameable(self.names, offset)

    def rename(self, offset: int, new: str) -> list[Edit] | Refusal:
        """What gives it another name."""
        return rename(self.names, offset, new)

    def outline(self) -> list[Symbol]:
        """What the text declares."""
        return outline(self.view)

    def folds(self) -> list[Fold]:
        """What can be folded away."""
        return folds(self.source)

    def widening(self, offset: int) -> list[Span]:
        """What is selected, step by step."""
        return widening(self.view, offset)

    def tokens(self, start: int, end: int) -> list[Token]:
        """What its words are."""
        return self._tokens.of(self.view, start, end)

    def fixes(self, findings: Sequence[Finding]) -> list[Fix]:
        """What can be done about some of the findings."""
        return fixes(self.view, self.names, findings)

    def fair(self) -> list[Edit]:
        """What lays the text out."""
        return fair_edits(self.source, rules=False)

    def fair_typed(self, offset: int) -> list[Edit]:
        """What lays the line out that is being typed."""
        return fair_typed(self.view.statements, self.source, offset)
