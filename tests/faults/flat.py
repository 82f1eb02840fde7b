"""A plan's statements made into a draft: typicals are placed and house devices written out, so that a fault can be
put at one door of twelve that are drawn alike."""

from __future__ import annotations

import re
from pathlib import Path

from plancheck.source import Source
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Item, Reference, Statement, Word
from plancheck.syntax.read import read_statements
from tests.faults.draft import Draft, Part, Run


class _Placing:
    """Names and parameters inside a placed typical; at the top neither."""

    def __init__(self, prefix: str = "", local: frozenset[str] = frozenset(), given: dict[str, str] | None = None):
        self.prefix, self.local, self.given = prefix, local, given or {}

    def name(self, name: str) -> str:
        """A device's name on the plan."""
        if name == "here" and self.prefix:
            return self.prefix
        return f"{self.prefix}/{name}" if name in self.local else self.given.get(name, name)

    def words(self, statement: Statement, entry: nodes.Entry) -> str:
        """An entry's text with names and parameters filled in."""
        text, at = "", entry.start
        for item in entry.items:
            said = self._item(statement, item)
            text += statement.text[at : item.start] + said
            at = item.end
        return " ".join(text.split())

    def _item(self, statement: Statement, item: Item) -> str:
        if isinstance(item, Word):
            return self.name(item.text)
        if isinstance(item, Reference):
            return f"{self.name(item.device)}:{item.terminal}"
        return statement.text[item.start : item.end]


class Flattening:
    """Reads a plan with what it uses, and puts together its draft."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.presets: dict[str, tuple[str, tuple[str, ...]]] = {}
        self.typicals: dict[str, tuple[nodes.Typical, Statement]] = {}
        self.headers: list[str] = []
        self.parts: list[Part] = []
        self.runs: list[Run] = []

    def read(self, name: str, text: str) -> Draft:
        """The draft of a text."""
        self._take(Source(name, text))
        return Draft(name, tuple(self.headers), tuple(self.parts), tuple(self.runs))

    def _take(self, source: Source) -> None:
        statements, mistakes = read_statements(source)
        assert mistakes == [], mistakes
        for statement in statements:
            assert statement.node is not None
            self._statement(statement.node, statement, _Placing())

    def _statement(self, node: nodes.Node, statement: Statement, placing: _Placing) -> None:
        match node:
            case nodes.Header(keyword=Word(text="use")):
                path = self.folder / statement.text.split('"')[1]
                self._take(Source(path.name, path.read_text(encoding="utf-8")))
            case nodes.Header():
                self.headers.append(" ".join(statement.text[node.start : node.end].split()))
            case nodes.HouseDevice():
                entries = tuple(_Placing().words(statement, e) for e in node.entries)
                self.presets[node.name.text] = node.kind.text, entries
            case nodes.Typical():
                self.typicals[node.name.text] = node, statement
            case nodes.Declaration():
                self._declaration(node, statement, placing)
            case nodes.Wire():
                self._wire(node, statement, placing)
            case nodes.Place():
                self._place(node, statement)
            case _:
                raise AssertionError(f"no draft knows of a {type(node).__name__}")

    def _declaration(self, node: nodes.Declaration, statement: Statement, placing: _Placing) -> None:
        kind, entries = self.presets.get(node.kind.text, (node.kind.text, ()))
        own = tuple(placing.words(statement, e) for e in node.entries)
        title = f' "{node.title.text}"' if node.title else ""
        self.parts.append(Part(kind, placing.name(node.name.text), title, entries + own))

    def _wire(self, node: nodes.Wire, statement: Statement, placing: _Placing) -> None:
        ends = tuple(f"{placing.name(e.device)}:{e.terminal}" for e in node.ends)
        cable, _, colour = node.conductor.text.rpartition("/") if node.conductor else ("", "", "")
        conductor = f"{placing.name(cable)}/{colour}" if cable else ""
        entries = tuple(placing.words(statement, e) for e in node.entries)
        self.runs.append(Run(ends, conductor, entries))

    def _place(self, node: nodes.Place, statement: Statement) -> None:
        typical, where = self.typicals[node.typical.text]
        local = frozenset(p.name.text for p in typical.body if isinstance(p, nodes.Declaration))
        given = {}
        for entry in node.entries:
            lead, _, value = _Placing().words(statement, entry).partition(" ")
            given[lead] = value
        for name in _names(node):
            placing = _Placing(name, local, given)
            for part in typical.body:
                self._statement(part, where, placing)


def _names(node: nodes.Place) -> list[str]:
    if node.last is None:
        return [node.first.text]
    first, last = (re.fullmatch(r"(.*?)(\d+)", word.text) for word in (node.first, node.last))
    assert first is not None
    assert last is not None
    return [f"{first[1]}{number}" for number in range(int(first[2]), int(last[2]) + 1)]


def flat(path: Path) -> Draft:
    """The draft of a plan's file."""
    return Flattening(path.parent).read(path.stem, path.read_text(encoding="utf-8"))
