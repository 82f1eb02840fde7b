"""The plans within a rules file: each is written as any other plan, with the rules around it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from plancheck.authoring.author import PlanAuthor
from plancheck.authoring.of_rules.view import RulesView
from plancheck.authoring.tokens import Tokens
from plancheck.authoring.view import View
from plancheck.review.again import Again
from plancheck.rulebook import nodes
from plancheck.rulebook.rule import Example
from plancheck.source import Source, Span


class PlanWithin:
    """An example's plan before its author. Offsets and spans are those of the rules file."""

    def __init__(self, view: RulesView, example: Example, tokens: Tokens, today: date) -> None:
        self._view = view
        self._source = example.source
        self._shift = example.start - (len(self._source.text) - (example.end - example.start))
        again = Again(view.kinds, view.rulebook.with_rules(()))
        reviewed = again.review(self._source, _alone, today)
        text = again.read(self._source)
        plan = View(
            self._source,
            text.statements,
            view.kinds,
            view.rulebook,
            text.statements,
            reviewed.worked,
            reviewed.findings,
        )
        self.author = PlanAuthor(plan, tokens)

    def inside(self, offset: int) -> int:
        """An offset of the rules file, in the plan."""
        return offset - self._shift

    def outside(self, at: Span) -> Span:
        """A span of the plan, in the rules file; one of another text stays."""
        if at.source is not self._source:
            return at
        return Span(self._view.source, at.start + self._shift, at.end + self._shift)


def examples_of(view: RulesView) -> Iterator[Example]:
    """The examples of all rules that could be read, as the text stands."""
    rules = (node for node in view.file.statements if isinstance(node, nodes.RuleNode))
    members = (member for rule in rules for member in rule.head if isinstance(member, nodes.ExampleMember))
    for member in members:
        yield Example(member.keyword == "passes", member.title.text, view.source, member.body_start, member.body_end)


def _alone(wanted: str, by: Source) -> str:
    return "nothing: an example stands for itself"
