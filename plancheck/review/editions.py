"""Editions that a plan names and no rule knows: a misspelt code would otherwise go by in silence."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.nearest import did_you_mean
from plancheck.plan.model import Plan
from plancheck.rulebook.rule import Rulebook


def editions_unknown(plan: Plan, rulebook: Rulebook) -> Iterator[str]:
    """A sentence for each code that the plan names and of which no clause or limit is known."""
    if not plan.editions:
        return
    codes = {code for topic in rulebook.topics.values() for code in topic.codes()}
    codes |= {limit.edition.code for rule in rulebook.rules for limit in rule.limits if limit.edition}
    known = {code.casefold() for code in codes}
    for edition in plan.editions:
        if edition.code.casefold() not in known:
            hint = did_you_mean(edition.code, sorted(codes))
            yield f"{edition.text} is named, of which no rule knows a clause or limit. {hint}".rstrip()
