"""Wires: each leg of a chain with its ends, its cable and its colour."""

from __future__ import annotations

from collections.abc import Mapping

from plancheck.plan.header import tell_miss
from plancheck.plan.kinds import Kinds
from plancheck.plan.mistakes import Mistakes, listed
from plancheck.plan.model import Value, Wire, WireEnd
from plancheck.plan.pattern import Miss, match_entry, shown
from plancheck.plan.register import Register
from plancheck.plan.scope import Scope
from plancheck.source import Span
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Statement, Word

_NOTHING: Mapping[str, Value] = {}


class Wires:
    """The wires of a plan, in its order."""

    def __init__(self, kinds: Kinds, register: Register, mistakes: Mistakes) -> None:
        kind = next(iter(kinds.of_base("wire")), None)
        self.patterns = kind.patterns if kind is not None else {}
        self.register = register
        self.mistakes = mistakes
        self.drawn: list[Wire] = []

    def add(self, node: nodes.Wire, statement: Statement, scope: Scope) -> None:
        """Draws one wire statement; a leg with an unknown end is told and left out."""
        cable, colour = self._conductor(node.conductor, statement, scope) if node.conductor else ("", "")
        values = self._values(node, statement, scope) if node.entries else _NOTHING
        source, offset = statement.source, statement.offset
        by_name, prefix = self.register.by_name, scope.prefix
        before: WireEnd | None = None
        for reference in node.ends:
            at = Span(source, offset + reference.start, offset + reference.end)
            name = scope.whole(reference.device) if prefix else reference.device
            terminal = reference.terminal
            device = by_name.get(name) or self.register.find(name, at, scope)
            if device is None or (
                terminal not in device.terminals and not self.register.has_terminal(device, terminal, at)
            ):
                before = None
                continue
            end = WireEnd(name, terminal, at)
            if before is not None:
                leg = Span(source, before.at.start, at.end)
                self.drawn.append(Wire(before, end, cable, colour, values, leg))
                if before.device == name and before.terminal == terminal:
                    self.mistakes.add(leg, "This wire ends where it begins", f"“{end.key}” twice", "two terminals")
            before = end

    def _conductor(self, word: Word, statement: Statement, scope: Scope) -> tuple[str, str]:
        at = statement.span(word.start, word.end)
        said, slash, colour = word.text.rpartition("/")
        if not slash or not colour:
            name = scope.whole(word.text)
            expected = f"a cable and its conductor, such as {name}/red"
            self.mistakes.add(at, "This does not say which conductor", f"“{word.text}”", expected)
            return "", ""
        cable = scope.whole(said)
        device = self.register.by_name.get(cable)
        if device is None:
            if not self.register.is_doubtful(cable):
                cables = self.mistakes.known("cable", self.register.of_base("cable"))
                hint = self.mistakes.hint(cable, cables)
                headline = f"The cable “{cable}” is not declared"
                self.mistakes.add(at, headline, f"“{cable}”", "the name of a cable", hint, scope.placed_at)
        elif device.base != "cable":
            expected = "the name of a cable, behind it the conductor"
            self.mistakes.add(at, f"“{cable}” is no cable", f"“{cable}”, a {device.kind}", expected)
        return cable, colour

    def _values(self, node: nodes.Wire, statement: Statement, scope: Scope) -> Mapping[str, Value]:
        """A wire's own attributes, which kinds of the base class `wire` declare."""
        patterns = self.patterns
        values: dict[str, Value] = {}
        for entry in node.entries:
            filled = scope.entry(entry, patterns)
            first = filled.items[0]
            fitting = patterns.get(first.text) if isinstance(first, Word) else None
            if fitting is None:
                said = first.text if isinstance(first, Word) else ""
                at = statement.span(first.start, first.end)
                known = listed(sorted(patterns)) or "none"
                hint = self.mistakes.hint(said, patterns)
                self.mistakes.add(at, f"A wire has no attribute “{said}”", shown(first), known, hint, scope.placed_at)
                continue
            fit = match_entry(fitting, filled.items)
            if isinstance(fit, Miss):
                tell_miss(fit, f"“{shown(first, bare=True)}” cannot be read", statement, self.mistakes, scope.placed_at)
                continue
            for slot, value in fit.values.items():
                if slot in values:
                    at = statement.span(entry.start, entry.end)
                    self.mistakes.add(at, "This is said already", f"a second value of “{slot}”", "one value")
                values[slot] = value  # type: ignore[assignment]
        return values
