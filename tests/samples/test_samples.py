"""The samples: sound ones pass without a finding, each faulty twin shows exactly what its own lines say."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

import pytest

import plancheck
from plancheck.cli.review_command import exit_status
from plancheck.finding import Severity
from plancheck.library.files import IncludeReader, read_text
from plancheck.library.load import load_library
from plancheck.review.report import PlanReport
from plancheck.review.review import review_text
from plancheck.source import Source
from tests.samples.expectations import Spot, compared, expected_of, found_in

SAMPLES = Path(plancheck.__file__).parent.parent / "samples"
DAY = date(2026, 11, 25)
PLANS = sorted(path for path in SAMPLES.glob("*.plan"))
FAULTY = [path for path in PLANS if path.stem.endswith("-faulty")]
SOUND = [path for path in PLANS if path not in FAULTY]

_library = cache(lambda: load_library([]))


@cache
def review(path: Path) -> PlanReport:
    """The review of a sample."""
    source, mistake = read_text(path, path.name)
    assert mistake is None
    library = _library()
    assert library.broken == ()
    include = IncludeReader(path, source, ())
    return review_text(source, library.kinds, library.rulebook, include, DAY)


def _name(path: Path) -> str:
    return path.stem


def test_every_sound_sample_has_a_faulty_twin() -> None:
    assert {path.stem + "-faulty" for path in SOUND} == {path.stem for path in FAULTY}
    assert len(SOUND) >= 5


@pytest.mark.parametrize("path", SOUND, ids=_name)
def test_sound_samples_have_no_finding(path: Path) -> None:
    report = review(path)
    assert compared(set(), found_in(report)) == ""
    assert report.not_assessed == ()
    assert exit_status([report], Severity.NOTE) == 0


@pytest.mark.parametrize("path", FAULTY, ids=_name)
def test_faulty_twins_show_what_their_lines_say(path: Path) -> None:
    report = review(path)
    expected = expected_of(report.source)
    assert len(expected) >= 2
    assert compared(expected, found_in(report)) == ""


@pytest.mark.parametrize("path", FAULTY, ids=_name)
def test_faulty_twins_are_wholly_assessed(path: Path) -> None:
    assert exit_status([review(path)], Severity.WARNING) == 1


def test_expectations_are_read_from_the_end_of_a_line() -> None:
    source = Source("a", "x  #! a/b-c, d/e\ny # no #! here\r\nz #! f/g\n")
    assert expected_of(source) == {Spot("a", 1, "a/b-c"), Spot("a", 1, "d/e"), Spot("a", 3, "f/g")}


def test_misses_and_false_alarms_are_told_apart() -> None:
    expected, found = {Spot("a", 1, "x/miss"), Spot("a", 2, "x/both")}, {Spot("a", 2, "x/both"), Spot("a", 3, "x/no")}
    assert compared(expected, found) == "missed:\n  a:1: x/miss\nfalse alarm:\n  a:3: x/no"
