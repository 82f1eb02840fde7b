"""Everything that whoever writes a file of rules may ask for; of the plans in it, what is asked of any plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import cached_property

from plancheck.authoring.author import PlanAuthor
from plancheck.authoring.edit import Edit
from plancheck.authoring.fair_copy import fair_edits
from plancheck.authoring.fixes import Fix
from plancheck.authoring.folding import Fold, folds
from plancheck.authoring.hover import Told
from plancheck.authoring.inlay import Hint
from plancheck.authoring.of_rules.completion import proposals
from plancheck.authoring.of_rules.examples import PlanWithin, examples_of
from plancheck.authoring.of_rules.hover import hover
from plancheck.authoring.of_rules.names import KnownSites, RulesNames
from plancheck.authoring.of_rules.outline import outline
from plancheck.authoring.of_rules.selection import widening
from plancheck.authoring.of_rules.tokens import tokens_of
from plancheck.authoring.of_rules.view import RulesView
from plancheck.authoring.proposal import Proposal
from plancheck.authoring.rename import Refusal
from plancheck.authoring.symbols import Symbol
from plancheck.authoring.tokens import Token, Tokens
from plancheck.finding import Finding
from plancheck.rulebook.rule import Example
from plancheck.source import Source, Span


class RulesAuthor:
    """Who writes a file of rules. It answers what a `PlanAuthor` answers."""

    def __init__(self, view: RulesView, known: KnownSites, tokens: Tokens, today: date) -> None:
        self.view, self._tokens, self._today = view, tokens, today
        self.names = RulesNames(view, known)
        self._plans: dict[int, PlanWithin] = {}

    @property
    def source(self) -> Source:
        """The text."""
        return self.view.source

    @cached_property
    def examples(self) -> list[Example]:
        """The examples as the text has them."""
        return list(examples_of(self.view))

    def _within(self, offset: int) -> tuple[PlanWithin, PlanAuthor, int] | None:
        """The plan around an offset, with its author and the offset in it."""
        example = next((each for each in self.examples if each.start < offset <= each.end), None)
        if example is None:
            return None
        plan = self._plans.get(example.start)
        if plan is None:
            plan = self._plans[example.start] = PlanWithin(self.view, example, self._tokens, self._today)
        return plan, plan.author, plan.inside(offset)

    def hover(self, offset: int) -> Told | None:
        """What is told of the thing at an offset."""
        within = self._within(offset)
        if within is None:
            return hover(self.view, self.names, offset)
        plan, author, inside = within
        told = author.hover(inside)
        return replace(told, at=plan.outside(told.at)) if told else None

    def hints(self, start: int, end: int) -> list[Hint]:
        """Nothing: what a rule's examples come to, their words say."""
        return []

    def proposals(self, offset: int) -> list[Proposal]:
        """What may be written at an offset."""
        within = self._within(offset)
        if within is None:
            return proposals(self.view, offset)
        plan, author, inside = within
        return [replace(each, at=plan.outside(each.at)) for each in author.proposals(inside)]

    def definition(self, offset: int) -> list[Span]:
        """Where what is named at an offset is declared."""
        within = self._within(offset)
        if within is not None:
            plan, author, inside = within
            return [plan.outside(at) for at in author.definition(inside)]
        found = self.names.at(offset)
        return self.names.declared(found.site) if found else []

    def references(self, offset: int, declaration: bool) -> list[Span]:
        """Where else it is named."""
        within = self._within(offset)
        if within is not None:
            plan, author, inside = within
            return [plan.outside(at) for at in author.references(inside, declaration)]
        found = self.names.at(offset)
        return [each.at for each in self.names.each(found.site, declaration)] if found else []

    def renameable(self, offset: int) -> Span | None:
        """The name at an offset, where it can be another."""
        within = self._within(offset)
        if within is not None:
            plan, author, inside = within
            at = author.renameable(inside)
            return plan.outside(at) if at else None
        found = self.names.at(offset)
        return found.at if found and self.names.renameable(found) else None

    def rename(self, offset: int, new: str) -> list[Edit] | Refusal:
        """What gives it another name."""
        within = self._within(offset)
        if within is None:
            return self.names.rename(offset, new)
        plan, author, inside = within
        edits = author.rename(inside, new)
        return edits if isinstance(edits, Refusal) else [replace(edit, at=plan.outside(edit.at)) for edit in edits]

    def outline(self) -> list[Symbol]:
        """What the text declares."""
        return outline(self.view.file)

    def folds(self) -> list[Fold]:
        """What can be folded away."""
        return folds(self.source)

    def widening(self, offset: int) -> list[Span]:
        """What is selected, step by step."""
        return widening(self.view.file, offset)

    def tokens(self, start: int, end: int) -> list[Token]:
        """What its words are, those of the plans in it among them."""
        bodies = [(example.start, example.end) for example in self.examples]
        found = tokens_of(self.source.text, self.names.own, bodies)
        for example in self.examples:
            if example.start < end and start < example.end:
                found += self._of_plan(example)
        return sorted((t for t in found if t.end > start and t.start < end), key=lambda token: token.start)

    def _of_plan(self, example: Example) -> list[Token]:
        within = self._within(example.start + 1)
        assert within is not None
        _, author, inside = within
        shift = example.start + 1 - inside
        tokens = author.tokens(inside - 1, len(author.source.text))
        return [replace(token, start=token.start + shift, end=token.end + shift) for token in tokens]

    def fixes(self, findings: Sequence[Finding]) -> list[Fix]:
        """Nothing: what is wrong with a rule, its author knows best."""
        return []

    def fair(self) -> list[Edit]:
        """What lays the text out."""
        return fair_edits(self.source, rules=True)

    def fair_typed(self, offset: int) -> list[Edit]:
        """Nothing: a rules file is laid out as a whole."""
        return []
