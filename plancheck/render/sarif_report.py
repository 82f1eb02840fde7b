"""Reports as a SARIF log (OASIS, version 2.1.0): findings in the form in which other programs exchange them.

Section numbers are those of the standard, from memory.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from plancheck import __version__
from plancheck.finding import Evidence, Finding
from plancheck.render.finding_text import told
from plancheck.review.report import CAUTION, READING, PlanReport
from plancheck.rulebook.rule import Rule
from plancheck.source import Span
from plancheck.units import show

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
FINGERPRINT = "subject/v1"
"""The name under which a finding's fingerprint stands: what it is made from, and in which way."""
ON_RECORD = "on record as an existing finding"
NEWLINES = ["\r\n", "\n", "\r"]
"""What ends a line of a `Source`. Said nothing of them, a reader of the log would not count the last."""
_SPECIAL = re.compile(r"[\\\[\]]")

Json = dict[str, Any]


def as_sarif(reports: Sequence[PlanReport], rules: Mapping[str, Rule]) -> str:
    """The reports as the text of one log with one run; `rules` are those that may have found something, by id."""
    results = [result for report in reports for result in _results(report)]
    found = list(dict.fromkeys(result["ruleId"] for result in results))
    for result in results:
        result["ruleIndex"] = found.index(result["ruleId"])
    driver = {
        "name": "plancheck",
        "version": __version__,
        "fullDescription": _message(CAUTION),
        "rules": [_descriptor(rule_id, rules.get(rule_id)) for rule_id in found],
    }
    run = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "newlineSequences": NEWLINES,
        "invocations": [_invocation(reports)],
        "artifacts": _artifacts(reports),
        "results": results,
    }
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}
    return json.dumps(log, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _artifacts(reports: Iterable[PlanReport]) -> list[Json]:
    """The texts, each once: the schema wants it, and a broken text of a pack may be named as a plan besides."""
    return [{"location": {"uri": uri}} for uri in dict.fromkeys(_uri(report.source.name) for report in reports)]


def _invocation(reports: Iterable[PlanReport]) -> Json:
    """Whether everything was read and judged; what was not is told as notifications (3.20.21)."""
    notifications = []
    for report in reports:
        for reason in report.not_assessed:
            location = {"physicalLocation": {"artifactLocation": {"uri": _uri(report.source.name)}}}
            told_of = {"level": "warning", "message": _message(f"Not assessed: {reason}"), "locations": [location]}
            notifications.append(told_of)
    whole = all(report.wholly_assessed for report in reports)
    return {"executionSuccessful": whole, "toolExecutionNotifications": notifications}


def _descriptor(rule_id: str, rule: Rule | None) -> Json:
    if rule is None:
        said = "A text can be read and judged" if rule_id == READING else "What a review says of itself"
        return {"id": rule_id, "shortDescription": _message(said)}
    basis = "; ".join(dict.fromkeys(rule.basis_in("")))
    local = "Life safety: check local code." if rule.life_safety else ""
    help_text = " ".join(part for part in (f"Basis: {basis}.", f"Known limits: {rule.known_limits}", local) if part)
    return {
        "id": rule_id,
        "shortDescription": _message(rule.title),
        "help": _message(help_text),
        "defaultConfiguration": {"level": rule.severity.value},
        "properties": {"lifeSafety": rule.life_safety, "basis": list(dict.fromkeys(rule.basis_in("")))},
    }


# --- results -----------------------------------------------------------------------------------------------


def _results(report: PlanReport) -> Iterator[Json]:
    for finding in report.findings:
        yield _result(finding, report)
    for finding in report.existing.left_out if report.existing else ():
        result = _result(finding, report)
        result.setdefault("suppressions", []).append(_suppression(ON_RECORD))
        yield result


def _result(finding: Finding, report: PlanReport) -> Json:
    worse = report.existing.worse.get(finding.fingerprint, "") if report.existing else ""
    result: Json = {
        "ruleId": finding.rule,
        "level": finding.severity.value,
        "message": _message("\n".join([finding.headline, *told(finding, worse)])),
        "locations": [{"physicalLocation": _place(finding.at), "logicalLocations": [_named(finding.subject)]}],
        "partialFingerprints": {FINGERPRINT: finding.fingerprint},
        "properties": _properties(finding),
    }
    if finding.also_at:
        result["relatedLocations"] = [_related(number, span) for number, span in enumerate(finding.also_at, 1)]
    if finding.path:
        result["codeFlows"] = [_flow(finding, report)]
    if finding.variance is not None:
        granted = f"granted by {finding.variance.granted_by}: " if finding.variance.granted_by else ""
        result["suppressions"] = [_suppression(f"{granted}{finding.variance.reason}")]
    return result


def _properties(finding: Finding) -> Json:
    properties: Json = {"subject": finding.subject, "lifeSafety": finding.life_safety}
    if finding.condition is not None:
        properties["condition"] = dict(finding.condition)
    if finding.failure:
        properties["failure"] = finding.failure
        properties["failures"] = list(finding.failures)
    if finding.evidence:
        properties["evidence"] = [_evidence(step) for step in finding.evidence]
    return properties


def _evidence(step: Evidence) -> Json:
    value = step.value
    # JSON has no number for "could not be worked out" and "no limit".
    if isinstance(value, float) and not math.isfinite(value):
        value = None if math.isnan(value) else "no limit"
    return {"what": step.what, "value": value, "unit": step.unit, "limit": step.limit}


def _suppression(justification: str) -> Json:
    """A finding that somebody has accepted, outside the plan's drawing (3.35)."""
    return {"kind": "external", "status": "accepted", "justification": justification}


def _named(subject: str) -> Json:
    return {"name": subject, "kind": "object"}


def _related(number: int, span: Span) -> Json:
    line = span.source.line(span.line).strip()
    return {"id": number, "physicalLocation": _place(span), "message": _message(line or "an empty line")}


def _flow(finding: Finding, report: PlanReport) -> Json:
    """The way of the current, terminal by terminal, each where the wire that leads on from it is drawn (3.36)."""
    volts = dict(finding.replay.readings) if finding.replay else {}
    steps = []
    for number, terminal in enumerate(finding.path, 1):
        beside = [pair for pair in zip(finding.path, finding.path[1:], strict=False) if terminal in pair]
        drawn = next((span for pair in beside if (span := report.wires.get(pair)) is not None), finding.at)
        text = f"{terminal}: {show(volts[terminal], 'voltage')}" if terminal in volts else terminal
        where = {"physicalLocation": _place(drawn), "logicalLocations": [_named(terminal)]}
        steps.append({"location": {**where, "message": _message(text)}, "executionOrder": number})
    return {"message": _message("the way of the current"), "threadFlows": [{"locations": steps}]}


# --- places and texts --------------------------------------------------------------------------------------


def _place(span: Span) -> Json:
    end_line, end_column = span.finish
    region = {"startLine": span.line, "startColumn": span.column, "endLine": end_line, "endColumn": end_column}
    return {"artifactLocation": {"uri": _uri(span.source.name)}, "region": region}


def _uri(name: str) -> str:
    """The address of a file: relative as it was named, or absolute; what a URI may not hold is written by its code."""
    written = quote(name, errors="surrogatepass")
    return f"file://{written}" if Path(name).is_absolute() else written


def _message(text: str) -> Json:
    """A plain text, in which nothing is a link or a placeholder (3.11.5, 3.11.6)."""
    return {"text": _SPECIAL.sub(r"\\\g<0>", text).replace("{", "{{").replace("}", "}}")}
