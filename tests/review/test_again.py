"""A plan reviewed again after each change says what a review of the same text says; what stays is not judged anew."""

from __future__ import annotations

import random
from datetime import date
from functools import cache
from pathlib import Path

import pytest

import plancheck
from plancheck.finding import Finding
from plancheck.library.files import IncludeReader
from plancheck.library.load import Library, load_library
from plancheck.plan.adopt import adopted_by
from plancheck.review.again import Again
from plancheck.review.review import review_text
from plancheck.source import Source
from tests.bench.doors import building
from tests.syntax.test_reread import TEXTS, changed

DAY = date(2026, 11, 25)
SAMPLES = Path(plancheck.__file__).parent.parent / "samples"


@cache
def library() -> Library:
    return load_library(())


def again(source: Source) -> Again:
    choice = library().choice(adopted_by(source))
    return Again(choice.kinds, choice.rulebook, packs=library().packs, adopted=choice.adopted)


def include(source: Source) -> IncludeReader:
    return IncludeReader(SAMPLES / source.name, source, library().folders)


def fresh(source: Source) -> tuple[Finding, ...]:
    choice = library().choice(adopted_by(source))
    return review_text(
        source, choice.kinds, choice.rulebook, include(source), DAY, packs=library().packs, adopted=choice.adopted
    ).findings


def told(findings: tuple[Finding, ...]) -> list[str]:
    """Everything that findings say, places by name and number."""
    return [
        repr(f).replace(repr(f.at), "") + str((f.at.order, f.at.text, [(s.order, s.text) for s in f.also_at]))
        for f in findings
    ]


def assert_same(source: Source, reviewer: Again) -> None:
    assert told(reviewer.review(source, include(source), DAY).findings) == told(fresh(source))


@pytest.mark.parametrize("name", TEXTS)
def test_random_changes(name: str) -> None:
    draw = random.Random(name)
    text = TEXTS[name]
    reviewer = again(Source(name, text))
    assert_same(Source(name, text), reviewer)
    for step in range(6):
        for _ in range(draw.choice((1, 1, 3))):
            text = TEXTS[name] if step == 3 else changed(text, draw)
        assert_same(Source(name, text), reviewer)


def test_shipped_rules_are_held_part_by_part() -> None:
    rules = library().rulebook.rules
    assert [r.id for r in rules if not r.late and any(group.reaches_far() for group in r.groups)] == []
    assert [r.id for r in rules if r.late and not all(group.late for group in r.groups)] == []


def test_what_did_not_change_is_not_judged_anew() -> None:
    text = building(40)
    source = Source("b.plan", text)
    reviewer = again(source)
    before = reviewer.review(source, include(source), DAY)
    after = Source("b.plan", text.replace("length 30.07 ft", "length 31.07 ft"))
    assert after.text != text
    worked = reviewer.review(after, include(after), DAY).worked
    assert worked.facts("D00025-ML") is before.worked.facts("D00025-ML")
    assert worked.facts("D00001-ML") is not before.worked.facts("D00001-ML")
    assert_same(after, reviewer)
