"""`plancheck review`: plans in, correction lists out."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Mapping, Sequence
from datetime import date

from plancheck.cli.output import UNREAD, page_width, takes_colour, written
from plancheck.cli.reviewing import reviewed
from plancheck.finding import Severity
from plancheck.library.files import Found, find_plans
from plancheck.library.house import ByHouse
from plancheck.library.load import load_library
from plancheck.library.refusal import UsageError
from plancheck.review.report import PlanReport
from plancheck.rulebook.rule import Rule

FOUND, NOTHING = 1, 0


def review(options: Namespace) -> int:
    """Reviews what the command line names and returns the exit status."""
    found = find_plans(options.paths)
    check_target(options.to, found, options.existing)
    check_target(options.index, found, options.existing, "--index")
    if options.index and options.to and os.path.realpath(options.index) == os.path.realpath(options.to):
        raise UsageError(f"--index: “{options.index}” is what --to names; name another file.")
    houses = ByHouse(load_library, options.packs, options.house, options.paths)
    reports = reviewed(found, houses, day_of(options), options.processes)
    if options.existing is not None:
        from plancheck.cli.existing_record import beside

        reports = beside(reports, options.existing)
    reports.sort(key=lambda report: report.source.name)
    status = exit_status(reports, Severity(options.fail_at))
    rules = {rule.id: rule for library in houses.all(found.plans) for rule in library.rulebook.rules}
    if options.index is not None:
        from plancheck.render.submittal.index_page import index_page

        status = written(index_page(reports, day_of(options).isoformat()), options.index, status)
    return written(_rendered(reports, options, rules), options.to, status)


def day_of(options: Namespace) -> date:
    """The day by which is judged: as asked, or today."""
    return date.fromisoformat(options.as_of) if options.as_of else date.today()


def exit_status(reports: Sequence[PlanReport], threshold: Severity) -> int:
    """2 where anything was left unread or unassessed, else 1 for findings at the threshold, else 0."""
    if not all(report.wholly_assessed for report in reports):
        return UNREAD
    return FOUND if any(report.exceeds(threshold) for report in reports) else NOTHING


def check_target(target: str | None, found: Found, record: str | None = None, option: str = "--to") -> None:
    """Refuses a file to write to that is none, or that is one of the plans or the record that is read."""
    if target is None:
        return
    if not target or os.path.isdir(target):
        raise UsageError(f"{option}: “{target}” is a folder; name a file.")
    if not os.path.isdir(os.path.dirname(os.path.abspath(target))):
        raise UsageError(f"{option}: the folder of “{target}” does not exist.")
    if any(os.path.realpath(path) == os.path.realpath(target) for path in found.plans):
        raise UsageError(f"{option}: “{target}” is a plan to review; it would be overwritten.")
    if record is not None and os.path.realpath(record) == os.path.realpath(target):
        raise UsageError(f"{option}: “{target}” is the record to read; it would be overwritten.")


def _rendered(reports: Sequence[PlanReport], options: Namespace, rules: Mapping[str, Rule]) -> str:
    if options.form == "json":
        from plancheck.render.json_report import as_json

        return as_json(reports)
    if options.form == "sarif":
        from plancheck.render.sarif_report import as_sarif

        return as_sarif(reports, rules)
    from plancheck.render.layout import Page
    from plancheck.render.paint import Paint
    from plancheck.render.text import letter

    on_terminal = options.to is None and takes_colour(sys.stdout)
    return letter(reports, Page(page_width(options.width, sys.stdout), Paint(on_terminal), options.full))
