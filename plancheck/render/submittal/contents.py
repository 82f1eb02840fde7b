"""What goes on which page: everything on one, or, of many doors, a cover and a page for every group of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plancheck.circuit.reached import reached
from plancheck.circuit.variation import Failure
from plancheck.finding import Finding
from plancheck.plan.graph import Branch
from plancheck.plan.model import Device
from plancheck.render.drawing.sheets import Sheet, sheets
from plancheck.review.failures import Group
from plancheck.review.operation import Holder
from plancheck.review.sequence import DoorSequence
from plancheck.review.submittal import Submittal

MOST_DOORS = 24
"""Doors and gates on one page."""

MOST_SHEETS = 30
"""Sheets of what several doors share on one page."""

Numbered = tuple[int, Finding]


@dataclass(frozen=True)
class Contents:
    """One page. `ending` is put behind the name of its file; the cover's is empty."""

    ending: str
    title: str
    is_cover: bool
    holders: tuple[Holder, ...]
    sheets: tuple[Sheet, ...]
    doors: tuple[tuple[int, DoorSequence], ...]
    findings: tuple[Numbered, ...]
    groups: tuple[Group, ...]
    devices: tuple[Device, ...]
    branches: tuple[Branch, ...]

    @property
    def failures(self) -> list[tuple[str, Failure]]:
        """What can fail, worst first, with the worst that comes of it."""
        return [(group.worst, failure) for group in self.groups for failure in group.failures]


def contents(submittal: Submittal) -> tuple[Contents, ...]:
    """All pages, the cover first."""
    works = submittal.document.works
    drawn = sheets(works.facts.graph, works.holders)
    doors = tuple(enumerate(submittal.sequence.doors, 1))
    findings = tuple(enumerate(submittal.report.findings, 1))
    if len(works.holders) <= MOST_DOORS:
        every = tuple(works.facts.plan.devices.values())
        branches = tuple(works.facts.graph.branches)
        groups = submittal.failures.table.groups
        return (Contents("", "", True, works.holders, drawn, doors, findings, groups, every, branches),)
    return tuple(_pages(submittal, drawn, doors, findings))


def _pages(
    submittal: Submittal,
    drawn: Sequence[Sheet],
    doors: Sequence[tuple[int, DoorSequence]],
    findings: Sequence[Numbered],
) -> Iterator[Contents]:
    works = submittal.document.works
    of_doors = {holder.name for holder in works.holders}
    shared = tuple(sheet for sheet in drawn if sheet.place not in of_doors)
    yield Contents("", "Cover", True, (), (), (), tuple(findings), (), (), ())
    yield from _shared(submittal, shared)
    figures = len(str(-(-len(works.holders) // MOST_DOORS)))
    for start in range(0, len(works.holders), MOST_DOORS):
        holders = works.holders[start : start + MOST_DOORS]
        names = {holder.name for holder in holders}
        number = start // MOST_DOORS + 1
        title = f"{holders[0].name} to {holders[-1].name or 'locks that no door names'}"
        yield _page(submittal, f"-{number:0{figures}}", title, holders, [s for s in drawn if s.place in names], doors)


def _shared(submittal: Submittal, shared: Sequence[Sheet]) -> Iterator[Contents]:
    """What several doors share, drawn without a choice of conditions: it would be that of the whole plan."""
    for number, start in enumerate(range(0, len(shared), MOST_SHEETS), 1):
        some = shared[start : start + MOST_SHEETS]
        title = f"Shared: {some[0].place} to {some[-1].place}"
        yield Contents(f"-shared-{number}", title, False, (), tuple(some), (), (), (), (), ())


def _page(
    submittal: Submittal,
    ending: str,
    title: str,
    holders: Sequence[Holder],
    drawn: Sequence[Sheet],
    doors: Sequence[tuple[int, DoorSequence]],
) -> Contents:
    names = {holder.name for holder in holders}
    devices = reached(submittal.document.works.facts, {name for sheet in drawn for name in sheet.devices})
    graph = submittal.document.works.facts.graph
    branches = tuple(branch for name in devices for branch in graph.by_device.get(name, ()))
    branches += tuple(
        branch
        for branch in graph.branches
        if branch.wire is not None and branch.wire.a.device in devices and branch.wire.b.device in devices
    )
    findings = tuple(
        (number, finding)
        for number, finding in enumerate(submittal.report.findings, 1)
        if names & {*finding.subject.split(", "), *finding.about}
        or any(name.partition(":")[0] in devices for name in finding.subject.split(", "))
    )
    groups = tuple(g for g in submittal.failures.table.groups if any(effect.name in names for effect in g.effects))
    plan = submittal.plan
    return Contents(
        ending,
        title,
        False,
        tuple(holders),
        tuple(drawn),
        tuple((number, door) for number, door in doors if door.name in names),
        findings,
        groups,
        tuple(plan.devices[name] for name in devices),
        branches,
    )
