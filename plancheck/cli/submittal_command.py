"""`plancheck submittal`: plans in, the package that is handed over out."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from urllib.parse import quote

from plancheck.cli.batch import Lost, Told, cores, worked_out
from plancheck.cli.folder_output import FolderOutput, check_folder
from plancheck.cli.output import UNREAD, UnwritableError, complain, page_width, put
from plancheck.cli.progress import Progress
from plancheck.cli.review_command import day_of, exit_status
from plancheck.cli.reviewing import broken_texts, reviewed_plan
from plancheck.finding import Severity
from plancheck.library.files import find_plans, is_shared, read_text, shown_name
from plancheck.library.house import ByHouse
from plancheck.library.load import Library, load_library
from plancheck.library.own_fault import cut_short, own_fault
from plancheck.library.refusal import UsageError
from plancheck.render.layout import Page, plural
from plancheck.render.submittal.index_page import index_page
from plancheck.review.report import PlanReport, unread


@dataclass(frozen=True)
class Package:
    """What came of one plan: its report, whether all of it was assessed, whether anything was drawn up.

    `refusal` says why its files could not be written.
    """

    report: PlanReport
    whole: bool
    drawn: bool
    refusal: str = ""


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
    try:
        with FolderOutput(options.to) as folder, Progress(len(plans), "drawing up") as progress:
            work = _DrawingUp(houses, day_of(options), folder)
            answers = worked_out(plans, work, options.processes or cores(), progress.at)
            done = [_package(plan, answer, folder) for plan, answer in zip(plans, answers, strict=True)]
            if len(plans) > 1:
                folder.put(*_index(plans, done, troubles, day_of(options)))
            if any(package.drawn for package in done):
                folder.finish()
    except UnwritableError as refusal:
        complain(f"plancheck: {refusal}\n")
        return UNREAD
    return _told(options, done, troubles)


def _index(
    plans: Sequence[Plan], done: Sequence[Package], troubles: Sequence[PlanReport], day: date
) -> tuple[str, str]:
    """The page over all plans, and its name: another where a plan is called so."""
    names = [name for _, name in plans]
    # A name is no address yet: `#`, `?` and `:` mean something there.
    links = {
        package.report.source.name: quote(f"{name}.html")
        for package, name in zip(done, names, strict=True)
        if package.drawn
    }
    reports = [*troubles, *(package.report for package in done)]
    page = index_page(reports, day.isoformat(), lambda report: links.get(report.source.name))
    return ("index.html" if "index" not in names else "index-of-plans.html"), page


Plan = tuple[Path, str]
"""A plan's file, and the name of its package."""


@dataclass(frozen=True)
class _DrawingUp:
    """The work of drawing up one plan."""

    houses: ByHouse[Library]
    today: date
    folder: FolderOutput

    def __call__(self, plan: Plan, on_progress: Told) -> Package:
        """Puts its files where they belong: out of a process of its own they need not travel."""
        path, name = plan
        package, files = drawn_up(path, name, self.houses, self.today)
        try:
            for file, text in files:
                self.folder.put(file, text)
        except UnwritableError as refusal:
            return Package(package.report, False, False, str(refusal))
        return package


def _package(plan: Plan, answer: Package | Lost, folder: FolderOutput) -> Package:
    """What came of a plan, even where its process died. What cannot be written stops everything."""
    if isinstance(answer, Lost):
        folder.take_back(plan[1])
        source, mistake = read_text(plan[0])
        return Package(unread(source, (mistake or cut_short(source, answer.why),)), False, False)
    if answer.refusal:
        raise UnwritableError(answer.refusal)
    return answer


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


def drawn_up(path: Path, name: str, houses: ByHouse[Library], today: date) -> tuple[Package, Iterable[tuple[str, str]]]:
    """What came of one plan, and its files; one that could not be read at all has none."""
    from plancheck.render.submittal.files import package
    from plancheck.review.submittal import submittal_of

    source, mistake = read_text(path)
    if mistake is not None:
        return Package(unread(source, (mistake,)), False, False), ()
    library = houses.of(path)
    try:
        told = submittal_of(reviewed_plan(path, source, library, today))
        return Package(told.report, told.wholly_assessed, True), list(package(told, name))
    # A fault of ours must not look like a package that tells everything.
    except Exception as fault:
        return Package(unread(source, (own_fault(source, fault),)), False, False), ()


def _told(options: Namespace, done: Sequence[Package], troubles: Sequence[PlanReport]) -> int:
    """What was handed over, in lines; what could not be read, on the standard error."""
    unread_ones = [package.report for package in done if not package.drawn] + list(troubles)
    if unread_ones:
        from plancheck.render.text import mistakes_of

        complain(mistakes_of(unread_ones, Page(page_width(None, sys.stderr))))
    written = [package for package in done if package.drawn]
    status = exit_status([package.report for package in done] + list(troubles), Severity(options.fail_at))
    if not all(package.whole for package in done):
        status = UNREAD
    told = f"{plural(len(written), 'plan')} drawn up in {options.to}" if written else "No plan could be drawn up."
    return put(f"{told}\n", status)
