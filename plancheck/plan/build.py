"""The electrical make-up of a device, from its kind and its values; the same for all devices that say the same."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from plancheck import units
from plancheck.plan.guard import All, AnyOf, Atom, Constant, Guard, Not
from plancheck.plan.kinds import Kind
from plancheck.plan.model import Primitive, State
from plancheck.plan.pattern import Raw
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Item, Number, Word
from plancheck.units import Quantity

MOST_REPEATS = 256
"""Channels, poles or positions of one device."""


@dataclass(frozen=True, slots=True)
class SignalPlan:
    """A signal that each device of a shape has: `says` still holds {name}."""

    name: str
    says: str
    role: str
    shared: bool
    rests_on: bool


@dataclass(frozen=True, slots=True)
class Shape:
    """Terminals (with whether each must be wired), signals, primitives and states."""

    terminals: Mapping[str, bool]
    signals: tuple[SignalPlan, ...]
    primitives: tuple[Primitive, ...]
    states: tuple[State, ...]

    @property
    def size(self) -> int:
        """How many parts it has, for the limit on a whole plan."""
        return len(self.terminals) + len(self.signals) + len(self.primitives)


class _Given:
    """The values of a device, over the constants of its kind."""

    def __init__(self, kind: Kind, values: Mapping[str, Raw]) -> None:
        self.kind = kind
        self.values = values

    def get(self, slot: str) -> Raw | None:
        value = self.values.get(slot)
        return self.kind.constants.get(slot) if value is None else value

    def allows(self, only: nodes.Only | None) -> bool:
        if only is None:
            return True
        value = self.get(only.slot.text)
        holds = value is not None and value is not False
        if only.value is not None:
            holds = value == " ".join(w.text for w in only.value)
        return holds != only.unless


Turn = tuple[int, int]
"""Number of a repetition, and how many there are; (0, 0) outside any."""


def shape(kind: Kind, values: Mapping[str, Raw]) -> Shape:
    """The make-up of a device with these values."""
    given = _Given(kind, values)
    members = list(_members(kind.members, given))
    terminals: dict[str, bool] = {}
    signals: dict[str, SignalPlan] = {}
    for member, turn in members:
        if isinstance(member, nodes.TerminalsMember):
            for word in member.names:
                terminals.setdefault(_terminal(word.text, turn), not member.spare)
        elif isinstance(member, nodes.SignalMember):
            signal = _signal(member, turn)
            signals.setdefault(signal.name, signal)
    known = _known(members, set(signals))
    primitives = _primitives(members, given, known)
    states = tuple(
        State(m.name.text, _guard(m.guard, turn, known)) for m, turn in members if isinstance(m, nodes.StateMember)
    )
    return Shape(terminals, tuple(signals.values()), primitives, states)


def repeats(value: Raw | None) -> int:
    """How often a `repeat` turns: once where the plan does not give the count."""
    return int(value) if isinstance(value, float | int) else 1


def _members(members: tuple[nodes.Member, ...], given: _Given) -> Iterator[tuple[nodes.Member, Turn]]:
    for member in members:
        if isinstance(member, nodes.RepeatMember):
            count = min(repeats(given.values.get(member.slot.text)), MOST_REPEATS)
            for number in range(1, count + 1):
                for inner in member.members:
                    if given.allows(getattr(inner, "only", None)):
                        yield inner, (number, count)
        elif given.allows(getattr(member, "only", None)):
            yield member, (0, 0)


def _terminal(name: str, turn: Turn) -> str:
    """A terminal's name; where there is but one of a kind, it bears no number."""
    return name.replace("#", "" if turn[1] == 1 else str(turn[0]))


def _numbered(name: str, turn: Turn) -> str:
    return name.replace("#", str(turn[0])) if turn[0] else name


def _signal(member: nodes.SignalMember, turn: Turn) -> SignalPlan:
    name = _numbered(member.name.text, turn)
    says = _numbered(member.says.text, turn) if member.says else name if member.shared else f"{name} of {{name}}"
    return SignalPlan(name, says, member.role.text if member.role else "", member.shared, member.rests_on)


def _known(members: list[tuple[nodes.Member, Turn]], signals: set[str]) -> dict[str, set[str]]:
    known: dict[str, set[str]] = {"signal": signals, "energised": set(), "made": set()}
    for member, turn in members:
        if isinstance(member, nodes.PrimitiveMember) and member.name is not None:
            what = {"load": "energised", "sense": "made"}.get(member.what.text)
            if what:
                known[what].add(_numbered(member.name.text, turn))
    return known


def _guard(guard: nodes.GuardNode, turn: Turn, known: dict[str, set[str]]) -> Guard:
    match guard:
        case nodes.GuardNot(inner):
            return Not(_guard(inner, turn, known))
        case nodes.GuardMany(how, parts):
            inside = tuple(_guard(p, turn, known) for p in parts)
            return All(inside) if how == "and" else AnyOf(inside)
        case nodes.GuardAtom(name, state):
            text = _numbered(name.text, turn)
            if state is None:
                return Atom("signal", text) if text in known["signal"] else Constant(False)
            if state.text == "made":
                return Atom("made", text) if text in known["made"] else Constant(False)
            return Atom("energised", text) if text in known["energised"] else Constant(False)


def _primitives(
    members: list[tuple[nodes.Member, Turn]], given: _Given, known: dict[str, set[str]]
) -> tuple[Primitive, ...]:
    built: list[Primitive] = []
    taken: set[str] = set()
    for member, turn in members:
        if not isinstance(member, nodes.PrimitiveMember):
            continue
        a, b = _terminal(member.a.text, turn), _terminal(member.b.text, turn)
        name = base = _numbered(member.name.text, turn) if member.name else f"{a}-{b}"
        number = 1
        while name in taken:
            number += 1
            name = f"{base}-{number}"
        taken.add(name)
        guard = None if member.guard is None else _guard(member.guard, turn, known)
        style = member.style.text if member.style else "direct" if member.what.text == "contact" else ""
        built.append(Primitive(member.what.text, name, a, b, style, guard, _data(member.settings, given)))
    return tuple(built)


def _data(settings: tuple[nodes.SettingNode, ...], given: _Given) -> dict[str, float | str | bool]:
    data: dict[str, float | str | bool] = {}
    volts: float | None = None
    for setting in sorted(settings, key=lambda s: s.name.text != "volts"):
        for choice in setting.choices:
            value = _setting(choice, given, volts)
            if value is None:
                continue
            if isinstance(value, Quantity):
                if setting.name.text == "volts":
                    volts = value.value
                    if value.form:
                        data["form"] = value.form
                data[setting.name.text] = value.value
            else:
                data[setting.name.text] = value
            break
    return data


def _setting(choice: tuple[Item, ...], given: _Given, volts: float | None) -> Quantity | float | str | bool | None:
    match choice:
        case [Word("yes" | "no" as said)]:
            return said == "yes"
        case [Word(text)]:
            if text not in given.kind.slots:
                return text
            value = given.get(text)
            return value if isinstance(value, Quantity | str | bool | float) else None
        case [Number(value=number), Word("%")]:
            return None if volts is None else number * volts / 100.0
        case [Number(value=number, text=text), Word(unit)] if units.is_unit(unit):
            return units.quantity(number, unit, text)
    return None
