"""`plancheck readings`: a plan and a filled-in test sheet in, what is outside and what would explain it out."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from pathlib import Path

from plancheck.cli.document_commands import read_plan
from plancheck.cli.output import UNREAD, complain, page_width, takes_colour, written
from plancheck.cli.review_command import FOUND, NOTHING, check_target
from plancheck.finding import Mistake
from plancheck.library.files import Found, read_text, shown_name
from plancheck.library.house import ByHouse
from plancheck.library.load import load_library
from plancheck.library.own_fault import own_fault
from plancheck.library.readings_file import read_readings
from plancheck.library.refusal import UsageError
from plancheck.render.layout import Page
from plancheck.render.paint import Paint
from plancheck.review.diagnosis import Diagnosis, diagnosis
from plancheck.review.document import Document
from plancheck.review.explaining import Read
from plancheck.review.report import unread
from plancheck.source import Source


def readings(options: Namespace) -> int:
    """Holds readings against a plan and returns the exit status."""
    path, sheet = map(Path, options.paths)
    for given in (path, sheet):
        if given.is_dir():
            raise UsageError(f"“{shown_name(given)}” is a folder; name a file.")
    if options.to and os.path.realpath(options.to) == os.path.realpath(sheet):
        raise UsageError(f"--to: “{options.to}” is the sheet to read; it would be overwritten.")
    check_target(options.to, Found(plans=[path]))
    library = ByHouse(load_library, options.packs, options.house, [options.paths[0]]).of(path)
    source, mistake = read_text(path)
    filled, wrong = read_text(sheet)
    if mistake or wrong:
        return _untold([(s, m) for s, m in ((source, mistake), (filled, wrong)) if m])
    try:
        read = read_plan(path, source, library)
        return _answer(read, filled, options)
    # A fault of ours must not look like readings that are all within.
    except Exception as fault:
        return _untold([(source, own_fault(source, fault))])


def _answer(read: Document, filled: Source, options: Namespace) -> int:
    measured, mistakes = read_readings(filled, read.plan)
    if mistakes:
        return _untold([(filled, mistake) for mistake in mistakes])
    found = diagnosis(read.works.facts, [Read(m.plus, m.minus, m.volts, m.setting) for m in measured])
    status = FOUND if found.outside else NOTHING
    if found.not_assessed or read.unread:
        status = UNREAD
    for sentence in read.unread:
        complain(f"{sentence}\n")
    return written(_rendered(found, options), options.to, status)


def _rendered(found: Diagnosis, options: Namespace) -> str:
    if options.form == "json":
        from plancheck.render.readings_json import readings_json

        return readings_json(found)
    from plancheck.render.readings_text import readings_text

    paint = Paint(options.to is None and takes_colour(sys.stdout))
    return readings_text(found, Page(page_width(options.width, sys.stdout), paint))


def _untold(troubles: list[tuple[Source, Mistake]]) -> int:
    from plancheck.render.text import mistakes_of

    by_source: dict[str, tuple[Source, list[Mistake]]] = {}
    for source, mistake in troubles:
        by_source.setdefault(source.name, (source, []))[1].append(mistake)
    reports = [unread(source, tuple(mistakes)) for source, mistakes in by_source.values()]
    complain(mistakes_of(reports, Page(page_width(None, sys.stderr))))
    return UNREAD
