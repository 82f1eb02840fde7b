"""Where a thing of a plan is drawn: its declaration, the wires that reach it, and whatever else speaks of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from plancheck.authoring.names import Found, Names, Thing
from plancheck.source import Span
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Declaration, Statement


class NotDrawn(Exception):
    """A thing stands where nobody can change it from here, or not in so many words."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A part of a statement: a declaration or a wire, of the plan or of a typical."""

    statement: Statement
    node: nodes.Node

    @property
    def span(self) -> Span:
        """Where it stands."""
        return self.statement.span(self.node.start, self.node.end)

    def of(self, part: nodes.Item | nodes.Entry) -> Span:
        """Where a part of it stands."""
        return self.statement.span(part.start, part.end)


def declaration(names: Names, thing: Thing) -> tuple[Drawn, Declaration]:
    """The one declaration of a thing. Raises NotDrawn where it has none, several, or one in a pack."""
    found = names.declared.get(thing, ())
    if len(found) != 1 or thing in names.in_runs:
        raise NotDrawn
    drawn = _drawn(names, found[0])
    if not isinstance(drawn.node, Declaration):
        raise NotDrawn
    return drawn, drawn.node


def mentions(names: Names, thing: Thing) -> list[tuple[Drawn, Found]]:
    """Whatever speaks of a thing, each statement with the place. Raises NotDrawn where a pack does."""
    return [(_drawn(names, found), found) for found in names.each(thing, declaration=False)]


def _drawn(names: Names, found: Found) -> Drawn:
    if found.at.source.of_pack:
        raise NotDrawn
    statement = names.statement(found.at)
    if statement is None or statement.node is None:
        raise NotDrawn
    inside = found.at.start - statement.offset
    return Drawn(statement, next(_parts(statement.node, inside), statement.node))


def _parts(node: nodes.Node, inside: int) -> Iterator[nodes.Node]:
    """The part of a typical's body that an offset of the statement is in."""
    if isinstance(node, nodes.Typical):
        yield from (part for part in node.body if part.start <= inside < part.end)
