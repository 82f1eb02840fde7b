"""Device kinds: what may be said of a device, and what it is made of electrically."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from plancheck.finding import Mistake
from plancheck.plan.model import Value
from plancheck.plan.pattern import Pattern, Slot, words_in
from plancheck.source import Source, Span
from plancheck.syntax import nodes, read_statements
from plancheck.syntax.nodes import Statement
from plancheck.units import GAUGE, UNITS

BASES = ("device", "lock", "door", "gate", "cable", "wire")
"""Base classes; a kind that names none is a plain device."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind, checked. `members` are its electrical parts, in order, to be built for each device.

    `needs` holds the leading words of attributes that must be given. `signals` and `states` are names as the
    kind writes them: `ch#` where they repeat.
    """

    name: str
    says: str
    base: str
    patterns: Mapping[str, tuple[Pattern, ...]]
    needs: tuple[str, ...]
    slots: Mapping[str, Slot]
    constants: Mapping[str, Value]
    members: tuple[nodes.Member, ...]
    signals: tuple[str, ...]
    states: tuple[str, ...]
    at: Span

    def names(self, slot: str, what: str) -> bool:
        """Whether a slot, of a device or of a sighting, names things of a type: a signal and no terminal, a lock."""
        return any(
            inner.name == slot and inner.type == what
            for outer in self.slots.values()
            for inner in (outer, *outer.inner)
        )


@dataclass(frozen=True)
class Kinds:
    """The kind table."""

    by_name: Mapping[str, Kind] = field(default_factory=dict)
    elsewhere: Mapping[str, str] = field(default_factory=dict)
    """Kinds that are in packs at hand which do not apply: name of the pack by that of the kind."""

    @cached_property
    def words(self) -> frozenset[str]:
        """Every word that has a meaning in some declaration: kinds, attributes, choices, units."""
        every = (p for k in self.by_name.values() for patterns in k.patterns.values() for p in patterns)
        return frozenset((*self.by_name, *UNITS, GAUGE, *(word for p in every for word in words_in(p.parts))))

    def get(self, name: str) -> Kind | None:
        """The kind of that name."""
        return self.by_name.get(name)

    def without(self, others: Mapping[str, str]) -> Kinds:
        """The table without kinds of packs that do not apply: name of the pack by that of the kind."""
        return Kinds({name: kind for name, kind in self.by_name.items() if name not in others}, others)

    def of_base(self, base: str) -> list[Kind]:
        """Kinds of a base class, in the order declared."""
        return [k for k in self.by_name.values() if k.base == base]

    def slots(self) -> dict[str, list[Slot]]:
        """Every slot name of every kind, with the different slots that bear it."""
        found: dict[str, list[Slot]] = {}
        for kind in self.by_name.values():
            for name, slot in kind.slots.items():
                same = found.setdefault(name, [])
                if slot not in same:
                    same.append(slot)
        return found

    def constants(self) -> dict[str, list[Value]]:
        """Every constant's name, with the different values it takes."""
        found: dict[str, list[Value]] = {}
        for kind in self.by_name.values():
            for name, value in kind.constants.items():
                if value not in found.setdefault(name, []):
                    found[name].append(value)
        return found

    def signals(self) -> list[str]:
        """Names of all signals, as the kinds write them, sorted."""
        return sorted({s for k in self.by_name.values() for s in k.signals})

    def states(self) -> list[str]:
        """Names of all states, sorted."""
        return sorted({s for k in self.by_name.values() for s in k.states})


def load_kinds(sources: Iterable[Source]) -> tuple[Kinds, list[Mistake]]:
    """The kinds declared in some texts; nothing else may stand there."""
    statements: list[Statement] = []
    mistakes: list[Mistake] = []
    for source in sources:
        read, wrong = read_statements(source)
        statements += read
        mistakes += wrong
    for statement in statements:
        if statement.node is not None and not isinstance(statement.node, nodes.KindNode):
            at = statement.span(statement.node.start, statement.node.end)
            mistakes.append(Mistake(at, "Only kinds stand in a file of kinds", "another statement", "“kind …”"))
    kinds, wrong = declared_kinds(statements, Kinds())
    return kinds, mistakes + wrong


def declared_kinds(statements: Sequence[Statement], known: Kinds) -> tuple[Kinds, list[Mistake]]:
    """The known kinds and those that the statements declare."""
    from plancheck.plan.declare import declare

    if not any(isinstance(statement.node, nodes.KindNode) for statement in statements):
        return known, []
    table = dict(known.by_name)
    mistakes: list[Mistake] = []
    for statement in statements:
        node = statement.node
        if not isinstance(node, nodes.KindNode):
            continue
        at = statement.span(node.name.start, node.name.end)
        if (before := table.get(node.name.text)) is not None:
            headline = f"There is a kind “{node.name.text}” already"
            mistakes.append(Mistake(at, headline, "a second one", "a name of its own", also_at=(before.at,)))
            continue
        kind, wrong = declare(node, statement)
        mistakes += wrong
        table[kind.name] = kind
    return Kinds(table, known.elsewhere), mistakes
