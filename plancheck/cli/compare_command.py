"""`plancheck compare`: two revisions of a plan in, what changed out."""

from __future__ import annotations

import sys
from argparse import Namespace
from pathlib import Path

from plancheck.cli.output import UNREAD, complain, page_width, takes_colour, written
from plancheck.cli.review_command import FOUND, NOTHING, check_target, day_of
from plancheck.cli.reviewing import reviewed_plan
from plancheck.library.files import Found, read_text, shown_name
from plancheck.library.house import ByHouse
from plancheck.library.load import Library, load_library
from plancheck.library.own_fault import own_fault
from plancheck.library.refusal import UsageError
from plancheck.render.layout import Page
from plancheck.render.paint import Paint
from plancheck.review.comparing.compare import compared
from plancheck.review.comparing.comparison import Comparison
from plancheck.review.report import PlanReport, unread


def compare(options: Namespace) -> int:
    """Compares two plans and returns the exit status."""
    paths = [Path(path) for path in options.paths]
    for path in paths:
        if path.is_dir():
            raise UsageError(f"“{shown_name(path)}” is a folder; name one plan.")
    check_target(options.to, Found(plans=paths))
    houses = ByHouse(load_library, options.packs, options.house, options.paths)
    sources = [read_text(path) for path in paths]
    troubles = [(source, mistake) for source, mistake in sources if mistake]
    if troubles:
        return _untold([unread(source, (mistake,)) for source, mistake in troubles])
    source = sources[0][0]
    try:
        both = []
        for path, (source, _) in zip(paths, sources, strict=True):
            both.append(reviewed_plan(path, source, houses.of(path), day_of(options)))
        found = compared(*both)
    # A fault of ours must not look like revisions that are the same.
    except Exception as fault:
        return _untold([unread(source, (own_fault(source, fault),))])
    return _answer(found, [reviewed.report for reviewed in both], houses.all(paths), options)


def _answer(found: Comparison, reports: list[PlanReport], libraries: list[Library], options: Namespace) -> int:
    wrong = [unread(report.source, report.mistakes) for report in reports if report.mistakes]
    wrong += [report for library in libraries for report in library.broken]
    status = FOUND if found.changed else NOTHING
    if wrong or found.not_assessed or not all(report.wholly_assessed for report in reports):
        status = UNREAD
    if wrong:
        _untold(wrong)
    return written(_rendered(found, options), options.to, status)


def _rendered(found: Comparison, options: Namespace) -> str:
    if options.form == "json":
        from plancheck.render.compare_json import compare_json

        return compare_json(found)
    from plancheck.render.compare_text import compare_text

    paint = Paint(options.to is None and takes_colour(sys.stdout))
    return compare_text(found, Page(page_width(options.width, sys.stdout), paint))


def _untold(reports: list[PlanReport]) -> int:
    from plancheck.render.text import mistakes_of

    complain(mistakes_of(reports, Page(page_width(None, sys.stderr))))
    return UNREAD
