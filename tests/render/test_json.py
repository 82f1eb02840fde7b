"""The JSON report: its shape is a contract with whoever reads it."""

from __future__ import annotations

import json
import math
from typing import Any

import jsonschema
from jsonschema.validators import validator_for
from syrupy.assertion import SnapshotAssertion

from plancheck.finding import Evidence
from plancheck.render.json_report import as_json, schema
from plancheck.review.report import PlanReport
from plancheck.source import Source, Span
from tests.render.reports import (
    adopted_report,
    clinic_report,
    drop_warning,
    misread_report,
    missing_report,
    plan_of,
    quiet_report,
)

ALL = [clinic_report, quiet_report, adopted_report, misread_report, missing_report]


def _read(*reports: PlanReport) -> Any:
    def no_constant(name: str) -> None:
        raise AssertionError(f"{name} is no JSON")

    return json.loads(as_json(reports), parse_constant=no_constant)


def test_report(snapshot: SnapshotAssertion) -> None:
    assert as_json([report() for report in ALL]) == snapshot


def test_schema(snapshot: SnapshotAssertion) -> None:
    assert json.dumps(schema(), indent=2) == snapshot


def test_reports_fit_their_schema() -> None:
    shape = schema()
    validator = validator_for(shape, default=jsonschema.Draft202012Validator)
    validator.check_schema(shape)
    assert list(validator(shape).iter_errors(_read(*(report() for report in ALL)))) == []


def test_schema_refuses_what_is_none() -> None:
    report = _read(clinic_report())
    report["plans"][0]["findings"][0]["severity"] = "fatal"
    report["plans"][0]["findings"][1]["at"]["line"] = "six"
    del report["caution"]
    validator = jsonschema.Draft202012Validator(schema())
    assert len(list(validator.iter_errors(report))) == 3


def test_members_are_those_of_the_contract() -> None:
    # Written out key by key and in order, apart from the models.
    report = _read(clinic_report())
    assert list(report) == ["tool", "plans", "caution"]
    assert list(report["tool"]) == ["name", "version"]
    plan = report["plans"][0]
    assert list(plan) == [
        "file", "title", "revision", "findings", "rules_run", "conditions", "not_assessed", "house", "packs", "changes",
        "existing",
    ]  # fmt: skip
    finding = plan["findings"][0]
    assert list(finding) == [
        "rule", "severity", "life_safety", "subject", "headline", "found", "required", "path", "evidence",
        "basis", "remedy", "check_local_code", "at", "also_at", "condition", "failure", "failures", "replay",
        "fingerprint", "variance", "existing", "worse_than_recorded",
    ]  # fmt: skip
    assert list(finding["evidence"][0]) == ["what", "value", "unit", "limit"]
    assert list(finding["at"]) == ["file", "line", "column", "end_line", "end_column"]


def test_what_is_on_record_is_marked() -> None:
    plan = _read(adopted_report())["plans"][0]
    assert [(f["subject"], f["existing"], f["worse_than_recorded"]) for f in plan["findings"]] == [
        ("ML1.coil", False, "5.4 % when it was recorded, now 6.2 % (at most 5 %)"),
        ("ML2.coil", True, None),
    ]
    assert list(plan["existing"]) == ["recorded", "on_record", "left_out", "gone", "unsure"]
    assert plan["existing"]["unsure"] == [{"rule": "house/run-gauge", "subject": "C1"}]


def test_places_count_from_one() -> None:
    # "ML1:+" stands in line 6 of the plan behind "wire RX1:NC to ", 15 characters.
    finding = _read(clinic_report())["plans"][0]["findings"][0]
    assert finding["at"] == {
        "file": "jobs/clinic.plan",
        "line": 6,
        "column": 16,
        "end_line": 6,
        "end_column": 21,
    }


def test_numbers_that_json_lacks() -> None:
    source = Source("a.plan", "C1/red")
    steps = (Evidence("x", math.inf, "V"), Evidence("y", math.nan, "V"), Evidence("z", None))
    report = PlanReport(source, plan_of(source), (drop_warning(source, evidence=steps),))
    values = [step["value"] for step in _read(report)["plans"][0]["findings"][0]["evidence"]]
    assert values == ["no limit", None, None]


def test_fingerprint_stays_when_lines_move() -> None:
    source = Source("a.plan", "C1/red")
    moved = Source("a.plan", "\n\n\nC1/red")
    before, after = drop_warning(source), drop_warning(moved, at=Span(moved, 3, 9))
    assert before.fingerprint == after.fingerprint
    assert before.fingerprint != drop_warning(source, subject="ML2.coil").fingerprint
