"""Sound plans in all their variety: a careful practitioner would pass them, so no rule may call an error or warn.

`sound/` holds what looks wrong and is not; the rest is put together from parts.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from plancheck.finding import Severity
from plancheck.review.review import review_text
from plancheck.source import Source
from tests.faults.sound_doors import Choice, choices, plan
from tests.faults.standing import library
from tests.faults.trying import DAY, SOUND_FILES

CHOICES = tuple(choices())


def alarms(name: str, text: str) -> list[str]:
    """What a review by all rules says that it should not, gaps among it."""
    book = library()
    report = review_text(Source(name, text), book.kinds, book.rulebook, lambda wanted, by: "not here", DAY)
    loud = [f for f in report.findings if f.severity is not Severity.NOTE]
    told = [f"{f.severity} {f.rule} at {f.subject}: {f.headline}" for f in loud]
    return told + list(report.not_assessed)


@pytest.mark.parametrize("path", SOUND_FILES, ids=lambda path: path.stem)
def test_what_looks_wrong_and_is_not(path: Path) -> None:
    assert alarms(path.name, path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("choice", CHOICES, ids=lambda choice: choice.name)
def test_doors_put_together_of_sound_parts(choice: Choice) -> None:
    assert alarms("door.plan", plan(choice)) == []


def test_the_variations_are_many() -> None:
    assert len(SOUND_FILES) + len(CHOICES) >= 40
    classes = Counter(choice.egress for choice in CHOICES)
    assert len(classes) == 8
    assert min(classes.values()) >= 4
    assert {choice.jurisdiction for choice in CHOICES} == {"us", "eu"}


def test_an_alarm_would_be_told() -> None:
    text = plan(CHOICES[0]).replace("wire XS1:NO to L1:+", "wire XS1:NC to L1:+")
    assert any("egress/sensor-releases" in line for line in alarms("door.plan", text))
