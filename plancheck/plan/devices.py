"""Declarations to devices: the block read, the electrical parts built, and last the names in it resolved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from plancheck.plan.body import Block, Body, HouseDevice, Places, Sighted, read_body
from plancheck.plan.build import Shape, shape
from plancheck.plan.kinds import Kind, Kinds
from plancheck.plan.mistakes import Mistakes
from plancheck.plan.model import Device, Sighting, Signal, Value
from plancheck.plan.pattern import Raw
from plancheck.plan.register import Register
from plancheck.plan.scope import HERE, TOP, Scope
from plancheck.source import Span
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Reference, Statement, Word

MOST_PARTS = 1_000_000
"""Terminals, signals and primitives of all devices of a plan."""


class Devices:
    """Puts devices on the register."""

    def __init__(self, kinds: Kinds, register: Register, mistakes: Mistakes) -> None:
        self.kinds = kinds
        self.register = register
        self.mistakes = mistakes
        self.house: dict[str, HouseDevice] = {}
        self._bodies: dict[tuple[str, str, str], Body] = {}
        self._pending: list[tuple[Device, Body, Block]] = []
        self._parts = 0

    # --- declarations ------------------------------------------------------------------------------------

    def declare_house(self, node: nodes.HouseDevice, statement: Statement) -> None:
        """Adds a house device."""
        at = statement.span(node.name.start, node.name.end)
        name = node.name.text
        if name in self.house:
            headline = f"There is a house device “{name}” already"
            also = (self.house[name].at,)
            self.mistakes.add(at, headline, "a second one", "a name of its own", also_at=also)
            return
        kind = self._kind(node.kind, statement)
        if kind is None:
            self.register.doubtful.add(f'"{name}"')
            return
        block = Block(kind, None, node.entries, statement, TOP)
        body = read_body(block, self.mistakes)
        for sighted in body.sighted.values():
            sighted[:] = (replace(seen, at=_place_of(seen, block)) for seen in sighted)
        places = Places(statement.source, statement.offset + block.base, body.places)
        self.house[name] = HouseDevice(kind, body, places, at, statement.broken or not body.sound)

    def declare(self, node: nodes.Declaration, statement: Statement, scope: Scope) -> None:
        """Adds a device, door, gate or cable."""
        name = scope.declared(node.name.text)
        at = statement.span(node.kind.start, node.name.end)
        kind, preset = self._kind_of(node, statement)
        if kind is None:
            self.register.doubtful.add(name)
            return
        if (before := self.register.by_name.get(name)) is not None:
            expected = "a name of its own for each device"
            also = (before.at, *scope.placed_at)
            self.mistakes.add(at, f"There is a device “{name}” already", "a second one", expected, also_at=also)
            return
        if name == HERE:
            headline = "“here” is the name of a place, and stands in typicals only"
            self.mistakes.add(at, headline, "it outside any typical", "a name")
            return
        block = Block(kind, preset, node.entries, statement, scope)
        body = self._body(block, node)
        if statement.broken or not body.sound or (preset is not None and preset.broken):
            self.register.partial.add(name)
        else:
            self._check_complete(name, kind, body, at, scope)
        self.register.by_name[name] = self._device(name, node, block, body, at)

    def _kind_of(self, node: nodes.Declaration, statement: Statement) -> tuple[Kind | None, HouseDevice | None]:
        if isinstance(node.kind, Word):
            return self._kind(node.kind, statement), None
        name = node.kind.text
        preset = self.house.get(name)
        if preset is not None:
            return preset.kind, preset
        if f'"{name}"' not in self.register.doubtful:
            at = statement.span(node.kind.start, node.kind.end)
            hint = self.mistakes.hint(name, self.mistakes.known("house device", self.house))
            headline = f"There is no house device “{name}”"
            self.mistakes.add(at, headline, f"“{name}”", "a declared house device", hint)
        return None, None

    def _kind(self, word: Word, statement: Statement) -> Kind | None:
        kind = self.kinds.get(word.text)
        if kind is None and word.text not in self.register.doubtful:
            at = statement.span(word.start, word.end)
            pack = self.kinds.elsewhere.get(word.text)
            near = self.mistakes.hint(word.text, self.mistakes.known("kind", self.kinds.by_name))
            hint = f'The pack “{pack}” has it; a plan takes it in with: adopt "{pack}"' if pack else near
            self.mistakes.add(at, f"There is no kind “{word.text}”", f"“{word.text}”", "a declared kind", hint)
        return kind

    def _body(self, block: Block, node: nodes.Declaration) -> Body:
        """What a block says; equal blocks of a kind are read once."""
        key = None
        if not block.varies:
            preset = node.kind.text if block.preset is not None else ""
            key = block.kind.name, preset, block.text
            if (known := self._bodies.get(key)) is not None:
                return known
        body = read_body(block, self.mistakes)
        body.shape = shape(block.kind, body.given())
        if key is not None and body.sound and not block.statement.broken:
            self._bodies[key] = body
        return body

    def _check_complete(self, name: str, kind: Kind, body: Body, at: Span, scope: Scope) -> None:
        for lead in kind.needs:
            if lead not in body.leads:
                expected = " or ".join(f"“{p.example}”" for p in kind.patterns[lead] if p.needed)
                headline = f"“{name}” does not say “{lead}”"
                self.mistakes.add(at, headline, f"no “{lead}”", expected, also_at=scope.placed_at)

    def _device(self, name: str, node: nodes.Declaration, block: Block, body: Body, at: Span) -> Device:
        made = self._affordable(name, body.shape or Shape({}, (), (), ()), at)
        preset = block.preset
        source, offset = block.statement.source, block.statement.offset + block.base
        places: Mapping[str, Span] = Places(source, offset, body.places)
        if preset is not None:
            places = {**preset.places, **places}
        device = Device(
            name=name,
            kind=block.kind.name,
            base=block.kind.base,
            title=node.title.text if node.title else "",
            values=dict(body.plain),
            constants=block.kind.constants,
            terminals=made.terminals,
            signals=_signals(name, made),
            primitives=made.primitives,
            states=made.states,
            at=at,
            value_at=places,
            preset=node.kind.text if preset is not None else "",
        )
        if body.naming or body.sighted:
            self._pending.append((device, body, block))
        return device

    def _affordable(self, name: str, made: Shape, at: Span) -> Shape:
        """The make-up of a device, or nothing of it where the plan has grown past its limit."""
        self._parts += made.size
        if self._parts <= MOST_PARTS:
            return made
        expected = f"at most {MOST_PARTS:,} terminals, signals and parts"
        self.mistakes.add(at, "The plan has too many parts", f"more than {MOST_PARTS:,}", expected)
        self.register.partial.add(name)
        return Shape({}, (), (), ())

    # --- names, once all devices are there ---------------------------------------------------------------

    def resolve_names(self) -> None:
        """Fills in the values that name other things, which may be declared behind those that name them."""
        for device, body, block in self._pending:
            values = device.values
            assert isinstance(values, dict)
            for slot, raw in body.naming.items():
                values[slot] = self._named(raw, slot, block)
            for lead, sightings in body.sighted.items():
                values[lead] = tuple(self._sighting(seen, block) for seen in sightings)
        self._pending.clear()

    def _sighting(self, seen: Sighted, block: Block) -> Sighting:
        values = {slot: self._named(raw, slot, block) for slot, raw in seen.values.items()}
        return Sighting(values, _place_of(seen, block))

    def _named(self, raw: Raw, slot: str, block: Block) -> Value:
        match raw:
            case Word():
                name, at = block.scope.named(raw), block.statement.span(raw.start, raw.end)
                device = self.register.find(name, at, block.scope)
                if device is not None and block.kind.names(slot, "lock"):
                    self.register.is_lock(device, at)
                return name
            case Reference():
                return self._referred(raw, slot, block)
            case (Word() | Reference(), *_):
                return tuple(str(self._named(part, slot, block)) for part in raw)  # type: ignore[arg-type]
            case _:
                return raw  # type: ignore[return-value]

    def _referred(self, raw: Reference, slot: str, block: Block) -> str:
        """`device:terminal`, or the key of a signal."""
        at = block.statement.span(raw.start, raw.end)
        name = block.scope.named(raw)
        device = self.register.find(name, at, block.scope)
        if not block.kind.names(slot, "signal"):
            if device is not None:
                self.register.has_terminal(device, raw.terminal, at)
            return f"{name}:{raw.terminal}"
        signal = device.signals.get(raw.terminal) if device is not None else None
        if signal is not None:
            return signal.key
        if device is not None:
            self.register.lacks(device, "signal", raw.terminal, device.signals, at)
        return f"{name}.{raw.terminal}"


def _place_of(seen: Sighted, block: Block) -> Span:
    return seen.at or block.statement.span(block.base + seen.start, block.base + seen.end)


def _signals(name: str, made: Shape) -> dict[str, Signal]:
    return {
        signal.name: Signal(
            key=signal.name if signal.shared else f"{name}.{signal.name}",
            says=signal.says.replace("{name}", name),
            role=signal.role,
            rests_on=signal.rests_on,
            device="" if signal.shared else name,
        )
        for signal in made.signals
    }
