"""The outline of a text: what it declares, and what stands in what; and that of a plan."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from plancheck.authoring.lexed import Sort as TokenSort
from plancheck.authoring.lexed import lexed
from plancheck.authoring.view import View
from plancheck.source import Span
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Statement, Text, Word


class SymbolSort(Enum):
    """What is declared."""

    PLAN = "plan"
    PLACE = "place"
    LOCK = "lock"
    CABLE = "cable"
    DEVICE = "device"
    TYPICAL = "typical"
    KIND = "kind"
    HOUSE_DEVICE = "house device"
    VARIANCE = "variance"
    PACK = "pack"
    RULE = "rule"
    LIMIT = "limit"
    EXAMPLE = "example"
    SITUATION = "situation"
    TOPIC = "table of clauses"


@dataclass(frozen=True, slots=True)
class Symbol:
    """Something declared: `at` is all of it, `name_at` its name within; `within` is what is declared inside."""

    name: str
    detail: str
    sort: SymbolSort
    at: Span
    name_at: Span
    within: tuple[Symbol, ...] = ()


_OF_BASE = {
    "lock": SymbolSort.LOCK, "door": SymbolSort.PLACE, "gate": SymbolSort.PLACE, "cable": SymbolSort.CABLE,
}  # fmt: skip


def outline(view: View) -> list[Symbol]:
    """What the view's text declares, in order; of what cannot be read, what its first words say."""
    found = (_symbol(statement, view) for statement in view.statements)
    return [symbol for symbol in found if symbol is not None]


def symbols_named(symbols: Iterable[Symbol], query: str) -> list[Symbol]:
    """Those whose name holds the letters of a query in their order, the nearest first; all for an empty one."""
    every = [inner for symbol in symbols for inner in (symbol, *symbol.within)]
    wanted = query.casefold()
    fits = [symbol for symbol in every if _holds(symbol.name.casefold(), wanted)]
    return sorted(fits, key=lambda symbol: (not symbol.name.casefold().startswith(wanted), len(symbol.name)))


def _holds(name: str, letters: str) -> bool:
    rest = iter(name)
    return all(letter in rest for letter in letters)


def _symbol(statement: Statement, view: View) -> Symbol | None:
    if statement.node is None:
        return _half(statement, view)
    return _of(statement.node, statement, view)


def _of(node: nodes.Node, statement: Statement, view: View) -> Symbol | None:
    at = statement.span(node.start, node.end)

    def symbol(name: Word | Text, detail: str, sort: SymbolSort, within: tuple[Symbol, ...] = ()) -> Symbol:
        return Symbol(name.text, detail, sort, at, statement.span(name.start, name.end), within)

    match node:
        case nodes.Header(keyword=keyword, items=[Text() as text, *_]) if keyword.text == "plan":
            return symbol(text, "", SymbolSort.PLAN)
        case nodes.Declaration(kind=kind, name=name, title=title):
            said = f'"{kind.text}"' if isinstance(kind, Text) else kind.text
            return symbol(name, f"{said} · {title.text}" if title else said, _sort(kind, view))
        case nodes.HouseDevice(name=name, kind=kind):
            return symbol(name, kind.text, SymbolSort.HOUSE_DEVICE)
        case nodes.Typical(name=name, parameters=parameters, body=body):
            within = tuple(inner for part in body if (inner := _of(part, statement, view)) is not None)
            return symbol(name, ", ".join(word.text for word in parameters), SymbolSort.TYPICAL, within)
        case nodes.Place(typical=typical, first=first, last=last):
            run = f" to {last.text}" if last else ""
            return symbol(first, f"{typical.text}{run}", SymbolSort.PLACE)
        case nodes.Variance(rule=rule, on=on):
            return symbol(rule, f"on {on.text}", SymbolSort.VARIANCE)
        case nodes.KindNode(name=name, says=says):
            return symbol(name, says.text if says else "", SymbolSort.KIND)
    return None


def _sort(kind: Word | Text, view: View) -> SymbolSort:
    known = view.kinds.get(kind.text)
    return _OF_BASE.get(known.base, SymbolSort.DEVICE) if known else SymbolSort.DEVICE


def _half(statement: Statement, view: View) -> Symbol | None:
    """A declaration that could not be read: its kind and its name stand at its beginning."""
    words = lexed(statement.text)[:2]
    if len(words) < 2 or words[1].sort is not TokenSort.NAME or words[0].sort is not TokenSort.NAME:
        return None
    kind, name = (Word(token.text, token.start, token.end) for token in words)
    if view.kinds.get(kind.text) is None:
        return None
    at = statement.span(0, len(statement.text.rstrip()))
    return Symbol(name.text, kind.text, _sort(kind, view), at, statement.span(name.start, name.end))
