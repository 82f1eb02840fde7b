"""A comparison of two revisions, as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from plancheck.finding import Finding
from plancheck.plan.model import Plan
from plancheck.review.comparing.comparison import Change, Comparison

VERSION = 1


def compare_json(found: Comparison) -> str:
    """The whole comparison; null where something was not, or is not."""
    told = {
        "version": VERSION,
        "old": _plan(found.old),
        "new": _plan(found.new),
        "changed": found.changed,
        "title": _changes(found.title),
        "devices": {
            "come": found.come,
            "gone": found.gone,
            "renamed": [{"old": old, "new": new} for old, new in found.renamed],
        },
        "data": _changes(found.data),
        "connections": [{"stayed": n.stayed, "joined": n.joined, "left": n.left} for n in found.nets],
        "conductors": _changes(found.conductors),
        "states": _changes(found.states),
        "findings": {
            "come": [_finding(finding) for finding in found.findings_come],
            "gone": [_finding(finding) for finding in found.findings_gone],
            "changed": _changes(found.findings_changed),
        },
        "not_assessed": found.not_assessed,
    }
    return json.dumps(told, indent=2, ensure_ascii=False) + "\n"


def _plan(plan: Plan) -> dict[str, str]:
    return {"title": plan.title, "revision": plan.revision, "dated": plan.dated, "file": plan.source.name}


def _changes(changes: Sequence[Change]) -> list[dict[str, Any]]:
    return [{"of": c.of, "what": c.what, "old": c.old or None, "new": c.new or None} for c in changes]


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "severity": finding.severity.value,
        "life_safety": finding.life_safety,
        "check_local_code": finding.check_local_code,
        "subject": finding.subject,
        "headline": finding.headline,
        "fingerprint": finding.fingerprint,
    }
