"""All files of one plan's package: pages, the same data as JSON, and as tables."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import Any

from plancheck.render.acceptance_csv import acceptance_csv
from plancheck.render.csv_rows import csv_text
from plancheck.render.failures_csv import failures_csv
from plancheck.render.finding_text import badges
from plancheck.render.json_report import as_json
from plancheck.render.operation_json import failures_json, sequence_json
from plancheck.render.sequence_csv import sequence_csv
from plancheck.render.submittal.page import pages
from plancheck.review.acceptance import AcceptanceSheet
from plancheck.review.report import PlanReport
from plancheck.review.schedules.table import Amount, Cell
from plancheck.review.submittal import Submittal
from plancheck.units import SI_UNIT

VERSION = 1
"""Of the JSON: it changes when a reader of an earlier one would read it wrongly."""

HEAD = ("no.", "severity", "life safety", "rule", "subject", "headline", "found", "required", "remedy", "basis",
        "file", "line", "variance")  # fmt: skip


def package(submittal: Submittal, stem: str) -> Iterator[tuple[str, str]]:
    """Names, from the folder of the package on, and texts; `stem` is the plan's own part of every name."""
    for page in pages(submittal, stem.rpartition("/")[2]):
        yield f"{stem}{page.ending}.html", page.html
    yield f"{stem}.json", _json(submittal)
    for name, text in _tables(submittal):
        yield f"{stem}-tables/{name}.csv", text


def _tables(submittal: Submittal) -> Iterator[tuple[str, str]]:
    yield "corrections", csv_text(HEAD, _corrections(submittal.report))
    yield "sequence", sequence_csv(submittal.sequence)
    yield "failures", failures_csv(submittal.failures)
    yield "test-sheet", acceptance_csv(submittal.acceptance)
    for schedule in submittal.schedules:
        yield schedule.key, csv_text(schedule.head, ([str(cell) for cell in row] for row in schedule.rows))


def _corrections(report: PlanReport) -> Iterator[list[str]]:
    for number, f in enumerate(report.findings, 1):
        severity, *_ = badges(f)
        variance = f"{f.variance.granted_by} {f.variance.reference}".strip() or "yes" if f.variance else ""
        yield [
            str(number), severity.lower(), "yes" if f.life_safety else "no", f.rule, f.subject, f.headline, f.found,
            f.required, f.remedy, "; ".join(f.basis), f.at.source.name, str(f.at.line), variance,
        ]  # fmt: skip


def _acceptance(sheet: AcceptanceSheet) -> dict[str, Any]:
    return {
        "cautions": sheet.cautions,
        "tolerance": sheet.tolerance,
        "steps": [
            {
                "number": step.number,
                "door": step.door,
                "do": step.do,
                "setting": dict(step.setting),
                "must": dict(step.must),
                "readings": [
                    {"from": r.plus, "to": r.minus, "mode": r.mode}
                    | ({"why": r.why} if r.why else {"volts": r.volts, "least": r.least, "most": r.most})
                    for r in step.readings
                ],
                "notes": step.notes,
            }
            for step in sheet.steps
        ],
    }


def _cell(cell: Cell) -> Any:
    """A text, or an amount as a number in the SI unit of its dimension, with the words for it; none without bound."""
    if not isinstance(cell, Amount):
        return cell
    value = cell.value if math.isfinite(cell.value) else None
    return {"value": value, "unit": SI_UNIT.get(cell.dimension, ""), "shown": str(cell)}


def _json(submittal: Submittal) -> str:
    told = {
        "version": VERSION,
        "review": json.loads(as_json([submittal.report])),
        "sequence": json.loads(sequence_json(submittal.sequence)),
        "failures": json.loads(failures_json(submittal.failures)),
        "packs": [
            {"name": seal.name, "title": seal.title, "rules": seal.rules, "sha256": seal.digest}
            for seal in submittal.seals
        ],
        "acceptance": _acceptance(submittal.acceptance),
        "schedules": {
            schedule.key: {
                "title": schedule.title,
                "columns": schedule.head,
                "rows": [[_cell(cell) for cell in row] for row in schedule.rows],
                "notes": schedule.notes,
            }
            for schedule in submittal.schedules
        },
    }
    return json.dumps(told, indent=2, ensure_ascii=False) + "\n"
