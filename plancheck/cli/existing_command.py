"""`plancheck existing`: what is found in old plans today is put on record, or a record is made shorter."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Sequence
from pathlib import Path

from plancheck.cli.existing_record import RecordFile, file_seen_from, folder_of, read_file
from plancheck.cli.output import UNREAD, UnwritableError, complain, page_width, put, takes_colour, write_whole
from plancheck.cli.review_command import check_target, day_of
from plancheck.cli.reviewing import reviewed
from plancheck.finding import Mistake
from plancheck.library.files import find_plans, read_text
from plancheck.library.house import ByHouse
from plancheck.library.load import load_library
from plancheck.library.refusal import UsageError
from plancheck.render.layout import Page
from plancheck.render.paint import Paint
from plancheck.review.existing import PlanRecord, Record, is_recordable, recorded, shortened
from plancheck.review.record_text import is_record, record_text
from plancheck.review.report import PlanReport, unread


def existing(options: Namespace) -> int:
    """Writes the record and returns the exit status."""
    found = find_plans(options.paths)
    check_target(options.to, found)
    old = _old(options)
    houses = ByHouse(load_library, options.packs, options.house, options.paths)
    reports = sorted(reviewed(found, houses, day_of(options), options.processes), key=lambda report: report.source.name)
    misread = [report for report in reports if report.plan is None or report.mistakes]
    if misread:
        return _refused(misread)
    if old is not None:
        return _shorten(old, reports, options)
    return _record(reports, options)


def _old(options: Namespace) -> RecordFile | None:
    """The record to be made shorter. Refuses to write over anything that was not to be written over."""
    if not options.shorten:
        _may_write(options)
        return None
    held, mistakes = read_file(options.to)
    if held is None:
        raise UsageError(f"--shorten: {_in_a_line(mistakes[0])}")
    return held


def _in_a_line(mistake: Mistake) -> str:
    place = f"{mistake.at.source.name}, line {mistake.at.line}, column {mistake.at.column}: " if mistake.found else ""
    found = f": found {mistake.found}, expected {mistake.expected}" if mistake.found else ""
    return f"{place}{mistake.headline}{found}."


def _may_write(options: Namespace) -> None:
    if not os.path.lexists(options.to):
        return
    source, _ = read_text(Path(options.to))
    if not is_record(source.text):
        raise UsageError(f"--to: “{options.to}” is there and is no record of existing findings.")
    if not options.replace:
        raise UsageError(
            f"--to: “{options.to}” is a record already. --shorten takes out of it what has gone, "
            "--replace writes it anew."
        )


def _refused(misread: Sequence[PlanReport]) -> int:
    from plancheck.render.text import mistakes_of

    told = [unread(report.source, report.mistakes) for report in misread]
    complain(mistakes_of(told, Page(page_width(None, sys.stderr))))
    complain("plancheck: nothing was recorded: not everything could be read.\n")
    return UNREAD


def _record(reports: Sequence[PlanReport], options: Namespace) -> int:
    from plancheck.render.existing_text import recorded_page

    folder = folder_of(options.to)
    plans = [recorded(report, file_seen_from(folder, report.source.name)) for report in reports]
    left = [[f for f in report.findings if not is_recordable(f, report)] for report in reports]
    page = recorded_page(reports, plans, left, options.to, _page(options))
    return _written(Record(day_of(options).isoformat(), _by_file(plans)), page, reports, options)


def _shorten(old: RecordFile, reports: Sequence[PlanReport], options: Namespace) -> int:
    from plancheck.render.existing_text import shortened_page

    plans = dict(old.record.plans)
    told: list[tuple[PlanReport, PlanRecord | None, PlanRecord | None]] = []
    for report in reports:
        before = old.of(report)
        if before is not None and (mistake := old.mistaken(report, before)) is not None:
            raise UsageError(f"--shorten: {_in_a_line(mistake)}")
        after = None if before is None else shortened(before, report)
        told.append((report, before, after))
        if after is not None:
            plans[after.file] = after
    page = shortened_page(told, options.to, _page(options))
    return _written(Record(old.record.day, plans), page, reports, options)


def _by_file(plans: Sequence[PlanRecord]) -> dict[str, PlanRecord]:
    return {plan.file: plan for plan in plans}


def _written(record: Record, page: str, reports: Sequence[PlanReport], options: Namespace) -> int:
    try:
        write_whole(options.to, record_text(record))
    except UnwritableError as refusal:
        complain(f"plancheck: {refusal}\n")
        return UNREAD
    return put(page, 0 if all(report.wholly_assessed for report in reports) else UNREAD)


def _page(options: Namespace) -> Page:
    return Page(page_width(options.width, sys.stdout), Paint(takes_colour(sys.stdout)))
