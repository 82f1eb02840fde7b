"""Where in a rules file which names stand: those that it declares, and those that it speaks of."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from typing import Any

from plancheck.finding import Mistake
from plancheck.rulebook import fix_nodes, nodes
from plancheck.rulebook.clause_nodes import CitedClauses, ClausesNode
from plancheck.rulebook.nodes_of_packs import ChangeNode
from plancheck.rulebook.read import RulesFile, read_expression
from plancheck.rulebook.template import SAID_OF_WITNESS
from plancheck.rulebook.things import CLASSES
from plancheck.rulebook.vocabulary import Vocabulary, Word

_STRING = re.compile(r'"([^"\r\n]*)"')
_HOLE = re.compile(r"\{([^{}]*)\}")
TEMPLATES = ("headline", "found", "required", "remedy")
"""Texts of a rule that hold expressions."""


class Sort(Enum):
    """What a name names."""

    CLASS = "class"
    VARIABLE = "variable"
    LIMIT = "limit"
    FACT = "fact"
    SITUATION = "situation"
    TOPIC = "topic"
    RULE = "rule"
    KIND = "kind"


@dataclass(frozen=True, slots=True)
class Site:
    """A name in a file. `scope` is where the stretch begins in which it holds, -1 where it holds everywhere.

    `of` is the class of a variable, or of the thing whose fact it is; `word` the fact.
    """

    start: int
    end: int
    sort: Sort
    name: str
    declared: bool = False
    scope: int = -1
    of: str = ""
    word: Word | None = None


Bound = Mapping[str, tuple[str, int]]
"""Class and scope of each variable that is bound."""


def sites_of(file: RulesFile, words: Vocabulary) -> list[Site]:
    """The names in a file, in order of place; none in what could not be read."""
    pack = next((node.name.text for node in file.statements if isinstance(node, nodes.PackNode)), "")
    walk = _Walk(file, words, pack)
    found = (site for node in file.statements for site in walk.statement(node))
    return sorted(found, key=lambda site: (site.start, site.end))


class _Walk:
    def __init__(self, file: RulesFile, words: Vocabulary, pack: str) -> None:
        self.file, self.words, self.pack = file, words, pack
        self.limits: dict[str, int] = {}

    def statement(self, node: Any) -> Iterator[Site]:
        match node:
            case nodes.SituationNode(name=name):
                yield _site(name, Sort.SITUATION, declared=True)
            case ClausesNode(name=name):
                yield _site(name, Sort.TOPIC, declared=True)
            case ChangeNode(name=name):
                yield Site(name.start, name.end, Sort.RULE, node.rule)
            case nodes.RuleNode():
                yield from self.rule(node)

    def rule(self, node: nodes.RuleNode) -> Iterator[Site]:
        yield Site(node.name.start, node.name.end, Sort.RULE, f"{self.pack}/{node.name.text}", declared=True)
        limits = [member.name for member in node.head if isinstance(member, nodes.LimitMember)]
        self.limits = {name.text: node.start for name in limits}
        yield from (Site(name.start, name.end, Sort.LIMIT, name.text, True, node.start) for name in limits)
        for basis in (member for member in node.head if isinstance(member, nodes.BasisMember)):
            cited = (each for each in basis.cited if isinstance(each, CitedClauses))
            yield from (_site(topic, Sort.TOPIC) for each in cited for topic in each.topics)
        for group in node.groups:
            bound = yield from self.domain(group.for_each.domain, {}, group.for_each.start)
            for member in group.members:
                yield from self.member(member, bound)

    def member(self, member: nodes.Member, bound: Bound) -> Iterator[Site]:
        match member:
            case nodes.TextMember(keyword=keyword, text=text):
                yield from self.template(text, bound) if keyword in TEMPLATES else ()
            case nodes.EvidenceMember(what=what, value=value, against=against):
                yield from self.template(what, bound)
                yield from self.parts((value, against), bound)
            case nodes.FixMember():
                yield from self.fix(member, bound)
            case _:
                yield from self.parts(member, bound)

    def fix(self, member: nodes.FixMember, bound: Bound) -> Iterator[Site]:
        inner = yield from self.domain(member.domain, bound, member.start)
        yield from self.template(member.title, inner)
        yield from self.parts(member.where, inner)
        for step in member.steps:
            if isinstance(step, fix_nodes.AddStep):
                yield _site(step.kind, Sort.KIND)
                yield from self.template(step.entries, inner) if step.entries else ()
            if isinstance(step, fix_nodes.WriteStep):
                yield from self.template(step.entry, inner)
            yield from self.parts(step, inner)

    # --- expressions -------------------------------------------------------------------------------------------

    def parts(self, node: Any, bound: Bound) -> Iterator[Site]:
        """The names in an expression, and in whatever holds some."""
        match node:
            case tuple():
                for each in node:
                    yield from self.parts(each, bound)
            case nodes.Path(names=names):
                yield from self.path(names, bound)
            case nodes.Predicate(thing=thing, word=word):
                of = yield from self.path(thing.names, bound)
                yield from self.fact(word, of)
            case nodes.Quantified(domain=domain, where=where, body=body):
                inner = yield from self.domain(domain, bound, node.start)
                yield from self.parts((where, body), inner)
            case nodes.InCondition(situations=situations):
                yield from (_site(words, Sort.SITUATION) for words in situations)
                yield from self.fields(node, bound)
            case nodes.Words(words=[name]) if name.text in bound or name.text in self.limits:
                yield from self.path((name,), bound)
            case _ if is_dataclass(node):
                yield from self.fields(node, bound)

    def fields(self, node: Any, bound: Bound) -> Iterator[Site]:
        for field in fields(node):
            value = getattr(node, field.name)
            if isinstance(value, tuple) or is_dataclass(value):
                yield from self.parts(value, bound)

    def domain(self, items: tuple[nodes.DomainItem, ...], bound: Bound, scope: int) -> Any:
        """The names in a domain; returns what is bound behind it."""
        inner = dict(bound)
        for item in items:
            yield _site(item.kind, Sort.CLASS)
            if item.of_kind is not None and item.of_name is not None:
                yield _site(item.of_kind, Sort.CLASS)
                yield self.bind(item.of_name, item.of_kind, inner, scope)
            elif item.of_name is not None:
                yield from self.path((item.of_name,), inner)
            if item.within is not None:
                yield from self.path(item.within.names, inner)
            yield self.bind(item.name, item.kind, inner, scope)
        return inner

    def bind(self, name: nodes.Name, of: nodes.Name, bound: dict[str, tuple[str, int]], scope: int) -> Site:
        bound[name.text] = of.text, scope
        return Site(name.start, name.end, Sort.VARIABLE, name.text, True, scope, of.text)

    def path(self, names: tuple[nodes.Name, ...], bound: Bound) -> Any:
        """The names of a path; returns the class of what it leads to, empty where that is no thing."""
        first, *facts = names
        of = ""
        if first.text in bound:
            of, scope = bound[first.text]
            yield Site(first.start, first.end, Sort.VARIABLE, first.text, False, scope, of)
        elif first.text in self.limits and not facts:
            yield Site(first.start, first.end, Sort.LIMIT, first.text, False, self.limits[first.text])
        for name in facts:
            of = yield from self.fact(name, of)
        return of

    def fact(self, name: nodes.Name, of: str) -> Any:
        word = self.words.find(of, name.text) if of in CLASSES else None
        if word is None:
            return ""
        yield Site(name.start, name.end, Sort.FACT, name.text, of=of, word=word)
        return word.type.of

    def template(self, text: nodes.Text, bound: Bound) -> Iterator[Site]:
        """The names in the braces of a text."""
        whole = self.file.source.text
        for string in _STRING.finditer(whole, text.start, text.end):
            for hole in _HOLE.finditer(whole, *string.span(1)):
                said = hole[1].strip()
                node = (
                    None
                    if not said or said in SAID_OF_WITNESS
                    else read_expression(self.file.source, *hole.span(1), whole)
                )
                if not isinstance(node, Mistake):
                    yield from self.parts(node, bound)


def _site(node: nodes.Name | nodes.Words, sort: Sort, *, declared: bool = False) -> Site:
    return Site(node.start, node.end, sort, node.text, declared)
