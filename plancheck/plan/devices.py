"""Declarations to devices: the entries held against the kind, the electrical parts built, names resolved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from plancheck.plan.build import MOST_REPEATS, Shape, repeats, shape
from plancheck.plan.header import tell_miss
from plancheck.plan.kinds import Kind, Kinds
from plancheck.plan.mistakes import Mistakes
from plancheck.plan.model import Device, Sighting, Signal, Value
from plancheck.plan.pattern import Fit, Miss, Raw, match_entry, shown
from plancheck.plan.scope import HERE, TOP, Scope
from plancheck.source import Source, Span
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Entry, Reference, Statement, Text, Word

MOST_PARTS = 1_000_000
"""Terminals, signals and primitives of all devices of a plan."""


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
class _Sighted:
    """A repeated attribute seen once, names not yet resolved."""

    values: dict[str, Raw]
    start: int
    end: int


@dataclass(slots=True)
class Body:
    """What a block says, apart from where it stands: places count from its first entry."""

    plain: dict[str, Value] = field(default_factory=dict)
    naming: dict[str, Raw] = field(default_factory=dict)
    sighted: dict[str, list[_Sighted]] = field(default_factory=dict)
    places: dict[str, tuple[int, int]] = field(default_factory=dict)
    leads: set[str] = field(default_factory=set)
    sound: bool = True
    shape: Shape | None = None


@dataclass(frozen=True, slots=True)
class HouseDevice:
    """A kind with data given: what `device "…" is a …` declares."""

    kind: Kind
    body: Body
    places: Places
    at: Span
    broken: bool


@dataclass(slots=True)
class _Pending:
    """A device whose values name other things of the plan, which may be declared behind it."""

    device: Device
    body: Body
    base: int
    statement: Statement
    scope: Scope


_NOTHING = Body()


class Devices:
    """The devices of a plan by name, and what is not known of them."""

    def __init__(self, kinds: Kinds, mistakes: Mistakes, doubtful: set[str]) -> None:
        self.kinds = kinds
        self.mistakes = mistakes
        self.by_name: dict[str, Device] = {}
        self.house: dict[str, HouseDevice] = {}
        self.doubtful = doubtful
        """Names whose declaration could not be read: no mistake is told of those who speak of them."""
        self.partial: set[str] = set()
        """Devices whose own declaration has mistakes: they may lack terminals and signals."""
        self._bodies: dict[tuple[str, str, str], Body] = {}
        self._pending: list[_Pending] = []
        self._parts = 0

    # --- declarations ------------------------------------------------------------------------------------

    def declare_house(self, node: nodes.HouseDevice, statement: Statement) -> None:
        """Adds a house device."""
        at = statement.span(node.name.start, node.name.end)
        name = node.name.text
        kind = self._kind(node.kind, statement)
        if name in self.house:
            headline = f"There is a house device “{name}” already"
            self.mistakes.add(at, headline, "a second one", "a name of its own", also_at=(self.house[name].at,))
            return
        if kind is None:
            self.doubtful.add(f'"{name}"')
            return
        body = self._read(kind, node.entries, statement, TOP, None)
        base = node.entries[0].start if node.entries else 0
        places = Places(statement.source, statement.offset + base, body.places)
        self.house[name] = HouseDevice(kind, body, places, at, statement.broken or not body.sound)

    def declare(self, node: nodes.Declaration, statement: Statement, scope: Scope) -> None:
        """Adds a device, door, gate or cable."""
        name = scope.declared(node.name.text)
        at = statement.span(node.kind.start, node.name.end)
        kind, preset = self._kind_of(node, statement)
        if kind is None:
            self.doubtful.add(name)
            return
        if (before := self.by_name.get(name)) is not None:
            expected = "a name of its own for each device"
            self.mistakes.add(
                at,
                f"There is a device “{name}” already",
                "a second one",
                expected,
                also_at=(before.at, *scope.placed_at),
            )
            return
        if name == HERE:
            self.mistakes.add(at, "“here” names a place, and stands in typicals only", "it outside any", "a name")
            return
        body = self._body(kind, preset, node, statement, scope)
        if statement.broken or not body.sound or (preset is not None and preset.broken):
            self.partial.add(name)
        else:
            self._check_complete(name, kind, preset, body, at, scope)
        self.by_name[name] = self._device(name, kind, preset, body, node, statement, scope, at)

    def _kind_of(self, node: nodes.Declaration, statement: Statement) -> tuple[Kind | None, HouseDevice | None]:
        if isinstance(node.kind, Word):
            return self._kind(node.kind, statement), None
        name = node.kind.text
        preset = self.house.get(name)
        if preset is None and f'"{name}"' not in self.doubtful:
            at = statement.span(node.kind.start, node.kind.end)
            hint = self.mistakes.hint(name, self.house)
            self.mistakes.add(at, f"There is no house device “{name}”", f"“{name}”", "a declared house device", hint)
        return (preset.kind, preset) if preset is not None else (None, None)

    def _kind(self, word: Word, statement: Statement) -> Kind | None:
        kind = self.kinds.get(word.text)
        if kind is None and word.text not in self.doubtful:
            at = statement.span(word.start, word.end)
            hint = self.mistakes.hint(word.text, self.kinds.by_name)
            self.mistakes.add(at, f"There is no kind “{word.text}”", f"“{word.text}”", "a declared kind", hint)
        return kind

    def _device(
        self, name: str, kind: Kind, preset: HouseDevice | None, body: Body, node: nodes.Declaration,
        statement: Statement, scope: Scope, at: Span,
    ) -> Device:  # fmt: skip
        made = body.shape
        assert made is not None
        self._parts += made.size
        if self._parts > MOST_PARTS:
            self.mistakes.add(
                at,
                "The plan has too many parts",
                f"more than {MOST_PARTS:,}",
                f"at most {MOST_PARTS:,} terminals, signals and parts",
            )
            made = Shape({}, (), (), ())
            self.partial.add(name)
        base = node.entries[0].start if node.entries else 0
        places: Mapping[str, Span] = Places(statement.source, statement.offset + base, body.places)
        if preset is not None:
            places = {**preset.places, **places}
        values = dict(body.plain)
        device = Device(
            name, kind.name, kind.base, node.title.text if node.title else "", values, kind.constants, made.terminals,
            {
                s.name: Signal(
                    s.name if s.shared else f"{name}.{s.name}", s.says.replace("{name}", name), s.role, s.rests_on,
                    "" if s.shared else name,
                )
                for s in made.signals
            },
            made.primitives, made.states, at, places, node.kind.text if preset is not None else "",
        )  # fmt: skip
        if body.naming or body.sighted:
            self._pending.append(_Pending(device, body, base, statement, scope))
        return device

    # --- blocks ------------------------------------------------------------------------------------------

    def _body(
        self, kind: Kind, preset: HouseDevice | None, node: nodes.Declaration, statement: Statement, scope: Scope
    ) -> Body:
        """What a block says; equal blocks of a kind are read once."""
        entries = node.entries
        if scope.parameters and any(_speaks_of(entry, scope) for entry in entries):
            return self._shaped(kind, self._read(kind, entries, statement, scope, preset))
        text = statement.text[entries[0].start : entries[-1].end] if entries else ""
        key = (kind.name, node.kind.text if preset is not None else "", text)
        body = self._bodies.get(key)
        if body is None:
            body = self._shaped(kind, self._read(kind, entries, statement, scope, preset))
            if body.sound and not statement.broken:
                self._bodies[key] = body
        return body

    def _shaped(self, kind: Kind, body: Body) -> Body:
        given: dict[str, Raw] = {**body.plain, **body.naming, **{lead: () for lead in body.sighted}}
        body.shape = shape(kind, given)
        return body

    def _read(
        self, kind: Kind, entries: tuple[Entry, ...], statement: Statement, scope: Scope, preset: HouseDevice | None
    ) -> Body:
        body = Body()
        base = entries[0].start if entries else 0
        before = preset.body if preset is not None else _NOTHING
        body.plain, body.naming, body.leads = dict(before.plain), dict(before.naming), set(before.leads)
        body.sighted = {lead: list(sighted) for lead, sighted in before.sighted.items()}
        for entry in entries:
            filled = scope.entry(entry, kind.patterns)
            first = filled.items[0]
            patterns = kind.patterns.get(first.text) if isinstance(first, Word) else None
            if patterns is None:
                self._unknown(kind, filled, statement, scope)
                body.sound = False
                continue
            fit = match_entry(patterns, filled.items)
            if isinstance(fit, Miss):
                tell_miss(fit, f"“{shown(first, bare=True)}” cannot be read", statement, self.mistakes, scope.placed_at)
                body.sound = False
                continue
            body.leads.add(first.text)
            self._take(fit, entry, base, body, kind, statement, preset)
        return body

    def _unknown(self, kind: Kind, entry: Entry, statement: Statement, scope: Scope) -> None:
        first = entry.items[0]
        at = statement.span(first.start, first.end)
        if not isinstance(first, Word):
            self.mistakes.add(at, "An attribute begins with its name", shown(first), "the name of an attribute")
            return
        known = ", ".join(sorted(kind.patterns)) or "none: the kind has no attributes"
        hint = self.mistakes.hint(first.text, kind.patterns)
        headline = f"The kind “{kind.name}” has no attribute “{first.text}”"
        self.mistakes.add(at, headline, shown(first), known, hint, scope.placed_at)

    def _take(
        self,
        fit: Fit,
        entry: Entry,
        base: int,
        body: Body,
        kind: Kind,
        statement: Statement,
        preset: HouseDevice | None,
    ) -> None:
        lead = fit.pattern.leads[0]
        if fit.pattern.many:
            body.sighted.setdefault(lead, []).append(_Sighted(fit.values, entry.start - base, entry.end - base))
            body.places.setdefault(lead, (entry.start - base, entry.end - base))
            return
        for slot, value in fit.values.items():
            start, end = fit.places[slot]
            known = slot in body.plain or slot in body.naming
            if known and not kind.slots[slot].many:
                self._twice(slot, statement.span(entry.start, entry.end), base, body, statement, preset)
                body.sound = False
                continue
            if known:
                value = (body.naming if slot in body.naming else body.plain)[slot] + value  # type: ignore[operator]
            body.places.setdefault(slot, (start - base, end - base))
            if _names_things(value):
                body.naming[slot] = value
            else:
                body.plain[slot] = value  # type: ignore[assignment]
            self._check_repeats(kind, slot, value, statement.span(start, end))

    def _twice(
        self, slot: str, at: Span, base: int, body: Body, statement: Statement, preset: HouseDevice | None
    ) -> None:
        if slot in body.places:
            start, end = body.places[slot]
            also: tuple[Span, ...] = (statement.span(base + start, base + end),)
        else:
            also = (preset.places[slot],) if preset is not None and slot in preset.places else ()
        self.mistakes.add(at, "This is said already", f"a second value of “{slot}”", "one value", also_at=also)

    def _check_repeats(self, kind: Kind, slot: str, value: Raw, at: Span) -> None:
        if kind.slots[slot].type != "count" or repeats(value) <= MOST_REPEATS:
            return
        if any(isinstance(m, nodes.RepeatMember) and m.slot.text == slot for m in kind.members):
            self.mistakes.add(at, f"Too many {slot}", f"{repeats(value):,}", f"at most {MOST_REPEATS} on one device")

    def _check_complete(
        self, name: str, kind: Kind, preset: HouseDevice | None, body: Body, at: Span, scope: Scope
    ) -> None:
        for lead in kind.needs:
            if lead not in body.leads:
                expected = " or ".join(f"“{p.example}”" for p in kind.patterns[lead] if p.needed)
                self.mistakes.add(
                    at, f"“{name}” does not say “{lead}”", f"no “{lead}”", expected, also_at=scope.placed_at
                )

    # --- names, once all devices are there ---------------------------------------------------------------

    def resolve_names(self) -> None:
        """Fills in the values that name other things."""
        for pending in self._pending:
            values = pending.device.values
            assert isinstance(values, dict)
            offset = pending.statement.offset + pending.base
            for slot, raw in pending.body.naming.items():
                values[slot] = self._named(raw, slot, pending)
            for lead, sightings in pending.body.sighted.items():
                values[lead] = tuple(
                    Sighting(
                        {slot: self._named(raw, slot, pending) for slot, raw in seen.values.items()},
                        Span(pending.statement.source, offset + seen.start, offset + seen.end),
                    )
                    for seen in sightings
                )
        self._pending.clear()

    def _named(self, raw: Raw, slot: str, pending: _Pending) -> Value:
        if isinstance(raw, Word):
            name = pending.scope.named(raw)
            self.find(name, pending.statement.span(raw.start, raw.end), pending.scope)
            return name
        if isinstance(raw, Reference):
            return self._referred(raw, slot, pending)
        if isinstance(raw, tuple) and raw:
            return tuple(str(self._named(part, slot, pending)) for part in raw)
        return raw  # type: ignore[return-value]

    def _referred(self, raw: Reference, slot: str, pending: _Pending) -> str:
        at = pending.statement.span(raw.start, raw.end)
        name = pending.scope.named(raw)
        device = self.find(name, at, pending.scope)
        if device is None:
            return f"{name}:{raw.terminal}"
        if self._is_signal(pending.device.kind, slot):
            signal = device.signals.get(raw.terminal)
            if signal is None:
                self._lacks(device, "signal", raw.terminal, device.signals, at)
            return signal.key if signal is not None else f"{name}.{raw.terminal}"
        self.check_terminal(device, raw.terminal, at)
        return f"{name}:{raw.terminal}"

    def _is_signal(self, kind_name: str, slot: str) -> bool:
        kind = self.kinds.get(kind_name)
        assert kind is not None
        inner = (s for outer in kind.slots.values() for s in outer.inner)
        return any(s.name == slot and s.type == "signal" for s in (*kind.slots.values(), *inner))

    # --- who is there ------------------------------------------------------------------------------------

    def find(self, name: str, at: Span, scope: Scope) -> Device | None:
        """The device of that name; a mistake where there is none."""
        device = self.by_name.get(name)
        if device is None and not self.is_doubtful(name):
            hint = self.mistakes.hint(name, self.by_name)
            self.mistakes.add(
                at, f"“{name}” is not declared", f"“{name}”", "the name of a device of this plan", hint, scope.placed_at
            )
        return device

    def is_doubtful(self, name: str) -> bool:
        """Whether something unread may have declared it: the name, or the place it is named after."""
        if name in self.doubtful:
            return True
        return any(name[:i] in self.doubtful for i, mark in enumerate(name) if mark == "/")

    def check_terminal(self, device: Device, terminal: str, at: Span) -> bool:
        """Whether the device has the terminal; a mistake where it has not."""
        if terminal in device.terminals:
            return True
        if device.name not in self.partial:
            self._lacks(device, "terminal", terminal, device.terminals, at)
        return False

    def _lacks(self, device: Device, what: str, name: str, names: Mapping[str, object], at: Span) -> None:
        if device.name in self.partial:
            return
        expected = "one of " + ", ".join(names) if names else f"none: it has no {what}"
        headline = f"“{device.name}” has no {what} “{name}”"
        near = self.mistakes.hint(f"{device.kind} {what} {name}", ()) or _near(name, names)
        self.mistakes.add(at, headline, f"“{device.name}:{name}”", expected, near)


def _near(name: str, names: Mapping[str, object]) -> str:
    from plancheck.nearest import did_you_mean

    return did_you_mean(name, names)


def _speaks_of(entry: Entry, scope: Scope) -> bool:
    """Whether an entry holds a parameter of the typical that it stands in."""
    return any(
        (item.text if isinstance(item, Word) else item.device if isinstance(item, Reference) else "")
        in scope.parameters
        for item in entry.items
    )


def _names_things(value: Raw) -> bool:
    if isinstance(value, tuple):
        return any(isinstance(part, Word | Reference) for part in value)
    return isinstance(value, Word | Reference)


__all__ = ["Devices", "HouseDevice", "Places", "Text"]
