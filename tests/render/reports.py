"""Reports made by hand, as a review would make them, for the renderings to show."""

from __future__ import annotations

from plancheck.finding import Evidence, Finding, Mistake, Severity, VarianceRecord
from plancheck.plan.model import Plan
from plancheck.review.report import PlanReport, SetApart, in_order, reading_finding, unread
from plancheck.source import Source, Span

CLINIC = """\
plan "Harbour Street clinic, rear entrance"
revision "C" dated 2026-11-20

supply PS1 { output 24 Vdc, 2.5 A }
wire PS1:+  to RX1:COM
wire RX1:NC to ML1:+ in C1/red
wire ML1:-  to PS1:- in C1/black
"""


def span(source: Source, words: str, occurrence: int = 1) -> Span:
    """Where some words stand in a source."""
    at = -1
    for _ in range(occurrence):
        at = source.text.index(words, at + 1)
    return Span(source, at, at + len(words))


def plan_of(source: Source, title: str = "Harbour Street clinic, rear entrance", revision: str = "C") -> Plan:
    """A plan of which only the headers matter here."""
    return Plan(source, title, revision, "2026-11-20", "us", (), 273.15, 313.15, {}, (), ())


def held_on_alarm(source: Source, **changes: object) -> Finding:
    """A life-safety error with everything that a finding can carry but a variance."""
    given: dict[str, object] = {
        "rule": "egress/fire-alarm-release",
        "severity": Severity.ERROR,
        "life_safety": True,
        "subject": "ML1",
        "headline": "ML1 is held at 23.8 V on fire alarm",
        "found": "ML1 is held at 23.8 V when fire alarm on",
        "required": "ML1 released whenever the fire alarm is on, whatever else happens",
        "remedy": "Take the lock's feed through a contact that the alarm opens, with nothing in parallel.",
        "at": span(source, "ML1:+"),
        "also_at": (span(source, "RX1:COM"),),
        "path": ("PS1:+", "RX1:COM", "RX1:NC", "ML1:+", "ML1:-", "PS1:-"),
        "evidence": (
            Evidence("volts at ML1", 23.8, "V", "at most 6 V"),
            Evidence("24 V − 0.2 V", 23.8, "V"),
        ),
        "basis": ("IBC 2021, 1010.2.12 (published)", "NFPA 101-2021, 7.2.1.6.2 (from memory)"),
        "condition": {"alarm": True, "PS1.mains": True},
    }
    return Finding(**{**given, **changes})  # type: ignore[arg-type]


def drop_warning(source: Source, **changes: object) -> Finding:
    """A warning without path and condition."""
    given: dict[str, object] = {
        "rule": "electrical/loop-drop",
        "severity": Severity.WARNING,
        "life_safety": False,
        "subject": "ML1.coil",
        "headline": "6.2 % of the voltage is lost on the way to ML1",
        "found": "1.49 V of 24 V lost in the run to ML1",
        "required": "at most 5 %",
        "remedy": "Use a larger gauge or a shorter run.",
        "at": span(source, "C1/red"),
        "evidence": (Evidence("1.49 V ÷ 24 V", 6.2, "%", "at most 5 %"),),
        "basis": ("common practice, no source",),
    }
    return Finding(**{**given, **changes})  # type: ignore[arg-type]


def clinic_report() -> PlanReport:
    """Two findings, one of them under a variance besides; something not assessed, something assumed."""
    source = Source("jobs/clinic.plan", CLINIC)
    granted = VarianceRecord("glazed sidelight", "building official", "VAR-2026-014", "2027-06-30")
    location = drop_warning(
        source,
        rule="egress/button-location",
        severity=Severity.ERROR,
        life_safety=True,
        subject="D101",
        headline="The button of D101 is 66 in from the door",
        at=span(source, "PS1"),
        evidence=(),
        variance=granted,
    )
    return PlanReport(
        source,
        plan_of(source),
        in_order([drop_warning(source), location, held_on_alarm(source)]),
        rules_run=("egress/button-location", "egress/fire-alarm-release", "electrical/loop-drop"),
        conditions=212,
        not_assessed=("electrical/least-volts-at-load for KP1: C4 states no length",),
        assumed=("2 wires without a cable or a length taken as short jumpers of no resistance.",),
        gaps=1,
    )


def quiet_report() -> PlanReport:
    """Nothing found, everything assessed."""
    source = Source("jobs/quiet.plan", CLINIC)
    return PlanReport(
        source,
        plan_of(source, "Harbour Street clinic, store room", "A"),
        (),
        rules_run=("egress/fire-alarm-release",),
        conditions=8,
    )


def adopted_report() -> PlanReport:
    """A plan beside its record: one finding worse, one left out, seven gone, one that could not be judged again."""
    source = Source("jobs/adopted.plan", CLINIC)
    worse, left_out = drop_warning(source), drop_warning(source, subject="ML2.coil", severity=Severity.NOTE)
    apart = SetApart(
        "2026-11-02",
        left_out=(left_out,),
        worse={worse.fingerprint: "5.4 % when it was recorded, now 6.2 % (at most 5 %)"},
        gone=tuple(("electrical/polarity", f"XS{n}") for n in range(1, 8)),
        unsure=(("house/run-gauge", "C1"),),
    )
    return PlanReport(
        source,
        plan_of(source, "Harbour Street clinic, ward", "B"),
        (worse,),
        rules_run=("electrical/loop-drop", "electrical/polarity"),
        conditions=4,
        existing=apart,
    )


def misread_report() -> PlanReport:
    """A plan of which one statement could not be read."""
    source = Source("jobs/misread.plan", CLINIC.replace("ML1:-  to", "ML1:-  tu"))
    mistake = Mistake(span(source, "tu"), "A wire goes “to” its other end", "“tu”", "“to”", "Did you mean “to”?")
    return PlanReport(
        source,
        plan_of(source),
        in_order([reading_finding(mistake)]),
        rules_run=("egress/fire-alarm-release",),
        conditions=8,
        not_assessed=("Part of the text could not be read.",),
        mistakes=(mistake,),
    )


def missing_report() -> PlanReport:
    """A file that is not there."""
    source = Source("jobs/missing.plan", "")
    return unread(source, (Mistake(Span(source, 0, 0), "“jobs/missing.plan” cannot be read: no such file"),))
