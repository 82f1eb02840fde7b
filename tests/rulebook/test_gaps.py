"""Gaps with one reason are one finding; nothing about them is lost from the count."""

from __future__ import annotations

from plancheck.rulebook.gaps import told_together
from plancheck.rulebook.things import Gap
from plancheck.source import Source, Span

AT = Span(Source("a.plan", "ML1 ML2"), 0, 3)
THERE = Span(Source("a.plan", "ML1 ML2"), 4, 7)


def test_one_reason_is_told_once_at_its_first_place() -> None:
    gaps = [
        Gap("a/one", "ML1", "too large", AT),
        Gap("b/other", "ML3", "no rating", THERE),
        Gap("a/two", "ML2", "too large", THERE, life_safety=True),
        Gap("a/one", "ML2", "too large", THERE),
    ]
    together, alone = told_together(gaps)
    assert together == Gap("a/one, a/two", "ML1, ML2", "too large", AT, life_safety=True)
    assert alone == gaps[1]


def test_what_is_not_named_is_counted() -> None:
    (gap,) = told_together(Gap(f"a/r{i}", f"B{i % 4}", "too large", AT) for i in range(5))
    assert gap.rule == "a/r0 and 4 more rules"
    assert gap.subject == "B0 and 3 more things"
