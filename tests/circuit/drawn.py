"""Facts of a plan given as text, with the shipped kinds."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from plancheck.circuit.conditions import Truth
from plancheck.circuit.facts import Facts
from plancheck.plan.graph import Branch
from plancheck.plan.kinds import Kinds, load_kinds
from plancheck.plan.model import Plan
from plancheck.plan.resolve import resolve
from plancheck.shipped import rules_folder
from plancheck.source import Source


@cache
def shipped_kinds() -> Kinds:
    files = sorted((rules_folder() / "kinds").glob("*.plan"))
    kinds, mistakes = load_kinds(Source(path.name, Path(path).read_text(encoding="utf-8")) for path in files)
    assert not mistakes, [m.headline for m in mistakes]
    return kinds


def plan_drawn(text: str) -> Plan:
    """A plan that must be readable."""
    plan, mistakes = resolve(Source("drawn.plan", text), shipped_kinds(), lambda name, source: "no files here")
    assert not mistakes, [f"{m.at.line}: {m.headline} {m.found} {m.expected}" for m in mistakes]
    return plan


def drawn(text: str) -> Facts:
    """The facts of a plan that must be readable."""
    return Facts(plan_drawn(text))


def part(facts: Facts, key: str) -> Branch:
    return facts.graph.by_key[key]


def when(truth: Truth, **signals: bool) -> bool | None:
    """The verdict in the one condition that is told in full: `PS1_mains=True` names the signal PS1.mains."""
    given = {name.replace("_", "."): on for name, on in signals.items()}
    assert set(given) == set(truth.space.signals), truth.space.signals
    index = sum(1 << i for i, s in enumerate(truth.space.signals) if given[s])
    return True if truth.yes >> index & 1 else False if truth.no >> index & 1 else None
