"""Why a rule judged as it did: the same rule put together again from its text, and watched while it judges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from plancheck.rulebook import nodes
from plancheck.rulebook.assemble import Assembling, assemble
from plancheck.rulebook.read import read_rules
from plancheck.rulebook.rule import Rule, Rulebook
from plancheck.rulebook.trial import Reviewed
from plancheck.rulebook.watch import Asked, Watch, Went

ReviewWith = Callable[[Rulebook], Reviewed]
"""Reviews one plan by the rulebook that it is given."""


@dataclass(frozen=True, slots=True)
class Account:
    """What a rule did on one plan: its `for each` lines, and all that it went through and asked, in order."""

    rule: Rule
    groups: tuple[str, ...]
    record: tuple[Went | Asked, ...]
    reviewed: Reviewed

    @property
    def judged(self) -> list[Asked]:
        """Each time something was required of bound things."""
        return [each for each in self.record if isinstance(each, Asked) and each.keyword == "require"]


def account(rule: Rule, book: Rulebook, review: ReviewWith) -> Account:
    """Judge a plan by one rule, watched; with all others beside it where it speaks of what they leave behind."""
    watch = Watch()
    watched = _watched(rule, book, watch)
    late = rule.late
    rules = [watched if each.id == rule.id else each for each in book.rules] if late else [watched]
    reviewed = review(book.with_rules(rules))
    return Account(rule, tuple(watch.groups), tuple(watch.record), reviewed)


def _watched(rule: Rule, book: Rulebook, watch: Watch) -> Rule:
    """The rule with its groups put together anew under watch; all else, as a pack may have changed it, stays."""
    file, _ = read_rules(rule.at.source)
    name = rule.id.partition("/")[2]
    node = next(n for n in file.statements if isinstance(n, nodes.RuleNode) and n.name.text == name)
    work = Assembling(file, book.vocabulary, book.situations, book.topics, rule.id, rule.pack, watch=watch)
    again = assemble(node, work)
    assert again is not None, work.mistakes
    return replace(rule, groups=again.groups)
