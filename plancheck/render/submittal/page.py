"""The pages of a plan: HTML that needs nothing else and fetches nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from plancheck.circuit.scene import Scene, scene
from plancheck.finding import Finding
from plancheck.render.drawing.sheet_svg import STYLE
from plancheck.render.drawing.standing import LEAST_AMPS, LEAST_VOLTS, standing
from plancheck.render.submittal.assets import asset, head
from plancheck.render.submittal.circuit_model import CircuitModel, circuit_model
from plancheck.render.submittal.contents import Contents, contents
from plancheck.render.submittal.corrections import corrections
from plancheck.render.submittal.cover import cover
from plancheck.render.submittal.drawings import NORMAL, diagrams, overview, picker
from plancheck.render.submittal.feet import feet, in_the_model
from plancheck.render.submittal.markup import data, text
from plancheck.render.submittal.operation import operation, single_failures
from plancheck.render.submittal.schedules import OF_THE_WHOLE, schedule_tables
from plancheck.render.submittal.settings import Settings, show_button
from plancheck.render.submittal.sheet_to_fill import sheet_to_fill
from plancheck.review.submittal import Submittal

SCRIPTS = "solving.js", "pieces.js", "circuit.js", "picker.js"
"""In the order in which they build on one another."""

HEADINGS = {
    "cover": "Cover",
    "assessed": "What was assessed",
    "corrections": "Correction list",
    "variances": "Variances",
    "overview": "Overview",
    "diagrams": "Wiring diagrams",
    "operation": "Sequence of operation",
    "failures": "Single failures",
    "schedules": "Schedules",
    "test-sheet": "Acceptance test sheet",
}
"""Sections by their anchor, as the contents at the top name them."""


@dataclass(frozen=True)
class Page:
    """A page by the ending of its file's name."""

    ending: str
    html: str


def pages(submittal: Submittal, stem: str) -> Iterator[Page]:
    """All pages of a plan; `stem` is the name of its files without their endings."""
    every = contents(submittal)
    facts = submittal.document.works.facts
    rest = scene(facts, submittal.document.works.start.condition)
    for each in every:
        yield Page(each.ending, "\n".join(_html(submittal, each, every, rest, stem)) + "\n")


def _html(submittal: Submittal, page: Contents, every: Sequence[Contents], rest: Scene, stem: str) -> Iterator[str]:
    title = " · ".join(part for part in (submittal.plan.title or submittal.plan.source.name, page.title) if part)
    body = list(_body(submittal, page, every, rest, stem))
    yield head(text(title), STYLE)
    yield from _navigation(body, page, every, stem)
    yield "<main>"
    yield from body
    yield "</main></body></html>"


def _navigation(body: Sequence[str], page: Contents, every: Sequence[Contents], stem: str) -> Iterator[str]:
    """Links to the sections of this page, and to the other pages."""
    whole = "\n".join(body)
    yield '<nav aria-label="Contents"><ul>'
    here = ((anchor, heading) for anchor, heading in HEADINGS.items() if f'id="{anchor}"' in whole)
    yield from (f'<li><a href="#{anchor}">{heading}</a></li>' for anchor, heading in here)
    for other in every if len(every) > 1 else ():
        if other is page:
            yield f'<li aria-current="page">{text(other.title)}</li>'
        else:
            yield f'<li><a href="{_address(stem, other)}">{text(other.title)}</a></li>'
    yield "</ul></nav>"


def _body(submittal: Submittal, page: Contents, every: Sequence[Contents], rest: Scene, stem: str) -> Iterator[str]:
    works = submittal.document.works
    model = circuit_model(works.facts, page.branches, page.devices)
    failures = [(of, f) for of, f in page.failures if model.reaches(f) or f.dead in {d.name for d in page.devices}]
    settings = Settings(model, [failure for _, failure in failures])
    if page.is_cover:
        yield from cover(submittal)
    else:
        yield f'<h1>{text(page.title)}</h1><p class="what">{text(submittal.plan.title)}</p>'
    if page.is_cover or page.findings:
        yield from corrections(submittal.report, page.findings, _shower(page, every, settings, stem))
    if page.holders or len(every) == 1:
        yield from overview(works, page.holders, [sheet for each in every for sheet in each.sheets])
    if page.sheets:
        yield from _drawings(submittal, page, model, failures, rest)
    if page.doors or len(every) == 1:
        yield from operation(page.doors, settings)
        yield from single_failures(submittal.failures, page.groups, settings)
    yield from _schedules(submittal, page, len(every) == 1)
    if page.doors or len(every) == 1:
        yield from sheet_to_fill(submittal.acceptance, {door.name for _, door in page.doors})
    if page.branches:
        yield f"<script>{''.join(map(asset, SCRIPTS))}</script>"


def _address(stem: str, page: Contents) -> str:
    """Where another page of the plan is: a name is no address yet, `#` and `?` mean something there."""
    return text(quote(f"{stem}{page.ending}.html"))


def _schedules(submittal: Submittal, page: Contents, alone: bool) -> Iterator[str]:
    if alone:
        yield from schedule_tables(submittal.schedules)
    elif page.is_cover:
        yield from schedule_tables(each for each in submittal.schedules if each.key in OF_THE_WHOLE)
    elif page.holders:
        home = {name for sheet in page.sheets for name in sheet.devices} | {holder.name for holder in page.holders}
        yield from schedule_tables((each for each in submittal.schedules if each.key not in OF_THE_WHOLE), home)


def _shower(page: Contents, every: Sequence[Contents], settings: Settings, stem: str) -> Callable[[Finding], str]:
    """What shows a finding: a button that sets the drawing of this page, or a link to the page that has one."""

    def show(finding: Finding) -> str:
        if page.branches:
            return show_button(settings.of_finding(finding), finding.headline)
        for other in every:
            for number, each in other.findings if other is not page else ():
                if each is finding:
                    return f'<a href="{_address(stem, other)}#finding-{number}">{text(other.title)}</a>'
        return ""

    return show


def _drawings(
    submittal: Submittal, page: Contents, model: CircuitModel, failures: Sequence[Any], rest: Scene
) -> Iterator[str]:
    works = submittal.document.works
    facts = works.facts
    yield '<section id="diagrams"><h2>Wiring diagrams</h2>'
    if page.branches:
        situations = {name: Settings(model, ()).of(setting)["signals"] for name, setting in works.situations.items()}
        situations = {name: setting for name, setting in situations.items() if setting}
        signals = [(number, facts.signals[key]) for key, number in model.signals.items()]
        listed = [(number, of, failure) for number, (of, failure) in enumerate(failures)]
        yield from picker(situations, signals, listed)
        told = {
            "model": model.data,
            "failures": [model.failure(failure) for _, failure in failures],
            "situations": situations,
            "normal": NORMAL,
            "least": {"amps": LEAST_AMPS, "volts": LEAST_VOLTS},
        } | in_the_model(facts, model, page.devices)
        yield f'<script type="application/json" id="circuit-data">{data(told)}</script>'
    condition = works.start.condition
    yield from diagrams(page.sheets, standing(facts.graph, rest, feet(facts, rest, condition)))
    yield "</section>"
