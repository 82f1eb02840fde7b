"""What each word of a plan is, for its colour."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum

from plancheck.authoring import lexed as lexing
from plancheck.authoring.lexed import lexed
from plancheck.authoring.sites import Site, Sites
from plancheck.authoring.sites import Sort as Named
from plancheck.authoring.view import View
from plancheck.plan.kinds import Kind, Kinds
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Statement, Text, Word
from plancheck.units import GAUGE, UNITS


class TokenSort(Enum):
    """What a word is."""

    KEYWORD = "keyword"
    KIND = "kind"
    DEVICE = "device"
    TYPICAL = "typical"
    PARAMETER = "parameter"
    TERMINAL = "terminal"
    ATTRIBUTE = "attribute"
    UNIT = "unit"
    RULE = "rule"
    NUMBER = "number"
    STRING = "string"
    COMMENT = "comment"


@dataclass(frozen=True, slots=True)
class Token:
    """A word that is to be coloured, from `start` up to `end`, on one line."""

    start: int
    end: int
    sort: TokenSort
    declared: bool = False


_KEYWORDS = frozenset(
    ("plan", "revision", "dated", "jurisdiction", "edition", "adopt", "ambient", "use", "device", "is", "typical",
     "place", "as", "to", "in", "wire", "variance", "on", "kind")
)  # fmt: skip
_PLAIN = {
    lexing.Sort.COMMENT: TokenSort.COMMENT, lexing.Sort.STRING: TokenSort.STRING,
    lexing.Sort.DATE: TokenSort.NUMBER, lexing.Sort.NUMBER: TokenSort.NUMBER,
}  # fmt: skip
_NAMED = {
    Named.DEVICE: TokenSort.DEVICE, Named.TYPICAL: TokenSort.TYPICAL, Named.KIND: TokenSort.KIND,
    Named.HOUSE_DEVICE: TokenSort.STRING, Named.PARAMETER: TokenSort.PARAMETER, Named.RULE: TokenSort.RULE,
    Named.FILE: TokenSort.STRING,
}  # fmt: skip


class _Plain:
    """The kinds that every plan has: colours do not hang on what a plan declares elsewhere."""

    def __init__(self, kinds: Kinds) -> None:
        self.wires = kinds.of_base("wire")
        self._kinds = kinds

    def kind(self, name: str) -> Kind | None:
        return self._kinds.get(name)

    def kind_of(self, kind: Word | Text) -> str:
        return kind.text


class Tokens:
    """The tokens of a plan's statements, remembered by text."""

    def __init__(self, kinds: Kinds) -> None:
        self.kinds = kinds
        self._sites = Sites(_Plain(kinds))
        self._known: dict[str, tuple[Token, ...]] = {}

    def of(self, view: View, start: int, end: int) -> list[Token]:
        """The tokens between two offsets, in order; comments between statements among them."""
        found: list[Token] = []
        behind = 0
        for statement in view.statements:
            after = statement.offset + len(statement.text)
            if statement.offset > behind:
                found += _between(view.source.text, behind, min(statement.offset, end), start)
            if after > start and statement.offset < end:
                found += (_moved(token, statement.offset) for token in self._of(statement))
            behind = max(behind, after)
            if behind >= end:
                break
        found += _between(view.source.text, behind, end, start)
        return [token for token in found if token.end > start and token.start < end]

    def _of(self, statement: Statement) -> tuple[Token, ...]:
        known = self._known.get(statement.text)
        if known is None:
            if len(self._known) > 20_000:
                self._known.clear()
            known = self._known[statement.text] = tuple(_tokens(statement, self._sites.of(statement)))
        return known


def _between(text: str, start: int, end: int, wanted: int) -> Iterator[Token]:
    """Comments that stand in no statement."""
    if end <= start or end <= wanted:
        return
    for token in lexed(text[start:end]):
        if token.sort is lexing.Sort.COMMENT:
            yield Token(start + token.start, start + token.end, TokenSort.COMMENT)


def _moved(token: Token, by: int) -> Token:
    return Token(token.start + by, token.end + by, token.sort, token.declared)


def _tokens(statement: Statement, sites: Iterable[Site]) -> Iterator[Token]:
    named = {site.start: site for site in sites if site.sort not in (Named.HOUSE_DEVICE, Named.FILE)}
    leads = set(_leads(statement.node))
    before = ""
    for token in lexed(statement.text):
        plain = _PLAIN.get(token.sort)
        if plain is not None:
            yield Token(token.start, token.end, plain)
        elif token.sort in (lexing.Sort.NAME, lexing.Sort.REFERENCE):
            yield from _word(token, named, leads, before)
        before = token.text if token.sort is lexing.Sort.NUMBER else ""


def _word(token: lexing.Token, named: dict[int, Site], leads: set[int], before: str) -> Iterator[Token]:
    start, end = token.start, token.end
    at = start
    while (site := named.get(at)) is not None and site.end <= end:
        yield Token(site.start, site.end, _NAMED[site.sort], site.declared)
        at = site.end + 1
    if at > start:
        if at < end:  # behind the colon, or behind the slash of a cable's conductor
            yield Token(at, end, TokenSort.TERMINAL)
    elif token.sort is lexing.Sort.REFERENCE:
        colon = start + token.text.index(":")
        yield Token(start, colon, TokenSort.DEVICE)
        if colon + 1 < end:
            yield Token(colon + 1, end, TokenSort.TERMINAL)
    elif before and (token.text in UNITS or token.text == GAUGE):
        yield Token(start, end, TokenSort.UNIT)
    elif start in leads:
        yield Token(start, end, TokenSort.ATTRIBUTE)
    elif token.text in _KEYWORDS:
        yield Token(start, end, TokenSort.KEYWORD)


def _leads(node: nodes.Node | None) -> Iterator[int]:
    """Where the words stand that begin an entry."""
    match node:
        case nodes.Declaration() | nodes.HouseDevice() | nodes.Wire() | nodes.Place() | nodes.Variance():
            yield from (entry.items[0].start for entry in node.entries)
        case nodes.Typical(body=body):
            yield from (start for part in body for start in _leads(part))
