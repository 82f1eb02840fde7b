"""A fault tried at all its places: what was found, by which rule, what is harmless, and what was missed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path

from plancheck.finding import Finding
from plancheck.review.report import PlanReport
from plancheck.review.review import review_text
from plancheck.rulebook.rule import Rulebook
from plancheck.source import Source
from tests.faults.alike import one_of_each
from tests.faults.draft import Draft, device_of
from tests.faults.fault import Fault, Mutant
from tests.faults.flat import flat
from tests.faults.standing import Standing, library

DAY = date(2026, 11, 25)
HERE = Path(__file__).parent
SAMPLES = HERE.parent.parent / "samples"
SAMPLE_FILES = tuple(sorted(p for p in SAMPLES.glob("*.plan") if not p.stem.endswith("-faulty")))
SOUND_FILES = tuple(sorted((HERE / "sound").glob("*.plan")))


@dataclass
class Row:
    """One fault's line of the table."""

    fault: str
    tried: int = 0
    by_rule: Counter[str] = field(default_factory=Counter)
    harmless: Counter[str] = field(default_factory=Counter)
    missed: list[str] = field(default_factory=list)
    false_alarms: list[str] = field(default_factory=list)

    @property
    def found(self) -> int:
        """Mutants found by a rule expected of the fault."""
        return self.tried - sum(self.harmless.values()) - len(self.missed)


@cache
def standing(path: Path, whole: bool = False) -> Standing:
    """A sound plan as a draft, with what stands where; not `whole`: one door of those drawn alike."""
    draft = flat(path)
    return Standing(draft if whole else one_of_each(draft))


@cache
def expected(rules: tuple[str, ...]) -> Rulebook:
    """The shipped rulebook with these rules alone."""
    book = library().rulebook
    return book.with_rules([book.by_id[rule] for rule in rules])


def reviewed(draft: Draft, rules: tuple[str, ...]) -> PlanReport:
    """The review of a draft by some rules."""
    source = Source(draft.name, draft.text())
    return review_text(source, library().kinds, expected(rules), lambda wanted, by: "not here", DAY)


@cache
def _known(path: Path, rules: tuple[str, ...]) -> frozenset[str]:
    return frozenset(f.fingerprint for f in reviewed(standing(path).draft, rules).findings)


def pointing_right(finding: Finding, mutated: Mutant) -> bool:
    """Whether a finding names, or stands at, one of the things where the mistake is."""
    if "" in mutated.at:
        return True
    named = {device_of(word) for word in finding.subject.replace(",", " ").split()}
    return bool((named | mutated.draft.named_on(finding.at.line)) & mutated.at)


def places(fault: Fault, paths: Iterable[Path], whole: bool = False) -> Iterator[tuple[Path, Mutant]]:
    """Every mutant of a fault, with the sound plan it was made of; those of heavy plans only for the `whole` of it."""
    for path in paths:
        if whole or path.stem not in fault.heavy:
            for mutated in fault.places(standing(path, whole)):
                yield path, mutated


def attempt(row: Row, fault: Fault, path: Path, mutated: Mutant) -> None:
    """Reviews one mutant, and adds what came of it to the fault's row."""
    row.tried += 1
    report = reviewed(mutated.draft, fault.rules)
    where = f"{path.stem}, {mutated.where}"
    assert report.mistakes == (), (where, [(m.headline, m.found, m.at.text) for m in report.mistakes])
    known = _known(path, fault.rules)
    new = [f for f in report.findings if f.rule in fault.rules and f.fingerprint not in known]
    right = [f for f in new if pointing_right(f, mutated)]
    if mutated.harmless:
        row.harmless[mutated.harmless] += 1
        row.false_alarms += [f"{where}: {f.rule}: {f.headline}" for f in new]
    elif right:
        row.by_rule[min(right, key=lambda f: fault.rules.index(f.rule)).rule] += 1
    else:
        told = "; ".join(f"{f.rule} at {f.subject}: {f.headline}" for f in new)
        row.missed.append(f"{where}" + (f" (told elsewhere: {told})" if told else "") + _gaps(report))


def _gaps(report: PlanReport) -> str:
    return f" (not assessed: {'; '.join(report.not_assessed)})" if report.not_assessed else ""


def tried(fault: Fault, whole: bool = False) -> Row:
    """A fault at every place of the samples, and of the other sound plans where no sample has the place.

    The `whole` of it takes the heavy plans as well, every door of those drawn alike, and all sound plans.
    """
    row = Row(fault.name)
    for path, mutated in places(fault, SAMPLE_FILES, whole):
        attempt(row, fault, path, mutated)
    if whole or row.tried == sum(row.harmless.values()):
        for path, mutated in places(fault, SOUND_FILES, whole):
            attempt(row, fault, path, mutated)
    return row
