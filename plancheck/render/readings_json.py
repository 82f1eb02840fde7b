"""What came of readings, as JSON."""

from __future__ import annotations

import json
from typing import Any

from plancheck.review.diagnosis import Checked, Diagnosis

VERSION = 1


def readings_json(found: Diagnosis) -> str:
    """The whole answer; volts as numbers, null where not known."""
    following = found.next_reading
    told = {
        "version": VERSION,
        "plan": {"title": found.plan.title, "revision": found.plan.revision, "file": found.plan.source.name},
        "readings": [_checked(each) for each in found.checked],
        "tried": found.tried,
        "not_tried": found.left_out,
        "explanations": [
            {"what": e.what, "explained": e.explained, "misfit": round(e.misfit, 3), "alike": list(e.alike)}
            for e in found.explanations
        ],
        "next": following
        and {
            "from": following.plus,
            "to": following.minus,
            "setting": dict(following.setting),
            "outcomes": [{"volts": round(volts, 2), "if": list(names)} for volts, names in following.outcomes],
        },
    }
    return json.dumps(told, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _checked(each: Checked) -> dict[str, Any]:
    band = each.expected
    return {
        "from": each.read.plus,
        "to": each.read.minus,
        "setting": dict(each.read.setting),
        "volts": each.read.volts,
        "within": each.within,
        "expected": band and {"volts": band.volts, "least": band.least, "most": band.most},
        "why": each.why,
    }
