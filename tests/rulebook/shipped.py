"""The shipped rules, held one at a time against a plan given as text."""

from __future__ import annotations

from datetime import date
from functools import cache

from plancheck.circuit.facts import Facts
from plancheck.finding import Finding
from plancheck.library.load import Library, load_library
from plancheck.plan.resolve import resolve
from plancheck.rulebook.judge import Verdicts, judge
from plancheck.source import Source

TODAY = date(2026, 11, 25)


@cache
def library() -> Library:
    """Shipped kinds and rules."""
    found = load_library([])
    assert found.broken == ()
    return found


def verdicts(rule: str, text: str) -> Verdicts:
    """What one rule says of a plan without a header."""
    kinds, rulebook = library().kinds, library().rulebook
    plan, mistakes = resolve(Source("a.plan", f'plan "p"\n{text}'), kinds, lambda name, by: "nothing to use here")
    assert [f"{m.at.line}: {m.headline} {m.found}" for m in mistakes] == []
    found = rulebook.get(rule)
    assert found is not None
    return judge(rulebook.with_rules([found]), Facts(plan), TODAY)


def findings(rule: str, text: str) -> tuple[Finding, ...]:
    """The findings of one rule, which must have been judged throughout."""
    found = verdicts(rule, text)
    assert [gap.reason for gap in found.gaps] == []
    return found.findings


def steps(finding: Finding) -> list[tuple[str, float]]:
    """The sum: each step with its number, in the unit that is shown."""
    return [(step.what, step.value) for step in finding.evidence if isinstance(step.value, float)]


def value(finding: Finding, what: str) -> float:
    """The number of the one step whose words begin so."""
    (found,) = [number for words, number in steps(finding) if words.startswith(what)]
    return found
