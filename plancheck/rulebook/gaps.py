"""Gaps told together: one reason, such as a circuit too large to work out, leaves many rules without an answer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from plancheck.rulebook.things import Gap


def told_together(gaps: Iterable[Gap]) -> tuple[Gap, ...]:
    """Gaps, those with one and the same reason as one, at the place of the first, in the order in which they came."""
    by_reason: dict[str, list[Gap]] = {}
    for gap in gaps:
        by_reason.setdefault(gap.reason, []).append(gap)
    return tuple(_one(alike) for alike in by_reason.values())


def _one(alike: Sequence[Gap]) -> Gap:
    first = alike[0]
    rules = list(dict.fromkeys(gap.rule for gap in alike))
    subjects = list(dict.fromkeys(gap.subject for gap in alike))
    life_safety = any(gap.life_safety for gap in alike)
    return Gap(_named(rules, "rules"), _named(subjects, "things"), first.reason, first.at, life_safety)


def _named(names: Sequence[str], what: str) -> str:
    """`a`, `a, b`, or `a and 9 more rules`."""
    if len(names) <= 2:
        return ", ".join(names)
    return f"{names[0]} and {len(names) - 1} more {what}"
