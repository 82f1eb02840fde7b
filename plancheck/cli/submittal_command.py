"""`plancheck submittal`: plans in, the package that is handed over out."""

from __future__ import annotations

import gc
import os
import sys
from argparse import Namespace
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from plancheck.cli.folder_output import FolderOutput, check_folder
from plancheck.cli.output import UNREAD, UnwritableError, complain, page_width, put
from plancheck.cli.progress import Progress
from plancheck.cli.review_command import broken_texts, day_of, exit_status
from plancheck.finding import Severity
from plancheck.library.files import IncludeReader, find_plans, is_shared, read_text, shown_name
from plancheck.library.house import ByHouse
from plancheck.library.load import Library, load_library
from plancheck.library.own_fault import own_fault
from plancheck.library.refusal import UsageError
from plancheck.plan.adopt import adopted_by
from plancheck.render.layout import Page, plural
from plancheck.review.report import PlanReport, unread
from plancheck.source import Source


@dataclass(frozen=True)
class Package:
    """What came of one plan: its report, whether all of it was assessed, and the files, none where it was not read."""

    report: PlanReport
    whole: bool
    files: tuple[tuple[str, str], ...]


def submittal(options: Namespace) -> int:
    """Writes the packages of the plans named into a new folder, and returns the exit status."""
    check_folder(options.to)
    found = find_plans(options.paths)
    houses = ByHouse(load_library, options.packs, options.house, options.paths)
    troubles = [unread(source, (mistake,)) for source, mistake in found.troubles]
    troubles += broken_texts(houses.all(found.plans))
    plans = list(_plans(found.plans, found.explicit))
    if not plans and not troubles:
        raise UsageError("Nothing to hand over: no file named is a plan.")
    today = day_of(options)
    try:
        with FolderOutput(options.to) as folder, Progress(len(plans), "drawing up") as progress:
            done = []
            for number, (path, name) in enumerate(plans):
                progress.at(number)
                package = drawn_up(path, name, houses, today)
                for file, text in package.files:
                    folder.put(file, text)
                done.append(Package(package.report, package.whole, ()))
            folder.finish()
    except UnwritableError as refusal:
        complain(f"plancheck: {refusal}\n")
        return UNREAD
    return _told(options, done, troubles)


def _plans(paths: Sequence[Path], explicit: set[Path]) -> Iterator[tuple[Path, str]]:
    """Plans with the names of their packages: their paths from the folder on that holds all of them."""
    kept = []
    for path in paths:
        source, mistake = read_text(path)
        if mistake is not None or not is_shared(source) or Path(os.path.realpath(path)) in explicit:
            kept.append(path)
    if kept:
        above = Path(os.path.commonpath([path.absolute().parent for path in kept]))
        for path in kept:
            yield path, shown_name(path.absolute().relative_to(above).with_suffix(""))


def drawn_up(path: Path, name: str, houses: ByHouse[Library], today: date) -> Package:
    """The package of one plan. What could not be read at all has none."""
    from plancheck.render.submittal.files import package
    from plancheck.review.review import reviewed_text
    from plancheck.review.submittal import submittal_of

    gc.collect()  # what the plan before left behind
    source, mistake = read_text(path)
    if mistake is not None:
        return Package(unread(source, (mistake,)), False, ())
    library = houses.of(path)
    try:
        choice = library.choice(adopted_by(source))
        include = IncludeReader(path, source, library.folders, choice.adopted.texts)
        reviewed = reviewed_text(
            source, choice.kinds, choice.rulebook, include, today, packs=library.packs, adopted=choice.adopted
        )
        told = submittal_of(reviewed, choice.kinds, choice.rulebook)
        return Package(told.report, told.wholly_assessed, tuple(package(told, name)))
    # A fault of ours must not look like a package that tells everything.
    except Exception as fault:
        return _failed(source, fault)


def _failed(source: Source, fault: Exception) -> Package:
    return Package(unread(source, (own_fault(source, fault),)), False, ())


def _told(options: Namespace, done: Sequence[Package], troubles: Sequence[PlanReport]) -> int:
    """What was handed over, in lines; what could not be read, on the standard error."""
    unread_ones = [package.report for package in done if package.report.plan is None] + list(troubles)
    if unread_ones:
        from plancheck.render.text import mistakes_of

        complain(mistakes_of(unread_ones, Page(page_width(None, sys.stderr))))
    written = [package for package in done if package.report.plan is not None]
    status = exit_status([package.report for package in done] + list(troubles), Severity(options.fail_at))
    if not all(package.whole for package in done):
        status = UNREAD
    return put(f"{plural(len(written), 'plan')} drawn up in {options.to}\n", status)
