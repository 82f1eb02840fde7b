"""The plans that a command line names become reports, many at once."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from plancheck.cli.batch import Lost, Told, cores, worked_out
from plancheck.cli.progress import Progress
from plancheck.library.files import Found, IncludeReader, is_shared, read_text
from plancheck.library.house import ByHouse
from plancheck.library.load import Library
from plancheck.library.own_fault import cut_short, own_fault
from plancheck.library.refusal import UsageError
from plancheck.plan.adopt import adopted_by
from plancheck.review.report import PlanReport, unread
from plancheck.review.review import Reviewed, review_text, reviewed_text
from plancheck.source import Source

PlanText = tuple[Path, Source]
"""A plan's file, and its text."""


def reviewed(found: Found, houses: ByHouse[Library], today: date, processes: int | None = None) -> list[PlanReport]:
    """Reports of all plans found, and of every text that is wrong besides: a broken pack, a file that is missing.

    They are reviewed by so many processes; by as many as there are cores, where nobody said.
    """
    libraries = houses.all(found.plans)
    reports = [*broken_texts(libraries), *(unread(source, (mistake,)) for source, mistake in found.troubles)]
    in_house = frozenset(file for library in libraries for file in library.files)
    with Progress(len(found.plans), "reviewing") as progress:
        reports += _Round(found, Reviewing(houses, today), processes or cores(), progress).reports(in_house)
    if not reports:
        raise UsageError("Nothing to review: every file named belongs to a pack.")
    return reports


def broken_texts(libraries: Sequence[Library]) -> list[PlanReport]:
    """What is wrong with packs and companies' files, each text once."""
    return list({report.source.name: report for library in libraries for report in library.broken}.values())


class _Round:
    """The plans found, on their way to reports."""

    def __init__(self, found: Found, reviewing: Reviewing, processes: int, progress: Progress) -> None:
        self._found, self._reviewing, self._processes, self._progress = found, reviewing, processes, progress
        self._plans: list[PlanText] = []
        self._shared: list[PlanText] = []
        self._used: set[Path] = set()
        self._done = 0

    def reports(self, in_house: frozenset[str]) -> Iterator[PlanReport]:
        """Texts for others to use come last: those that were used are reviewed by then."""
        yield from self._sorted_out(in_house)
        yield from self._worked_out(self._plans)
        unused = [each for each in self._shared if _real(each[0]) not in self._used]
        # Of these again one may use another behind it: then that was reviewed too.
        yield from self._worked_out(unused, unless_used=True)

    def _sorted_out(self, in_house: frozenset[str]) -> Iterator[PlanReport]:
        """What cannot be read; the rest is laid ready."""
        for path in self._found.plans:
            explicit = _real(path) in self._found.explicit
            source, mistake = read_text(path)
            if str(_real(path)) in in_house and not explicit:
                continue
            if mistake is not None:
                yield unread(source, (mistake,))
            else:
                (self._plans if explicit or not is_shared(source) else self._shared).append((path, source))
        self._done = len(self._found.plans) - len(self._plans) - len(self._shared)

    def _worked_out(self, plans: Sequence[PlanText], unless_used: bool = False) -> Iterator[PlanReport]:
        before = self._done
        answers = worked_out(plans, self._reviewing, self._processes, lambda done: self._progress.at(before + done))
        for (path, source), answer in zip(plans, answers, strict=True):
            if unless_used and _real(path) in self._used:
                continue
            if isinstance(answer, Lost):
                yield unread(source, (cut_short(source, answer.why),))
            else:
                self._used |= answer.used
                yield answer.report
        self._done = before + len(plans)


def _real(path: Path) -> Path:
    return Path(os.path.realpath(path))


def reviewed_plan(path: Path, source: Source, library: Library, today: date) -> Reviewed:
    """A plan reviewed with the packs that apply to it, and what was worked out for that."""
    choice = library.choice(adopted_by(source))
    include = IncludeReader(path, source, library.folders, choice.adopted.texts)
    packs, adopted = library.packs, choice.adopted
    return reviewed_text(source, choice.kinds, choice.rulebook, include, today, packs=packs, adopted=adopted)


@dataclass(frozen=True, slots=True)
class Answer:
    """A report, and the real paths of what the plan used."""

    report: PlanReport
    used: set[Path]


@dataclass(frozen=True, slots=True)
class Reviewing:
    """The work of reviewing one plan."""

    houses: ByHouse[Library]
    today: date

    def __call__(self, plan: PlanText, on_progress: Told) -> Answer:
        """The review of a plan, whatever happens in it."""
        path, source = plan
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
                on_progress=lambda done, total: on_progress(done / max(total, 1)),
            )
            return Answer(replace(report, house_above=self.houses.above(path)), include.used)
        # The last guard of “nothing passes unassessed”: a fault of ours must not look like a plan in order.
        except Exception as fault:
            return Answer(unread(source, (own_fault(source, fault),)), include.used)
