"""Findings on record: which may be left out, which are shown again, what is said of those that have gone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from plancheck.finding import Evidence, Finding, Severity
from plancheck.library.load import Library, load_library
from plancheck.review.existing import PlanRecord, is_of, is_recordable, recorded, set_apart, shortened
from plancheck.review.report import PlanReport
from plancheck.review.review import review_text
from plancheck.source import Source
from tests.cli.plans import FAULTY, SOUND

DAY = date(2026, 11, 25)
SAID = DAY.isoformat()

HELD = """\
plan "Kestrel Wharf boat school, store"
revision "A" dated 2026-11-02
jurisdiction us
ambient 5 degC to 35 degC
supply PS1 { output 24 Vdc, 1 A; class 2 }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; drop-out 6 V; suppression built in }
door D1 "Store" { on exit path; egress sensor release; claimed under "IBC 2021, 1010.2.12"; locks ML1 }
wire PS1:+ to ML1:+
wire ML1:- to PS1:-
"""
"""A lock that nothing releases: life safety."""

LONG_RUN = SOUND.replace(" { size 18 AWG; length 5 m }", "").replace(
    "wire SB1:NO to ES1:+\n", "cable C1 { conductors 2 of 22 AWG; length 300 ft }\n"
) + ("wire SB1:NO to ES1:+ in C1/1\n")
"""By hand: 300 ft of 22 AWG are about 16 mΩ/ft × 300 = 4.8 Ω, 1.1 V of 24 V at 225 mA: 4.5 %."""


@pytest.fixture(scope="module")
def library() -> Library:
    return load_library([])


def _review(text: str, library: Library) -> PlanReport:
    source = Source("a.plan", text)
    return review_text(source, library.kinds, library.rulebook, lambda wanted, by: "nothing", DAY)


def _rules(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.rule for finding in findings]


def _beside(report: PlanReport, record: PlanRecord) -> PlanReport:
    return set_apart(report, record, SAID)


def test_what_is_on_record_is_left_out_and_does_not_count(library: Library) -> None:
    report = _review(FAULTY, library)
    assert _rules(report.findings) == ["electrical/polarity"]
    record = recorded(report, "a.plan")
    assert [(each.rule, each.subject) for each in record.findings] == [("electrical/polarity", "XS1")]
    apart = _beside(report, record)
    assert apart.findings == ()
    assert not apart.exceeds(Severity.NOTE)
    assert apart.existing is not None
    assert _rules(apart.existing.left_out) == ["electrical/polarity"]
    assert (apart.existing.gone, apart.existing.unsure, apart.existing.worse) == ((), (), {})


def test_moved_lines_change_nothing(library: Library) -> None:
    record = recorded(_review(FAULTY, library), "a.plan")
    moved = FAULTY.replace("push-button", "\n# moved down\n\npush-button")
    assert _beside(_review(moved, library), record).findings == ()


def test_a_new_finding_of_a_recorded_rule_is_shown(library: Library) -> None:
    record = recorded(_review(FAULTY, library), "a.plan")
    another = FAULTY + (
        "exit-sensor XS2 { rated 24 Vdc, 35 mA; contacts 1 A at 30 Vdc }\n"
        "wire PS1:+ to XS2:power-\nwire PS1:- to XS2:power+\n"
    )
    apart = _beside(_review(another, library), record)
    assert [(f.rule, f.subject) for f in apart.findings] == [("electrical/polarity", "XS2")]
    assert apart.exceeds(Severity.ERROR)


def test_the_same_fault_under_another_name_is_new(library: Library) -> None:
    record = recorded(_review(FAULTY, library), "a.plan")
    apart = _beside(_review(FAULTY.replace("XS1", "XS9"), library), record)
    assert [finding.subject for finding in apart.findings] == ["XS9"]
    assert apart.existing is not None
    assert apart.existing.gone == (("electrical/polarity", "XS1"),)


# --- what is never left out ------------------------------------------------------------------------------------


def test_life_safety_is_not_recorded_and_shown_even_where_it_is(library: Library) -> None:
    report = _review(HELD, library)
    dangerous = [finding for finding in report.findings if finding.life_safety]
    assert len(dangerous) > 3
    record = recorded(report, "a.plan")
    assert not {each.fingerprint for each in record.findings} & {finding.fingerprint for finding in dangerous}
    # Somebody writes them into the record by hand.
    one = record.findings[:1] or recorded(_review(FAULTY, library), "a.plan").findings
    forged = replace(
        record,
        findings=tuple(replace(one[0], fingerprint=f.fingerprint, rule=f.rule, severity=f.severity) for f in dangerous),
    )
    apart = _beside(report, forged)
    assert [f for f in apart.findings if f.life_safety] == dangerous
    assert apart.exceeds(Severity.ERROR)


def test_what_could_not_be_judged_is_never_left_out(library: Library) -> None:
    # A contact of which nobody says what it may carry.
    report = _review(SOUND.replace("{ contacts 3 A at 30 Vdc }", ""), library)
    assert not report.wholly_assessed
    speaking = [finding for finding in report.findings if not is_recordable(finding, report)]
    assert len(speaking) == 1
    record = recorded(report, "a.plan")
    assert record.findings == ()
    apart = _beside(report, record)
    assert list(apart.findings) == speaking
    assert apart.not_assessed == report.not_assessed
    assert not apart.wholly_assessed


def test_what_could_not_be_read_is_never_left_out(library: Library) -> None:
    report = _review(FAULTY + "wire nonsense\n", library)
    record = recorded(report, "a.plan")
    assert [each.rule for each in record.findings] == ["electrical/polarity"]
    apart = _beside(report, record)
    assert [finding.rule for finding in apart.findings] == ["file/reading"]
    assert not apart.wholly_assessed


def test_a_finding_under_a_variance_is_not_recorded_and_counts_once_that_has_run_out(library: Library) -> None:
    excused = (
        FAULTY + 'variance electrical/polarity on XS1 { reason "spare sensor, to be exchanged"; until 2026-12-31 }\n'
    )
    report = _review(excused, library)
    assert [finding.variance is not None for finding in report.findings] == [True]
    assert recorded(report, "a.plan").findings == ()
    # On record before the variance was given: listed as excused, as without a record.
    record = recorded(_review(FAULTY, library), "a.plan")
    assert _beside(report, record).findings == report.findings


def test_variances_themselves_are_always_shown(library: Library) -> None:
    unused = SOUND + 'variance electrical/polarity on ES1 { reason "none" }\n'
    report = _review(unused, library)
    assert _rules(report.findings) == ["file/variance-unused"]
    assert recorded(report, "a.plan").findings == ()


# --- worse than recorded ---------------------------------------------------------------------------------------


def test_a_severity_raised_shows_the_finding_again(library: Library) -> None:
    report = _review(FAULTY, library)
    record = recorded(report, "a.plan")
    milder = replace(record, findings=tuple(replace(each, severity=Severity.NOTE) for each in record.findings))
    apart = _beside(report, milder)
    assert _rules(apart.findings) == ["electrical/polarity"]
    assert apart.existing is not None
    assert apart.existing.worse == {report.findings[0].fingerprint: "note when it was recorded, now error"}


def test_a_severity_lowered_stays_left_out(library: Library) -> None:
    report = _review(FAULTY, library)
    milder = replace(report, findings=tuple(replace(f, severity=Severity.NOTE) for f in report.findings))
    record = recorded(report, "a.plan")
    assert _beside(milder, record).findings == ()


@pytest.mark.parametrize(
    ("limit", "then", "now", "worse"),
    [
        ("at most 5 %", 6.2, 6.2, False),
        ("at most 5 %", 6.2, 6.25, False),  # within one percent of it
        ("at most 5 %", 6.2, 6.3, True),
        ("at most 5 %", 6.2, 5.5, False),
        ("at least 20.4 V", 19.0, 18.0, True),
        ("at least 20.4 V", 19.0, 18.95, False),
        ("at least 20.4 V", 19.0, 20.0, False),
        ("at most 0 V", 0.0, 0.001, True),
        ("at least 0 V", -10.0, -10.2, True),
        ("at most 5 %", 6.2, float("nan"), True),
        ("16 AWG", 6.2, 99.0, True),  # no bound: nothing says which way is worse
        ("", 6.2, 5.5, True),
        ("", 6.2, 6.25, False),
    ],
)
def test_a_sum_further_from_its_limit_is_worse(
    limit: str, then: float, now: float, worse: bool, library: Library
) -> None:
    report = _review(FAULTY, library)
    finding = report.findings[0]
    before = replace(report, findings=(replace(finding, evidence=(Evidence("drop", then, "%", limit),)),))
    after = replace(report, findings=(replace(finding, evidence=(Evidence("drop", now, "%", limit),)),))
    apart = _beside(after, recorded(before, "a.plan"))
    assert bool(apart.findings) is worse
    assert apart.existing is not None
    assert bool(apart.existing.worse) is worse


def test_a_longer_run_shows_a_recorded_drop_again(library: Library) -> None:
    def run(feet: int) -> PlanReport:
        return _review(LONG_RUN.replace("300 ft", f"{feet} ft"), library)

    record = recorded(run(600), "a.plan")
    assert [(each.rule, len(each.sums)) for each in record.findings] == [("electrical/loop-drop", 4)]
    assert _beside(run(600), record).findings == ()
    assert _beside(run(500), record).findings == ()
    longer = _beside(run(900), record)
    assert "electrical/loop-drop" in _rules(longer.findings)
    assert longer.existing is not None
    # 225 mA through the run: half as much again of what was recorded, 2.354 V.
    assert "2.354 V when it was recorded, now 3.531 V (at most 1.2 V)" in longer.existing.worse.values()


def test_a_rule_that_sums_otherwise_shows_its_finding_again(library: Library) -> None:
    report = _review(LONG_RUN.replace("300 ft", "600 ft"), library)
    record = recorded(report, "a.plan")
    fewer = replace(record, findings=tuple(replace(each, sums=each.sums[:1]) for each in record.findings))
    assert len(_beside(report, fewer).findings) == 1


PROTECTED = """\
plan "T"
revision "A" dated 2026-11-02
jurisdiction us
supply PS1 { output 24 Vdc, 10 A; limits itself to 12 A }
cable C1 { conductors 2 of 22 AWG; length 10 m; colours red, black }
push-button SB1 { contacts 20 A at 30 Vdc }
electric-strike ES1 { rated 24 Vdc, 225 mA; fails secure; suppression built in }
wire PS1:+ to SB1:COM
wire SB1:NO to ES1:+ in C1/red
wire ES1:- to PS1:- in C1/black
door D1 { interior; egress free by lever; locks ES1 }
"""
THINNER = """\
cable C2 { conductors 2 of 30 AWG; length 30 m; colours red, black }
push-button SB2 { contacts 20 A at 30 Vdc }
electric-strike ES2 { rated 24 Vdc, 5 mA; fails secure; suppression built in }
wire PS1:+ to SB2:COM
wire SB2:NO to ES2:+ in C2/red
wire ES2:- to PS1:- in C2/black
"""


def test_another_run_behind_a_recorded_supply_shows_its_finding_again(library: Library) -> None:
    """One finding to a supply, whatever hangs on it: a run of 30 AWG makes it worse, though no sum says so."""
    record = recorded(_review(PROTECTED, library), "a.plan")
    assert [each.rule for each in record.findings] == ["electrical/protector-present"]
    assert _beside(_review("# moved down\n" + PROTECTED, library), record).findings == ()
    apart = _beside(_review(PROTECTED + THINNER, library), record)
    assert [(f.rule, f.subject) for f in apart.findings if f.rule.endswith("present")] == [
        ("electrical/protector-present", "PS1")
    ]
    assert apart.existing is not None
    assert next(iter(apart.existing.worse)) == record.findings[0].fingerprint


def _changed(finding: Finding, now: Finding, report: PlanReport) -> str:
    """What is said of a finding that was recorded as it is in the first place."""
    record = recorded(replace(report, findings=(finding,)), "a.plan")
    apart = _beside(replace(report, findings=(now,)), record)
    assert apart.existing is not None
    return "".join(apart.existing.worse.values())


def test_whatever_it_says_otherwise_shows_a_finding_again(library: Library) -> None:
    report = _review(FAULTY, library)
    plain = replace(report.findings[0], found="2 runs on C1, at 5.0 A", about=("C1",), evidence=())
    assert _changed(plain, plain, report) == ""
    assert _changed(plain, replace(plain, found="2 runs on C1, at 5.04 A"), report) == ""
    for found in ("3 runs on C1, at 5.0 A", "2 runs on C2, at 5.0 A", "2 runs on C1, at 4.9 A", "2 runs on C1"):
        assert _changed(plain, replace(plain, found=found), report) == f"“{plain.found}” when it was recorded"
    assert _changed(plain, replace(plain, about=("C1", "C2")), report) == "not about C2 when it was recorded"
    assert _changed(plain, replace(plain, about=()), report) == ""
    assert _changed(plain, replace(plain, failures=("C1 open",)), report) == "not about C1 open when it was recorded"
    text = replace(plain, evidence=(Evidence("gauge", "22 AWG"),))
    other = replace(plain, evidence=(Evidence("gauge", "24 AWG"),))
    assert _changed(text, other, report) == "gauge: 22 AWG when it was recorded"
    assert "by another sum" in _changed(plain, text, report)


def test_words_may_follow_a_sum_that_came_nearer_to_its_limit(library: Library) -> None:
    report = _review(FAULTY, library)

    def lost(percent: float, found: str) -> Finding:
        return replace(report.findings[0], found=found, evidence=(Evidence("lost", percent, "%", "at most 5 %"),))

    before = lost(10.0, "2.4 V lost, 21.6 V left")
    assert _changed(before, lost(8.0, "1.92 V lost, 21.6 V left"), report) == ""
    assert "when it was recorded" in _changed(before, lost(8.0, "2.4 V lost, 12 V left"), report)
    assert "when it was recorded" in _changed(before, lost(10.0, "1.92 V lost, 21.6 V left"), report)
    # A limit that became stricter is not the same finding.
    tighter = replace(before, evidence=(Evidence("lost", 10.0, "%", "at most 3 %"),))
    assert _changed(before, tighter, report) == "lost: 10 % when it was recorded"


# --- what has gone since ---------------------------------------------------------------------------------------


def test_what_was_mended_is_told_and_can_be_taken_out(library: Library) -> None:
    record = recorded(_review(FAULTY, library), "a.plan")
    report = _review(SOUND, library)
    apart = _beside(report, record)
    assert apart.existing is not None
    assert apart.existing.gone == (("electrical/polarity", "XS1"),)
    assert shortened(record, report).findings == ()
    assert shortened(record, _review(FAULTY, library)) == record


def test_shortening_never_adds(library: Library) -> None:
    record = recorded(_review(SOUND, library), "a.plan")
    assert shortened(record, _review(FAULTY, library)).findings == ()


def test_a_rule_that_was_not_run_or_could_not_judge_has_not_found_nothing(library: Library) -> None:
    record = recorded(_review(FAULTY, library), "a.plan")
    sound = _review(SOUND, library)
    for unsure in (
        replace(sound, rules_run=()),
        replace(sound, unjudged_rules=frozenset({"electrical/polarity"})),
        _review(SOUND + "wire nonsense\n", library),
    ):
        apart = _beside(unsure, record)
        assert apart.existing is not None
        assert (apart.existing.gone, apart.existing.unsure) == ((), (("electrical/polarity", "XS1"),))
        assert shortened(record, unsure) == record


def test_a_gap_names_its_rule(library: Library) -> None:
    report = _review(SOUND.replace("{ contacts 3 A at 30 Vdc }", ""), library)
    assert report.unjudged_rules == {"electrical/contact-rating"}


def test_a_record_is_of_a_plan_by_its_title(library: Library) -> None:
    report = _review(FAULTY, library)
    record = recorded(report, "a.plan")
    assert report.plan is not None
    assert is_of(record, report.plan)
    assert not is_of(replace(record, title="Kestrel Wharf boat school, another room"), report.plan)
