"""The SARIF log, against the schema of the standard: OASIS, SARIF 2.1.0, JSON schema (published)."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from plancheck.finding import Evidence, Replay
from plancheck.render.sarif_report import as_sarif
from plancheck.review.report import PlanReport
from plancheck.source import Source
from tests.authoring.views import library
from tests.render.reports import (
    adopted_report,
    clinic_report,
    drop_warning,
    held_on_alarm,
    misread_report,
    missing_report,
    plan_of,
    quiet_report,
)

ALL = [clinic_report, quiet_report, adopted_report, misread_report, missing_report]
RULES = {rule.id: rule for rule in library().rulebook.rules}


def _log(*reports: PlanReport) -> Any:
    return json.loads(as_sarif(reports, RULES))


def _run(*reports: PlanReport) -> Any:
    return _log(*reports)["runs"][0]


def test_every_log_fits_the_schema_of_the_standard() -> None:
    schema = json.loads((Path(__file__).parent / "sarif-2.1.0.json").read_text(encoding="utf-8"))
    validator = jsonschema.Draft4Validator(schema)
    validator.check_schema(schema)
    for reports in ([report() for report in ALL], [], [quiet_report()], [missing_report(), missing_report()]):
        assert [error.message for error in validator.iter_errors(_log(*reports))] == []
    wrong = _log(clinic_report())
    wrong["runs"][0]["results"][0]["level"] = "fatal"
    assert not validator.is_valid(wrong)


def test_a_finding_is_a_result_with_its_places_and_its_way() -> None:
    run = _run(clinic_report())
    result = next(each for each in run["results"] if each["ruleId"] == "egress/fire-alarm-release")
    assert result["level"] == "error"
    assert result["message"]["text"].startswith("ML1 is held at 23.8 V on fire alarm\nLIFE SAFETY")
    assert "check local code" in result["message"]["text"]
    place = result["locations"][0]["physicalLocation"]
    assert place["artifactLocation"]["uri"] == "jobs/clinic.plan"
    # Line 6: `wire RX1:NC to ML1:+ in C1/red`, its sixteenth character on.
    assert place["region"] == {"startLine": 6, "startColumn": 16, "endLine": 6, "endColumn": 21}
    assert [each["id"] for each in result["relatedLocations"]] == [1]
    (flow,) = result["codeFlows"][0]["threadFlows"]
    terminals = [step["location"]["logicalLocations"][0]["name"] for step in flow["locations"]]
    assert terminals == ["PS1:+", "RX1:COM", "RX1:NC", "ML1:+", "ML1:-", "PS1:-"]
    assert run["tool"]["driver"]["rules"][result["ruleIndex"]]["id"] == "egress/fire-alarm-release"
    assert "check local code" in run["tool"]["driver"]["rules"][result["ruleIndex"]]["help"]["text"]
    assert len(result["partialFingerprints"]["subject/v1"]) == 16


def test_a_finding_under_variance_is_suppressed_with_the_reason() -> None:
    results = _run(clinic_report())["results"]
    (suppressed,) = [result for result in results if "suppressions" in result]
    assert suppressed["suppressions"] == [
        {
            "kind": "external",
            "status": "accepted",
            "justification": "granted by building official: glazed sidelight",
        }
    ]


def test_what_was_not_assessed_is_told_and_is_no_success() -> None:
    run = _run(clinic_report(), missing_report())
    (invocation,) = run["invocations"]
    assert invocation["executionSuccessful"] is False
    assert all(n["message"]["text"].startswith("Not assessed: ") for n in invocation["toolExecutionNotifications"])
    assert _run(quiet_report())["invocations"][0]["executionSuccessful"] is True


def test_volts_of_the_replay_stand_on_the_way() -> None:
    source = clinic_report().source
    replay = Replay(("fire alarm on",), (), (), (("PS1:+", 24.0), ("ML1:+", 23.8)))
    finding = replace(held_on_alarm(source), replay=replay)
    run = _run(PlanReport(source, plan_of(source), (finding,)))
    steps = run["results"][0]["codeFlows"][0]["threadFlows"][0]["locations"]
    told = [step["location"]["message"]["text"] for step in steps]
    assert told[:4] == ["PS1:+: 24 V", "RX1:COM", "RX1:NC", "ML1:+: 23.8 V"]


@pytest.mark.parametrize(
    ("name", "uri"),
    [
        ("jobs/door 1.plan", "jobs/door%201.plan"),
        ("jobs/é#1?.plan", "jobs/%C3%A9%231%3F.plan"),
        ("/srv/a b.plan", "file:///srv/a%20b.plan"),
        ("c:x.plan", "c%3Ax.plan"),
        ("\U0001f6aa.plan", "%F0%9F%9A%AA.plan"),
    ],
)
def test_addresses_hold_what_an_address_may_hold(name: str, uri: str) -> None:
    source = Source(name, clinic_report().source.text)
    run = _run(PlanReport(source, plan_of(source), (drop_warning(source),)))
    assert run["artifacts"][0]["location"]["uri"] == uri


def test_texts_are_plain_whatever_they_hold() -> None:
    """Brackets would be links and braces placeholders (3.11.5 and 3.11.6, from memory)."""
    source = clinic_report().source
    finding = drop_warning(source, headline='[a](b) {0} \\ "q" <script> \U0001f6aa \x07')
    text = _run(PlanReport(source, plan_of(source), (finding,)))["results"][0]["message"]["text"]
    assert text.startswith('\\[a\\](b) {{0}} \\\\ "q" <script> \U0001f6aa \x07')


def test_a_text_that_is_reported_twice_is_one_artifact() -> None:
    run = _run(missing_report(), missing_report())
    assert run["artifacts"] == [{"location": {"uri": "jobs/missing.plan"}}]
    assert len(run["results"]) == 2


def test_lines_are_counted_as_a_review_counts_them() -> None:
    # A reader of the log takes CR LF and LF alone for line ends unless it is told (the schema's own default).
    source = Source("old.plan", "first\rsecond\rC1/red")
    run = _run(PlanReport(source, plan_of(source), (drop_warning(source),)))
    assert run["results"][0]["locations"][0]["physicalLocation"]["region"]["startLine"] == 3
    assert sorted(run["newlineSequences"]) == ["\n", "\r", "\r\n"]


def test_what_is_worse_than_recorded_is_said() -> None:
    worse, left_out = (result["message"]["text"] for result in _run(adopted_report())["results"])
    assert "WORSE THAN RECORDED" in worse
    assert "On record: 5.4 % when it was recorded, now 6.2 % (at most 5 %)" in worse
    assert "On record" not in left_out


def test_the_sum_stands_in_numbers_and_what_is_none_in_words() -> None:
    source = clinic_report().source
    steps = (Evidence("volts", 23.8, "V", "at most 6 V"), Evidence("x", math.inf, "V"), Evidence("y", math.nan))
    run = _run(PlanReport(source, plan_of(source), (drop_warning(source, evidence=steps),)))
    assert run["results"][0]["properties"]["evidence"] == [
        {"what": "volts", "value": 23.8, "unit": "V", "limit": "at most 6 V"},
        {"what": "x", "value": "no limit", "unit": "V", "limit": ""},
        {"what": "y", "value": None, "unit": "", "limit": ""},
    ]
