"""What the block of a declaration says: its entries held against the patterns of the kind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from plancheck.plan.build import MOST_REPEATS, Shape, repeats
from plancheck.plan.header import tell_miss
from plancheck.plan.kinds import Kind
from plancheck.plan.mistakes import Mistakes, listed
from plancheck.plan.model import Value
from plancheck.plan.pattern import Fit, Miss, Raw, match_entry, shown
from plancheck.plan.scope import Scope
from plancheck.source import Source, Span
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Entry, Reference, Statement, Word


class Places(Mapping[str, Span]):
    """Where each slot's value stands; spans are made when asked for, since most never are."""

    __slots__ = ("_offset", "_places", "_source")

    def __init__(self, source: Source, offset: int, places: Mapping[str, tuple[int, int]]) -> None:
        self._source = source
        self._offset = offset
        self._places = places

    def __getitem__(self, slot: str) -> Span:
        start, end = self._places[slot]
        return Span(self._source, self._offset + start, self._offset + end)

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)


@dataclass(frozen=True, slots=True)
class Sighted:
    """A repeated attribute seen once, the names in it not yet resolved."""

    values: Mapping[str, Raw]
    start: int
    end: int
    at: Span | None = None
    """Where it stands, if elsewhere than in the block that is read: in a house device."""


@dataclass(slots=True)
class Body:
    """What a block says, apart from where it stands: offsets count from its first entry.

    `plain` are values as they are, `naming` those that name other things of the plan.
    """

    plain: dict[str, Value] = field(default_factory=dict)
    naming: dict[str, Raw] = field(default_factory=dict)
    sighted: dict[str, list[Sighted]] = field(default_factory=dict)
    places: dict[str, tuple[int, int]] = field(default_factory=dict)
    leads: set[str] = field(default_factory=set)
    """Leading words of the attributes given."""
    sound: bool = True
    shape: Shape | None = None

    def given(self) -> dict[str, Raw]:
        """Every slot that has a value."""
        return {**self.plain, **self.naming, **dict.fromkeys(self.sighted, ())}


@dataclass(frozen=True, slots=True)
class HouseDevice:
    """A kind with data given: what `device "…" is a …` declares."""

    kind: Kind
    body: Body
    places: Places
    at: Span
    broken: bool


@dataclass(frozen=True, slots=True)
class Block:
    """A block to be read: whose it is and where it stands."""

    kind: Kind
    preset: HouseDevice | None
    entries: tuple[Entry, ...]
    statement: Statement
    scope: Scope

    @property
    def base(self) -> int:
        """Offset of the first entry in the statement."""
        return self.entries[0].start if self.entries else 0

    @property
    def text(self) -> str:
        """The entries as they are written."""
        return self.statement.text[self.base : self.entries[-1].end] if self.entries else ""

    @property
    def varies(self) -> bool:
        """Whether it holds a parameter of the typical that it stands in."""
        parameters = self.scope.parameters
        if not parameters:
            return False
        items = (item for entry in self.entries for item in entry.items)
        return any(
            (item.text if isinstance(item, Word) else item.device) in parameters
            for item in items
            if isinstance(item, Word | Reference)
        )


def read_body(block: Block, mistakes: Mistakes) -> Body:
    """The values that a block gives, over those of the house device, if it is one."""
    body = Body()
    if block.preset is not None:
        before = block.preset.body
        body.plain, body.naming, body.leads = dict(before.plain), dict(before.naming), set(before.leads)
        body.sighted = {lead: list(sighted) for lead, sighted in before.sighted.items()}
    for entry in block.entries:
        filled = block.scope.entry(entry, block.kind.patterns)
        first = filled.items[0]
        patterns = block.kind.patterns.get(first.text) if isinstance(first, Word) else None
        if patterns is None:
            _unknown(block, filled, mistakes)
            body.sound = False
            continue
        fit = match_entry(patterns, filled.items)
        if isinstance(fit, Miss):
            headline = f"“{shown(first, bare=True)}” cannot be read"
            tell_miss(fit, headline, block.statement, mistakes, block.scope.placed_at)
            body.sound = False
            continue
        body.leads.update(fit.pattern.leads)
        _take(fit, entry, block, body, mistakes)
    return body


def _unknown(block: Block, entry: Entry, mistakes: Mistakes) -> None:
    first = entry.items[0]
    at = block.statement.span(first.start, first.end)
    if not isinstance(first, Word):
        mistakes.add(at, "An attribute begins with its name", shown(first), "the name of an attribute")
        return
    patterns = block.kind.patterns
    expected = listed(sorted(patterns)) or "none: the kind has no attributes"
    headline = f"The kind “{block.kind.name}” has no attribute “{first.text}”"
    mistakes.add(at, headline, shown(first), expected, mistakes.hint(first.text, patterns), block.scope.placed_at)


def _take(fit: Fit, entry: Entry, block: Block, body: Body, mistakes: Mistakes) -> None:
    lead, base = fit.pattern.leads[0], block.base
    start, end = entry.start - base, entry.end - base
    if fit.pattern.many:
        body.sighted.setdefault(lead, []).append(Sighted(fit.values, start, end))
        body.places.setdefault(lead, (start, end))
        return
    for slot, value in fit.values.items():
        start, end = fit.places[slot]
        at = block.statement.span(start, end)
        before = body.naming.get(slot, body.plain.get(slot))
        if before is not None:
            if not (isinstance(before, tuple) and isinstance(value, tuple)):
                also = _given_at(slot, block, body)
                mistakes.add(at, "This is said already", f"a second value of “{slot}”", "one value", also_at=also)
                body.sound = False
                continue
            value = tuple[Raw, ...]((*before, *value))
        body.places.setdefault(slot, (start - base, end - base))
        if _names_things(value):
            body.naming[slot] = value
        else:
            body.plain[slot] = value  # type: ignore[assignment]
        _check_repeats(block.kind, slot, value, at, mistakes)


def _given_at(slot: str, block: Block, body: Body) -> tuple[Span, ...]:
    if slot in body.places:
        start, end = body.places[slot]
        return (block.statement.span(block.base + start, block.base + end),)
    preset = block.preset
    return (preset.places[slot],) if preset is not None and slot in preset.places else ()


def _check_repeats(kind: Kind, slot: str, value: Raw, at: Span, mistakes: Mistakes) -> None:
    if kind.slots[slot].type != "count" or repeats(value) <= MOST_REPEATS:
        return
    if any(isinstance(m, nodes.RepeatMember) and m.slot.text == slot for m in kind.members):
        mistakes.add(at, f"Too many {slot}", f"{repeats(value):,}", f"at most {MOST_REPEATS} on one device")


def _names_things(value: Raw) -> bool:
    if isinstance(value, tuple):
        return any(isinstance(part, Word | Reference) for part in value)
    return isinstance(value, Word | Reference)
