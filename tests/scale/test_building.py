"""The plan that the benches review is what they say it is: sound, wholly assessed, and without repetition."""

from __future__ import annotations

import re
from datetime import date
from functools import cache

import pytest

from plancheck.finding import Severity
from plancheck.library.load import Library, load_library
from plancheck.plan.include import Include
from plancheck.plan.resolve import resolve
from plancheck.review.review import review_text
from plancheck.source import Source
from tests.bench.doors import CLASSES, building

DAY = date(2026, 11, 25)


@cache
def library() -> Library:
    """The shipped kinds and rules."""
    return load_library([])


def _nothing(name: str, source: Source) -> str:
    return f"{source.name} uses {name}"


@pytest.mark.parametrize("doors", [1, 2, 3, 4, 21, 60])
def test_a_building_reads_without_mistakes_and_reviews_without_findings(doors: int) -> None:
    """Whatever the number of doors: no mistake, no finding down to a note, nothing left unassessed."""
    source = Source("building.plan", building(doors))
    include: Include = _nothing
    plan, mistakes = resolve(source, library().kinds, include)
    assert mistakes == []
    assert len(plan.with_base("door")) == doors
    report = review_text(source, library().kinds, library().rulebook, include, DAY)
    assert [(f.rule, f.subject, f.headline) for f in report.findings] == []
    assert report.not_assessed == ()
    assert report.wholly_assessed
    assert not report.exceeds(Severity.NOTE)
    assert report.conditions > doors


def test_a_thousand_doors_are_all_written_out() -> None:
    """About fifteen lines a door, four classes, every cable of a length of its own, fifty supplies and more."""
    text = building(1_000)
    lengths = re.findall(r"length (\S+) ft", text)
    assert "typical" not in text
    assert "place" not in text
    assert 12_000 <= text.count("\n") <= 18_000
    assert len(lengths) == len(set(lengths)) == 1_000
    assert len(re.findall(r"^supply ", text, re.MULTILINE)) >= 50
    assert len(CLASSES) == len(set(re.findall(r"egress ([^;]+);", text))) == 4
