"""A record of existing findings as a file: read, found of which plans it speaks, and laid beside a review."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from plancheck.finding import Mistake
from plancheck.library.files import read_text, shown_name
from plancheck.review.existing import PlanRecord, Record, is_of, set_apart
from plancheck.review.record_text import plan_place, read_record
from plancheck.review.report import PlanReport, SetApart, unread
from plancheck.source import Source


@dataclass(frozen=True, slots=True)
class RecordFile:
    """A record that was read, and the folder from which it names plans."""

    source: Source
    record: Record
    folder: str

    def of(self, report: PlanReport) -> PlanRecord | None:
        """What it holds of the plan of a report."""
        return self.record.plans.get(file_seen_from(self.folder, report.source.name))

    def mistaken(self, report: PlanReport, held: PlanRecord) -> Mistake | None:
        """That what it holds was recorded of another plan in the same place."""
        if report.plan is None or is_of(held, report.plan):
            return None
        return Mistake(
            plan_place(self.source, held.file),
            "The record is of another plan: nothing is left out for it",
            found=f"“{held.title}”",
            expected=f"“{report.plan.title}”, the title of “{report.source.name}”",
            hint="Record the plan anew: plancheck existing PATH --to FILE --replace.",
        )


def read_file(path: str) -> tuple[RecordFile | None, tuple[Mistake, ...]]:
    """The record in a file, or why there is none."""
    source, trouble = read_text(Path(path))
    if trouble is not None:
        return None, (replace(trouble, expected="a record of existing findings" if trouble.expected else ""),)
    record, mistakes = read_record(source)
    return (None, tuple(mistakes)) if mistakes else (RecordFile(source, record, folder_of(path)), ())


def folder_of(path: str) -> str:
    """The folder from which a record names its plans: that in which it stands."""
    return os.path.dirname(os.path.realpath(path))


def file_seen_from(folder: str, name: str) -> str:
    """A plan's file by its way from a folder, so that both may be moved together."""
    real = os.path.realpath(name)
    try:
        return shown_name(os.path.relpath(real, folder))
    except ValueError:  # on another drive
        return shown_name(real)


def beside(reports: Sequence[PlanReport], path: str) -> list[PlanReport]:
    """The reports without what a record holds. A wrong record is told as one more text, and leaves out nothing."""
    held, mistakes = read_file(path)
    if held is None:
        return [*reports, unread(mistakes[0].at.source, mistakes)]
    foreign: list[Mistake] = []
    apart = [_beside(report, held, foreign) for report in reports]
    return [*apart, unread(held.source, tuple(foreign))] if foreign else apart


def _beside(report: PlanReport, held: RecordFile, foreign: list[Mistake]) -> PlanReport:
    if report.plan is None:
        return report
    found = held.of(report)
    if found is None:
        return replace(report, existing=SetApart(held.record.day, on_record=False))
    mistake = held.mistaken(report, found)
    if mistake is not None:
        foreign.append(mistake)
        return report
    return set_apart(report, found, held.record.day)
