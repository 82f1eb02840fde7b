"""Where in a statement which names stand: those that it declares, and those that it speaks of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Protocol

from plancheck.plan.header import WHOLE_PLAN
from plancheck.plan.kinds import Kind
from plancheck.plan.pattern import DEVICES, Fit, Maybe, Part, Slot, match_entry
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Entry, Reference, Statement, Text, Word
from plancheck.syntax.read import REMEMBERED


class Sort(Enum):
    """What a name names."""

    DEVICE = "device"
    TYPICAL = "typical"
    KIND = "kind"
    HOUSE_DEVICE = "house device"
    PARAMETER = "parameter"
    RULE = "rule"
    FILE = "file"


@dataclass(frozen=True, slots=True)
class Site:
    """A name in a statement, from its start. Of `D102/ML:COM`, `D102` and `D102/ML` are two sites, each its last part.

    `within` is the typical that it stands in. `terminal` is what stands behind it, with a colon. A `doubtful` one
    names a device only where there is one of that name: what is handed to a typical may be anything.
    """

    start: int
    end: int
    sort: Sort
    name: str
    declared: bool = False
    within: str = ""
    terminal: str = ""
    doubtful: bool = False


class KindsAtHand(Protocol):
    """What is known of kinds where names are looked for."""

    def kind(self, name: str) -> Kind | None: ...
    def kind_of(self, kind: Word | Text) -> str: ...
    @property
    def wires(self) -> Sequence[Kind]: ...


class Sites:
    """The sites of statements, remembered by text: one text always has the same."""

    def __init__(self, kinds: KindsAtHand) -> None:
        self.kinds = kinds
        self._known: dict[str, tuple[Site, ...]] = {}

    def of(self, statement: Statement) -> tuple[Site, ...]:
        """The names in a statement, in order of place; none where it could not be read."""
        known = self._known.get(statement.text)
        if known is None:
            if len(self._known) >= REMEMBERED:
                self._known.clear()
            found = _Walk(self.kinds).node(statement.node) if statement.node else ()
            known = tuple(sorted(found, key=lambda site: (site.start, site.end)))
            self._known[statement.text] = known
        return known


class _Walk:
    def __init__(self, kinds: KindsAtHand, within: nodes.Typical | None = None) -> None:
        self.kinds = kinds
        self.within = within.name.text if within else ""
        self.parameters = {word.text for word in within.parameters} if within else set()

    def node(self, node: nodes.Node) -> Iterator[Site]:
        match node:
            case nodes.Header(keyword=keyword, items=items):
                texts = (item for item in items if isinstance(item, Text))
                yield from (Site(t.start, t.end, Sort.FILE, t.text) for t in texts if keyword.text == "use")
            case nodes.KindNode(name=name):
                yield self.site(name, Sort.KIND, declared=True)
            case nodes.HouseDevice(name=name, kind=kind, entries=entries):
                yield self.site(name, Sort.HOUSE_DEVICE, declared=True)
                yield self.site(kind, Sort.KIND)
                yield from self.entries(entries, self.kinds.kind(kind.text))
            case nodes.Declaration(kind=kind, name=name, entries=entries):
                of_house = isinstance(kind, Text)
                yield self.site(kind, Sort.HOUSE_DEVICE if of_house else Sort.KIND)
                yield self.site(name, Sort.DEVICE, declared=True)
                yield from self.entries(entries, self.kinds.kind(self.kinds.kind_of(kind)))
            case nodes.Wire(ends=ends, conductor=conductor, entries=entries):
                yield from (site for end in ends for site in self.reference(end))
                if conductor and "/" in conductor.text:
                    cable = conductor.text.rpartition("/")[0]
                    yield from self.path(cable, conductor.start)
                for of_wires in self.kinds.wires:
                    yield from self.entries(entries, of_wires)
            case nodes.Typical(name=name, parameters=parameters, body=body):
                yield self.site(name, Sort.TYPICAL, declared=True)
                inside = _Walk(self.kinds, node)
                yield from (inside.site(word, Sort.PARAMETER, declared=True) for word in parameters)
                yield from (site for part in body for site in inside.node(part))
            case nodes.Place():
                yield from self.place(node)
            case nodes.Variance(rule=rule, on=on):
                yield self.site(rule, Sort.RULE)
                if on.text != WHOLE_PLAN:
                    device, _, terminal = on.text.partition(":")
                    yield from self.path(device, on.start, terminal)

    def place(self, node: nodes.Place) -> Iterator[Site]:
        yield self.site(node.typical, Sort.TYPICAL)
        yield self.site(node.first, Sort.DEVICE, declared=True)
        if node.last is not None:
            yield self.site(node.last, Sort.DEVICE, declared=True)
        for entry in node.entries:
            lead = entry.items[0]
            if isinstance(lead, Word):
                yield Site(lead.start, lead.end, Sort.PARAMETER, lead.text, within=node.typical.text)
            for item in entry.items[1:]:
                if isinstance(item, Word):
                    yield from self.path(item.text, item.start, doubtful=True)
                elif isinstance(item, Reference):
                    yield from self.reference(item)

    def site(self, word: Word | Text, sort: Sort, declared: bool = False) -> Site:
        within = self.within if sort in (Sort.DEVICE, Sort.PARAMETER) else ""
        return Site(word.start, word.end, sort, word.text, declared, within)

    def reference(self, reference: Reference) -> Iterator[Site]:
        yield from self.path(reference.device, reference.start, reference.terminal)

    def path(self, name: str, start: int, terminal: str = "", doubtful: bool = False) -> Iterator[Site]:
        """A name, and the names of the places that it is in: `D102/ML` is in `D102`."""
        if name in self.parameters:
            yield Site(start, start + len(name), Sort.PARAMETER, name, within=self.within, terminal=terminal)
            return
        at = 0
        while at <= len(name):
            end = name.find("/", at)
            last = end < 0
            end = len(name) if last else end
            behind = terminal if last else ""
            yield Site(start + at, start + end, Sort.DEVICE, name[:end], False, self.within, behind, doubtful)
            at = end + 1

    def entries(self, entries: Iterable[Entry], kind: Kind | None) -> Iterator[Site]:
        """Names of devices in a block, and the parameters of the typical around it."""
        for entry in entries:
            lead = entry.items[0]
            patterns = kind.patterns.get(lead.text, ()) if kind and isinstance(lead, Word) else ()
            fit = match_entry(patterns, entry.items) if patterns else None
            named = list(_named(fit)) if isinstance(fit, Fit) else []
            for item in entry.items:
                if isinstance(item, Word) and item.text in self.parameters:
                    yield Site(item.start, item.end, Sort.PARAMETER, item.text, within=self.within)
                elif isinstance(item, Reference):
                    yield from self.reference(item)
                elif any(item is word for word in named):
                    assert isinstance(item, Word)
                    yield from self.path(item.text, item.start)


def _named(fit: Fit) -> Iterator[object]:
    """The words that name devices in an entry that fits."""
    slots = {slot.name: slot for slot in _slots(fit.pattern.parts)}
    for name, value in fit.values.items():
        if name in slots and slots[name].type in DEVICES:
            yield from value if isinstance(value, tuple) else (value,)


def _slots(parts: Iterable[Part]) -> Iterator[Slot]:
    for part in parts:
        if isinstance(part, Slot):
            yield part
        elif isinstance(part, Maybe):
            yield from _slots(part.parts)
