"""What is told of the thing under the cursor."""

from __future__ import annotations

from dataclasses import dataclass

from plancheck.authoring import hover_words as words
from plancheck.authoring.hover_device import device_told
from plancheck.authoring.hover_quantity import quantity_told
from plancheck.authoring.hover_wire import terminal_told, wire_told
from plancheck.authoring.lexed import Sort as TokenSort
from plancheck.authoring.lexed import Token, lexed
from plancheck.authoring.markdown import code
from plancheck.authoring.names import Found, Names, statement_at
from plancheck.authoring.sites import Sort
from plancheck.authoring.view import View
from plancheck.plan.kinds import Kind
from plancheck.source import Span
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Statement


@dataclass(frozen=True, slots=True)
class Told:
    """What is told of a stretch of the text, as Markdown."""

    at: Span
    text: str


def hover(view: View, offset: int, names: Names) -> Told | None:
    """What is told at an offset; None where there is nothing to tell."""
    statement = statement_at(view.statements, offset)
    if statement is None:
        return None
    found = names.at(offset)
    if found is not None and offset < found.at.end:
        told = _of_name(view, names, found, statement)
        if told:
            return Told(found.at, told)
    return _of_word(view, names, statement, offset - statement.offset)


def _of_name(view: View, names: Names, found: Found, statement: Statement) -> str:
    site = found.site
    match site.sort:
        case Sort.DEVICE:
            return "" if site.within else device_told(view, names, site.name)
        case Sort.KIND:
            kind = names.kind(site.name)
            return words.kind_told(kind) if kind else ""
        case Sort.RULE:
            rule = view.rulebook.get(site.name)
            return words.rule_told(rule) if rule else ""
        case Sort.TYPICAL:
            thing = names.thing(site)
            return words.typical_told(names, thing) if thing and thing in names.declared else ""
        case Sort.HOUSE_DEVICE:
            every = (s.node for s in view.whole if isinstance(s.node, nodes.HouseDevice))
            declared = next((node for node in every if node.name.text == site.name), None)
            return words.house_device_told(declared) if declared else ""
    return ""


def _of_word(view: View, names: Names, statement: Statement, inside: int) -> Told | None:
    tokens = [token for token in lexed(statement.text) if token.sort is not TokenSort.COMMENT]
    number = next((i for i, token in enumerate(tokens) if token.start <= inside < token.end), None)
    if number is None:
        return None
    token = tokens[number]
    for first in (number, number - 1):
        if 0 <= first < len(tokens) - 1 and tokens[first].sort is TokenSort.NUMBER:
            told = quantity_told(float(tokens[first].text), tokens[first + 1].text)
            if told:
                return Told(statement.span(tokens[first].start, tokens[first + 1].end), told)
    text = _of_plain(view, names, statement, token)
    return Told(statement.span(token.start, token.end), text) if text else None


def _of_plain(view: View, names: Names, statement: Statement, token: Token) -> str:
    node = statement.node
    wire = _wire_around(node, token.start)
    if wire is not None and token.sort is TokenSort.REFERENCE:
        end = next((end for end in wire.ends if end.start <= token.start < end.end), None)
        if end is not None:
            return terminal_told(view, end)
    if wire is not None:
        told = wire_told(view, wire)
        if told:
            return told
    kind = kind_around(names, node, token.start)
    if kind is not None:
        told = words.attribute_told(kind, token.text)
        if told:
            return told
    told = words.LANGUAGE.get(token.text, "") if token.start == 0 else ""
    return f"{code(token.text)}: {told}" if told else ""


def _wire_around(node: nodes.Node | None, at: int) -> nodes.Wire | None:
    """A wire of the plan itself: one of a typical is drawn where that is placed."""
    return node if isinstance(node, nodes.Wire) and node.start <= at < node.end else None


def kind_around(names: Names, node: nodes.Node | None, at: int) -> Kind | None:
    """The kind of the device in whose block a place is."""
    match node:
        case nodes.Typical(body=body):
            inner = next((part for part in body if part.start <= at < part.end), None)
            return kind_around(names, inner, at)
        case nodes.Declaration(kind=kind) | nodes.HouseDevice(kind=kind):
            return names.kind(names.kind_of(kind))
        case nodes.Wire():
            return next(iter(names.wires), None)
    return None
