"""`plancheck review`: plans in, correction lists out."""

from __future__ import annotations

import gc
import os
import sys
from argparse import Namespace
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from plancheck.cli.batch import cores, on_all_cores
from plancheck.cli.output import UNREAD, page_width, takes_colour, written
from plancheck.cli.progress import Progress
from plancheck.finding import Severity
from plancheck.library.files import Found, IncludeReader, find_plans, is_shared, read_text
from plancheck.library.house import ByHouse
from plancheck.library.load import Library, load_library
from plancheck.library.own_fault import own_fault
from plancheck.library.refusal import UsageError
from plancheck.plan.adopt import adopted_by
from plancheck.review.report import PlanReport, unread
from plancheck.review.review import review_text
from plancheck.rulebook.rule import Rule
from plancheck.source import Source

FOUND, NOTHING = 1, 0


def review(options: Namespace) -> int:
    """Reviews what the command line names and returns the exit status."""
    found = find_plans(options.paths)
    check_target(options.to, found, options.existing)
    check_target(options.index, found, options.existing, "--index")
    if options.index and options.to and os.path.realpath(options.index) == os.path.realpath(options.to):
        raise UsageError(f"--index: “{options.index}” is what --to names; name another file.")
    houses = ByHouse(load_library, options.packs, options.house, options.paths)
    reports = reviewed(found, houses, day_of(options), options.processes or cores())
    if options.existing is not None:
        from plancheck.cli.existing_record import beside

        reports = beside(reports, options.existing)
    reports.sort(key=lambda report: report.source.name)
    status = exit_status(reports, Severity(options.fail_at))
    rules = {rule.id: rule for library in houses.all(found.plans) for rule in library.rulebook.rules}
    if options.index is not None:
        from plancheck.render.submittal.index_page import index_page

        status = written(index_page(reports, {}), options.index, status)
    return written(_rendered(reports, options, rules), options.to, status)


def day_of(options: Namespace) -> date:
    """The day by which is judged: as asked, or today."""
    return date.fromisoformat(options.as_of) if options.as_of else date.today()


def reviewed(found: Found, houses: ByHouse[Library], today: date, processes: int = 1) -> list[PlanReport]:
    """Reports of all plans found, and of every text that is wrong besides: a broken pack, a file that is missing."""
    libraries = houses.all(found.plans)
    reports = [*broken_texts(libraries), *(unread(source, (mistake,)) for source, mistake in found.troubles)]
    in_house = frozenset(file for library in libraries for file in library.files)
    with Progress(len(found.plans), "reviewing") as progress:
        reports += _reviewed(found, _Desk(houses, today, progress), in_house, processes)
    if not reports:
        raise UsageError("Nothing to review: every file named belongs to a pack.")
    return reports


def broken_texts(libraries: Sequence[Library]) -> list[PlanReport]:
    """What is wrong with packs and companies' files, each text once."""
    return list({report.source.name: report for library in libraries for report in library.broken}.values())


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


def _reviewed(found: Found, desk: _Desk, in_house: frozenset[str], processes: int) -> Iterator[PlanReport]:
    """Reports of all plans. Texts for others to use come last: those that were used are reviewed by now."""
    plans: list[Path] = []
    shared: list[Path] = []
    for path in found.plans:
        real = Path(os.path.realpath(path))
        source, mistake = read_text(path)
        if mistake is not None:
            yield unread(source, (mistake,))
        elif real in found.explicit:
            plans.append(path)
        elif str(real) not in in_house:
            (shared if is_shared(source) else plans).append(path)
    used: set[Path] = set()
    for report, included in desk.all(plans, processes):
        used |= included
        yield report
    for report, _ in desk.all([path for path in shared if Path(os.path.realpath(path)) not in used], processes):
        yield report


Answer = tuple[PlanReport, set[Path]]
"""A report, and the files that the plan used."""


class _Desk:
    """Reviews one plan after another, or several at once."""

    def __init__(self, houses: ByHouse[Library], today: date, progress: Progress) -> None:
        self.houses, self.today, self.progress = houses, today, progress
        self.done = 0
        self.alone = True

    def all(self, paths: Sequence[Path], processes: int) -> list[Answer]:
        """Every plan, in the order given."""
        before = self.done
        self.alone = processes < 2 or len(paths) < 2

        def so_far(number: int) -> None:
            self.done = before + number
            self.progress.at(self.done)

        return on_all_cores(paths, self.one, self.failed, processes, so_far)

    def one(self, path: Path) -> Answer:
        """One plan."""
        if self.done or not self.alone:
            gc.collect()  # what the plan before left behind; for a single plan it would be a waste
        source, mistake = read_text(path)
        if mistake is not None:  # it was there a moment ago
            return unread(source, (mistake,)), set()
        return self._review(path, source)

    def _review(self, path: Path, source: Source) -> Answer:
        library = self.houses.of(path)
        include = IncludeReader(path, source, library.folders)
        try:
            choice = library.choice(adopted_by(source))
            include = IncludeReader(path, source, library.folders, choice.adopted.texts)
            report = review_text(
                source,
                choice.kinds,
                choice.rulebook,
                include,
                self.today,
                packs=library.packs,
                adopted=choice.adopted,
                on_progress=self._at if self.alone else None,
            )
            return replace(report, house_above=self.houses.above(path)), include.used
        # The last guard of “nothing passes unassessed”: a fault of ours must not look like a plan in order.
        except Exception as fault:
            return unread(source, (own_fault(source, fault),)), include.used

    def _at(self, done: int, total: int) -> None:
        """One plan's share of the progress bar."""
        self.progress.at(self.done + done / max(total, 1))

    def failed(self, path: Path) -> Answer:
        """A plan whose process ended before it was reviewed."""
        source, mistake = read_text(path)
        return unread(source, (mistake or own_fault(source, RuntimeError("the process ended")),)), set()


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
