"""Every name of a plan with all its places: where it is declared, and where it is spoken of."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import cached_property

from plancheck.authoring.sites import Site, Sites, Sort
from plancheck.authoring.view import View
from plancheck.plan.kinds import Kind, Kinds, declared_kinds
from plancheck.plan.scope import HERE
from plancheck.plan.typicals import names_placed
from plancheck.source import Span
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Statement, Text, Word

DEEPEST = 16
"""How deep typicals may place typicals."""


@dataclass(frozen=True, slots=True)
class Thing:
    """What a name names: a device of the plan, or one of a typical (`within`), which is drawn once and placed often."""

    sort: Sort
    name: str
    within: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """A name where it stands."""

    site: Site
    at: Span


class Names:
    """The names in all texts of a plan, as they stand."""

    def __init__(self, view: View) -> None:
        self.view = view
        self.sites = Sites(self)
        self._indexed = False
        self._declared: dict[Thing, list[Found]] = defaultdict(list)
        self._spoken: dict[Thing, list[Found]] = defaultdict(list)
        self._placed: dict[tuple[str, str], str] = {}
        self._in_runs: set[Thing] = set()
        self._kind_by_device: dict[Thing, str] = {}

    @cached_property
    def kinds(self) -> Kinds:
        """All kinds, those that the plan itself declares among them."""
        return declared_kinds(self._statements, self.view.kinds)[0]

    @cached_property
    def house(self) -> dict[str, str]:
        """The kind of each device of the house."""
        found = (s.node for s in self._statements if isinstance(s.node, nodes.HouseDevice))
        return {node.name.text: node.kind.text for node in found}

    def kind(self, name: str) -> Kind | None:
        """The kind of a name; the plan's own are looked for only where no other bears it."""
        return self.view.kinds.get(name) or self.kinds.get(name)

    @property
    def wires(self) -> Sequence[Kind]:
        """The kind of wires."""
        return self.view.kinds.of_base("wire")

    @property
    def declared(self) -> Mapping[Thing, list[Found]]:
        """Where each thing is declared."""
        return self._index()._declared

    @property
    def placed(self) -> Mapping[tuple[str, str], str]:
        """Typical by the typical that a place stands in, and by the name of the place."""
        return self._index()._placed

    @property
    def in_runs(self) -> Set[Thing]:
        """Places that one statement makes together with others, such as `D201 to D260`."""
        return self._index()._in_runs

    @property
    def kind_by_device(self) -> Mapping[Thing, str]:
        """The kind's name of each device."""
        return self._index()._kind_by_device

    @property
    def _statements(self) -> Sequence[Statement]:
        return self.view.whole if self.view.whole else self.view.statements

    def _index(self) -> Names:
        """Goes through the whole plan, once somebody asks what only the whole can tell."""
        if not self._indexed:
            self._indexed = True
            for statement in self._statements:
                self._declare(statement)
            for statement in self._statements:
                for site in self.sites.of(statement):
                    thing = None if site.declared else self.thing(site)
                    if thing is not None:
                        self._spoken[thing].append(Found(site, statement.span(site.start, site.end)))
        return self

    def at(self, offset: int) -> Found | None:
        """The name at an offset of the view's text, or that ends there."""
        statement = statement_at(self.view.statements, offset)
        if statement is None:
            return None
        inside = offset - statement.offset
        sites = [site for site in self.sites.of(statement) if site.start <= inside <= site.end]
        if not sites:
            return None
        site = max(sites, key=lambda site: (inside < site.end, site.start))
        return Found(site, statement.span(site.start, site.end))

    def kind_of(self, kind: Word | Text) -> str:
        """The kind's name of what a declaration says: a device of the house has one of its own."""
        return self.house.get(kind.text, "") if isinstance(kind, Text) else kind.text

    def thing(self, site: Site) -> Thing | None:
        """What a site names; None where that is no name of anything."""
        if site.sort is Sort.DEVICE:
            return self._device(site)
        return Thing(site.sort, site.name, site.within if site.sort is Sort.PARAMETER else "")

    def device(self, name: str) -> Thing:
        """The thing of a whole name: what is in a place is what the typical placed there declares."""
        return self._resolved(name, "")

    def statement(self, at: Span) -> Statement | None:
        """The statement that a place is in, of whichever text."""
        own = (s for s in self._statements if s.source is at.source)
        return next((s for s in own if s.offset <= at.start < s.offset + len(s.text)), None)

    def each(self, thing: Thing, declaration: bool = True) -> list[Found]:
        """Every place of a name, in order of text and place."""
        found = [*(self.declared.get(thing, ()) if declaration else ()), *self._index()._spoken.get(thing, ())]
        return sorted(found, key=lambda found: found.at.order)

    def _device(self, site: Site) -> Thing | None:
        if site.within and site.name == HERE:
            return None
        thing = self._resolved(site.name, site.within)
        if site.within and thing not in self.declared:
            thing = self._resolved(site.name, "")
        return thing if not site.doubtful or thing in self.declared else None

    def _resolved(self, name: str, within: str) -> Thing:
        """The thing of a path: what is in a place is what the typical placed there declares."""
        for _ in range(DEEPEST):
            whole = Thing(Sort.DEVICE, name, within)
            first, _, rest = name.partition("/")
            if whole in self.declared or not rest:
                return whole
            typical = self.placed.get((within, first))
            if typical is None:
                return whole
            name, within = rest, typical
        return Thing(Sort.DEVICE, name, within)

    def _declare(self, statement: Statement) -> None:
        for site in self.sites.of(statement):
            if site.declared:
                thing = Thing(site.sort, site.name, site.within)
                self._declared[thing].append(Found(site, statement.span(site.start, site.end)))
        for declaration, within in _declarations(statement.node):
            self._kind_by_device[Thing(Sort.DEVICE, declaration.name.text, within)] = self.kind_of(declaration.kind)
        for place, within in _places(statement.node):
            for name in names_placed(place):
                self._placed[within, name] = place.typical.text
                # What is between the first and the last of a run is declared by the run's first name.
                thing = Thing(Sort.DEVICE, name, within)
                if place.last is not None:
                    self._in_runs.add(thing)
                if thing not in self._declared:
                    first = statement.span(place.first.start, place.first.end)
                    run = Site(place.first.start, place.first.end, Sort.DEVICE, place.first.text, True, within)
                    self._declared[thing].append(Found(run, first))


def _places(node: nodes.Node | None) -> Iterator[tuple[nodes.Place, str]]:
    match node:
        case nodes.Place():
            yield node, ""
        case nodes.Typical(name=name, body=body):
            yield from ((part, name.text) for part in body if isinstance(part, nodes.Place))


def _declarations(node: nodes.Node | None) -> Iterator[tuple[nodes.Declaration, str]]:
    match node:
        case nodes.Declaration():
            yield node, ""
        case nodes.Typical(name=name, body=body):
            yield from ((part, name.text) for part in body if isinstance(part, nodes.Declaration))


def last_before(statements: Sequence[Statement], offset: int) -> Statement | None:
    """The last statement that starts at or before an offset."""
    number = bisect_right(statements, offset, key=lambda statement: statement.offset) - 1
    return statements[number] if number >= 0 else None


def statement_at(statements: Sequence[Statement], offset: int) -> Statement | None:
    """The statement that an offset is in, or just behind."""
    statement = last_before(statements, offset)
    return statement if statement and offset <= statement.offset + len(statement.text) else None
