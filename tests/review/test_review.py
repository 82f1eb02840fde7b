"""The review: what it makes of a text, whom it believes, in which order it tells."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache

import pytest

from plancheck.finding import Mistake, Severity, VarianceRecord
from plancheck.library.load import Library, load_library
from plancheck.review.report import READING, PlanReport, in_order, reading_finding, unread
from plancheck.review.review import PARTLY_READ, review_text
from plancheck.source import Source, Span
from tests.cli.plans import FAULTY, NOTED, SOUND
from tests.render.reports import drop_warning, held_on_alarm

DAY = date(2026, 11, 25)


@cache
def _library() -> Library:
    return load_library([])


def _alone(wanted: str, by: Source) -> str:
    return "nothing"


def _review(text: str, excerpt: bool = False) -> PlanReport:
    library = _library()
    return review_text(Source("a.plan", text), library.kinds, library.rulebook, _alone, DAY, excerpt=excerpt)


def test_a_sound_plan_is_wholly_assessed_without_findings() -> None:
    report = _review(SOUND)
    assert report.wholly_assessed
    assert report.findings == ()
    assert report.not_assessed == ()
    assert list(report.rules_run) == sorted(rule.id for rule in _library().rulebook.rules)
    # One network with mains and the button: four conditions.
    assert report.conditions == 4


def test_a_statement_that_cannot_be_read_leaves_the_rest_judged() -> None:
    report = _review(FAULTY + "wire nonsense\n")
    assert not report.wholly_assessed
    assert report.not_assessed[0] == PARTLY_READ
    assert {READING, "electrical/polarity"} <= {finding.rule for finding in report.findings}
    assert report.findings[0].rule == READING


@pytest.mark.parametrize(
    ("text", "headline"),
    [
        ("push-button SB1 { contacts 3 A at 30 Vdc }\n", "This names no plan"),
        ('plan "x"\n', "This plan draws nothing"),
    ],
)
def test_a_text_that_draws_no_plan_does_not_pass(text: str, headline: str) -> None:
    assert [mistake.headline for mistake in _review(text).mistakes] == [headline]
    assert _review(text, excerpt=True).mistakes == ()


def test_rules_of_another_jurisdiction_are_not_run_here() -> None:
    # Every rule that is kept to one place must be missing in the other, and only those.
    rules = _library().rulebook.rules
    for here, there in (("us", "eu"), ("eu", "us")):
        run = _review(SOUND.replace("jurisdiction us", f"jurisdiction {here}")).rules_run
        assert set(run) == {rule.id for rule in rules if rule.only_in != there}


# --- what is assumed -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("", "", "2 wires without a cable or a length taken as short jumpers of no resistance."),
        ("ambient 5 degC to 35 degC\n", "", "Ambient not stated: 0 degC to 40 degC taken."),
        ("jurisdiction us\n", "", "Jurisdiction not stated: held to the stricter of the limits."),
    ],
)
def test_what_is_assumed_is_said(old: str, new: str, sentence: str) -> None:
    assert sentence in _review(SOUND.replace(old, new)).assumed


def test_what_is_stated_is_not_assumed() -> None:
    cabled = SOUND.replace("to ES1:+", "to ES1:+ in C1/red").replace("ES1:- to PS1:-", "ES1:- to PS1:- in C1/black")
    cabled += "cable C1 { conductors 2 of 18 AWG; length 40 ft }\n"
    assert _review(cabled).assumed == (
        "1 wire without a cable or a length taken as short jumpers of no resistance.",
        "Coils worked as resistances at their rated values, electronics at constant power.",
    )


# --- order, fingerprints, thresholds -------------------------------------------------------------------------------


def test_worst_come_first() -> None:
    source = Source("a.plan", "ML1:+ RX1:COM C1/red")
    excused = replace(held_on_alarm(source), variance=VarianceRecord("r", "g", "x", "2027-01-01"))
    reading = reading_finding(Mistake(Span(source, 19, 20), "Not read"))
    note = drop_warning(source, severity=Severity.NOTE)
    error = drop_warning(source, severity=Severity.ERROR, rule="electrical/polarity")
    given = [note, excused, error, drop_warning(source), held_on_alarm(source), reading]
    assert [(f.rule, f.severity.value, f.variance is None) for f in in_order(given)] == [
        ("file/reading", "error", True),
        ("egress/fire-alarm-release", "error", True),
        ("electrical/polarity", "error", True),
        ("electrical/loop-drop", "warning", True),
        ("electrical/loop-drop", "note", True),
        ("egress/fire-alarm-release", "error", False),
    ]


def test_findings_alike_have_fingerprints_apart_that_stay() -> None:
    source = Source("a.plan", "C1/red C1/red")
    later = drop_warning(source, at=Span(source, 7, 13))
    first, second = in_order([later, drop_warning(source)])
    assert first.at.start < second.at.start
    assert first.fingerprint != second.fingerprint
    assert in_order([drop_warning(source)])[0].fingerprint == first.fingerprint


@pytest.mark.parametrize(
    ("text", "threshold", "over"),
    [
        (NOTED, Severity.NOTE, True),
        (NOTED, Severity.WARNING, False),
        (FAULTY, Severity.ERROR, True),
        (SOUND, Severity.NOTE, False),
    ],
)
def test_thresholds(text: str, threshold: Severity, over: bool) -> None:
    assert _review(text).exceeds(threshold) is over


def test_a_text_that_could_not_be_had_is_never_assessed() -> None:
    source = Source("a.plan", "")
    report = unread(source, (Mistake(Span(source, 0, 0), "No such file"),))
    assert not report.wholly_assessed
    assert [finding.rule for finding in report.findings] == [READING]


def test_reviewing_twice_says_the_same() -> None:
    assert [f.fingerprint for f in _review(FAULTY).findings] == [f.fingerprint for f in _review(FAULTY).findings]
