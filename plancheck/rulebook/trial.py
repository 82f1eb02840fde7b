"""Rules tried on their own examples: a plan that must fail and does not is a miss, the other way a false alarm."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from plancheck.finding import Finding, Mistake
from plancheck.rulebook.rule import Example, Rule
from plancheck.source import Source


class Reviewed(Protocol):
    """What a review gives back, as far as a trial asks for it."""

    @property
    def findings(self) -> Sequence[Finding]: ...
    @property
    def mistakes(self) -> Sequence[Mistake]: ...
    @property
    def not_assessed(self) -> Sequence[str]: ...


Review = Callable[[Source], Reviewed]
"""Reviews the text of an example; its lines and columns are those of the rules file."""

MISS, FALSE_ALARM = "miss", "false alarm"
UNREADABLE, NOT_JUDGED = "unreadable", "not assessed"


@dataclass(frozen=True, slots=True)
class Trial:
    """How a rule did on one of its examples. `outcome` is empty where it did as it should."""

    rule: Rule
    example: Example
    outcome: str
    findings: tuple[Finding, ...] = ()
    """What the rule found."""
    mistakes: tuple[Mistake, ...] = ()
    """Why the example could not be read."""
    reasons: tuple[str, ...] = ()
    """Why the rule could not judge."""

    @property
    def right(self) -> bool:
        """Whether the rule did as it should."""
        return not self.outcome


def try_rules(rules: Iterable[Rule], review: Review) -> list[Trial]:
    """Try every rule on each of its examples, in order."""
    return [try_example(rule, example, review) for rule in rules for example in rule.examples]


def try_example(rule: Rule, example: Example, review: Review) -> Trial:
    """Try a rule on one example, which must be readable whole and which the rule must be able to judge."""
    reviewed = review(example.source)
    findings = tuple(f for f in reviewed.findings if f.rule == rule.id)
    reasons = tuple(r for r in reviewed.not_assessed if r.startswith(f"{rule.id} "))
    outcome = ""
    if reviewed.mistakes:
        outcome = UNREADABLE
    elif example.passes and findings:
        outcome = FALSE_ALARM
    elif not example.passes and not findings:
        outcome = MISS
    elif reasons and example.passes:
        outcome = NOT_JUDGED
    return Trial(rule, example, outcome, findings, tuple(reviewed.mistakes), reasons)
