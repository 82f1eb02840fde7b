"""Typicals placed: a detail drawn once becomes as many devices and wires as it is placed. Sizes are worked out
before anything is built, so that a nest of a thousand million devices costs nothing but its message."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TypeGuard

from plancheck.plan.mistakes import Mistakes
from plancheck.plan.pattern import shown
from plancheck.plan.scope import TOP, Scope
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Item, Statement, Word

MOST_DEVICES = 20_000
"""Devices that the placed typicals of a plan may make."""
MOST_STATEMENTS = 200_000
"""Statements of any sort that they may make."""
DEEPEST = 16
"""How deep typicals may place typicals."""

_NUMBERED = re.compile(r"(.*?)([0-9]{1,9})", re.DOTALL)

Placed = tuple[nodes.Node, Statement, Scope]
"""A statement of a typical's body, the statement it stands in, and where it was placed."""


@dataclass(frozen=True, slots=True)
class _Weight:
    devices: int = 0
    statements: int = 0
    height: int = 1


class Typicals:
    """The typicals of a plan, and what has been placed of them."""

    def __init__(self, mistakes: Mistakes, doubtful: set[str]) -> None:
        self.mistakes = mistakes
        self.doubtful = doubtful
        """Names that are not told to be missing; places that cannot be placed are added."""
        self.by_name: dict[str, tuple[nodes.Typical, Statement]] = {}
        self._weights: dict[str, _Weight | None] = {}
        self._local: dict[str, frozenset[str]] = {}
        self._devices = self._statements = 0

    def declare(self, node: nodes.Typical, statement: Statement) -> None:
        """Adds a typical to the table."""
        name = node.name.text
        at = statement.span(node.name.start, node.name.end)
        if name in self.by_name:
            before, where = self.by_name[name]
            also = (where.span(before.name.start, before.name.end),)
            self.mistakes.add(
                at, f"There is a typical “{name}” already", "a second one", "a name of its own", also_at=also
            )
            return
        self.by_name[name] = node, statement

    def placed(self, node: nodes.Place, statement: Statement, scope: Scope = TOP) -> Iterator[Placed]:
        """Everything that a `place` statement puts on the plan, nested places resolved."""
        names = self._names(node, statement, scope)
        parameters = self._parameters(node, statement, scope)
        if names is None or parameters is None or not (scope.prefix or self._affordable(node, statement, len(names))):
            self.doubtful.add(scope.declared(node.first.text))
            return
        typical, where = self.by_name[node.typical.text]
        if where.broken:
            self.doubtful.update(scope.declared(name) for name in names)
        local = self._locals(typical)
        at = scope.placed_at or (statement.span(node.start, node.end),)
        for name in names:
            inside = Scope(scope.declared(name), parameters, local, at)
            for part in typical.body:
                if isinstance(part, nodes.Place):
                    yield from self.placed(part, where, inside)
                else:
                    yield part, where, inside

    # --- what a place says -------------------------------------------------------------------------------

    def _names(self, node: nodes.Place, statement: Statement, scope: Scope) -> list[str] | None:
        """The names it places: one, or a run that counts up. Checked, not built, where there are too many."""
        count = self._count(node, statement)
        if count is None:
            return None
        if count > MOST_STATEMENTS:
            self._too_many(node, statement, f"{count:,} places")
            return None
        return _run(node, count)

    def _count(self, node: nodes.Place, statement: Statement) -> int | None:
        if node.last is None:
            return 1
        span = statement.span(node.first.start, node.last.end)
        first, last = _NUMBERED.fullmatch(node.first.text), _NUMBERED.fullmatch(node.last.text)
        if not first or not last or first[1] != last[1]:
            found = f"“{node.first.text}” and “{node.last.text}”"
            self.mistakes.add(
                span, "These names do not count up", found, "one name with two numbers, such as D201 to D260"
            )
            return None
        count = int(last[2]) - int(first[2]) + 1
        if count < 1:
            found = f"“{node.first.text}” to “{node.last.text}”"
            self.mistakes.add(span, "These names count down", found, "the lower number first")
            return None
        return count

    def _parameters(self, node: nodes.Place, statement: Statement, scope: Scope) -> dict[str, tuple[Item, ...]] | None:
        """Each parameter's items; None where the typical is not there or a parameter is wrong."""
        name = node.typical
        known = self.by_name.get(name.text)
        if known is None:
            if name.text not in self.doubtful:
                at, found = statement.span(name.start, name.end), f"“{name.text}”"
                hint = self.mistakes.hint(name.text, self.mistakes.known("typical", self.by_name))
                self.mistakes.add(at, f"There is no typical “{name.text}”", found, "a declared typical", hint)
            return None
        wanted = {p.text for p in known[0].parameters}
        given: dict[str, tuple[Item, ...]] = {}
        sound = True
        for entry in node.entries:
            first = entry.items[0]
            if self._is_parameter(first, len(entry.items) > 1, wanted, given, node, statement):
                given[first.text] = scope.handed(entry.items[1:])
            else:
                sound = False
        return given if sound and self._complete(node, statement, known[0], given) else None

    def _is_parameter(
        self,
        first: Item,
        valued: bool,
        wanted: set[str],
        given: Mapping[str, object],
        node: nodes.Place,
        statement: Statement,
    ) -> TypeGuard[Word]:
        """Whether an entry gives a parameter of the typical, for the first time, with a value."""
        at = statement.span(first.start, first.end)
        if not isinstance(first, Word) or first.text not in wanted:
            expected = ", ".join(sorted(wanted)) or "no parameter"
            headline = f"The typical “{node.typical.text}” has no such parameter"
            hint = self.mistakes.hint(shown(first, bare=True), wanted)
            self.mistakes.add(at, headline, shown(first), expected, hint)
        elif first.text in given:
            self.mistakes.add(at, f"“{first.text}” is given twice", "a second value", "one value for each parameter")
        elif not valued:
            self.mistakes.add(at, f"“{first.text}” has no value", "nothing behind it", "a name or a quantity")
        else:
            return True
        return False

    def _complete(
        self, node: nodes.Place, statement: Statement, typical: nodes.Typical, given: dict[str, tuple[Item, ...]]
    ) -> bool:
        lacking = [p.text for p in typical.parameters if p.text not in given]
        if lacking and not statement.broken:
            at = statement.span(node.typical.start, node.first.end)
            headline = f"“{node.first.text}” lacks what its typical needs"
            self.mistakes.add(at, headline, "no " + ", ".join(lacking), ", ".join(p.text for p in typical.parameters))
        return not lacking

    # --- how much it makes -------------------------------------------------------------------------------

    def _affordable(self, node: nodes.Place, statement: Statement, count: int) -> bool:
        weight = self._weight(node.typical.text, (), node, statement)
        if weight is None:
            return False
        devices, statements = self._devices + weight.devices * count, self._statements + weight.statements * count
        if devices > MOST_DEVICES or statements > MOST_STATEMENTS:
            made = f"{devices:,} devices" if devices > MOST_DEVICES else f"{statements:,} statements"
            self._too_many(node, statement, made)
            return False
        self._devices, self._statements = devices, statements
        return True

    def _too_many(self, node: nodes.Place, statement: Statement, found: str) -> None:
        self.mistakes.add(
            statement.span(node.start, node.last.end if node.last else node.first.end),
            "The typicals placed make too many devices", found,
            f"at most {MOST_DEVICES:,} devices and {MOST_STATEMENTS:,} statements",
        )  # fmt: skip

    def _weight(self, name: str, path: tuple[str, ...], place: nodes.Place, statement: Statement) -> _Weight | None:
        """What one placing of a typical makes; None where it has no end."""
        if name in path or len(path) > DEEPEST:
            ring = " → ".join((*path[path.index(name) :], name)) if name in path else f"{DEEPEST} deep, and one more"
            headline = f"The typical “{name}” places itself" if name in path else "Typicals place typicals too deep"
            at = statement.span(place.typical.start, place.typical.end)
            self.mistakes.add(at, headline, ring, f"typicals at most {DEEPEST} deep, none within itself")
            return None
        if name not in self._weights:
            self._weights[name] = self._sum(name, path)
        weight = self._weights[name]
        if weight is not None and len(path) + weight.height > DEEPEST + 1:
            at = statement.span(place.typical.start, place.typical.end)
            expected = f"typicals at most {DEEPEST} deep, none within itself"
            self.mistakes.add(at, "Typicals place typicals too deep", f"{len(path) + weight.height} deep", expected)
            return None
        return weight

    def _sum(self, name: str, path: tuple[str, ...]) -> _Weight | None:
        if name not in self.by_name:
            return _Weight()
        typical, where = self.by_name[name]
        devices, statements, height = 0, len(typical.body) + 1, 1
        for part in typical.body:
            if isinstance(part, nodes.Declaration):
                devices += 1
            elif isinstance(part, nodes.Place):
                inner = self._weight(part.typical.text, (*path, name), part, where)
                count = self._count(part, where)
                if inner is None or count is None:
                    return None
                devices += inner.devices * count
                statements += inner.statements * count
                height = max(height, inner.height + 1)
        return _Weight(devices, statements, height)

    def _locals(self, typical: nodes.Typical) -> frozenset[str]:
        name = typical.name.text
        if name not in self._local:
            names: set[str] = set()
            for part in typical.body:
                if isinstance(part, nodes.Declaration):
                    names.add(part.name.text)
                elif isinstance(part, nodes.Place):
                    count = _length(part)
                    names.update(_run(part, count) if count <= MOST_STATEMENTS else ())
            self._local[name] = frozenset(names)
        return self._local[name]


def names_placed(node: nodes.Place) -> list[str]:
    """What a `place` statement places, by name; of more than could be placed the first alone."""
    count = _length(node)
    return _run(node, count) if count <= MOST_DEVICES else [node.first.text]


def _length(node: nodes.Place) -> int:
    if node.last is None:
        return 1
    first, last = _NUMBERED.fullmatch(node.first.text), _NUMBERED.fullmatch(node.last.text)
    return int(last[2]) - int(first[2]) + 1 if first and last else 1


def _run(node: nodes.Place, count: int) -> list[str]:
    """D201, D202 … with the zeros that lead the first number kept."""
    number = _NUMBERED.fullmatch(node.first.text)
    if node.last is None or number is None:
        return [node.first.text]
    width = len(number[2])
    return [f"{number[1]}{i:0{width}d}" for i in range(int(number[2]), int(number[2]) + count)]
