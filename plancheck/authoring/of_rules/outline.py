"""A rules file's outline: its pack, its rules with their limits and examples, what else it declares."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from plancheck.authoring.symbols import Symbol, SymbolSort
from plancheck.rulebook import nodes
from plancheck.rulebook.clause_nodes import ClausesNode
from plancheck.rulebook.nodes_of_packs import ChangeNode, HouseNode
from plancheck.rulebook.read import RulesFile
from plancheck.source import Span


def outline(file: RulesFile) -> list[Symbol]:
    """What a file declares, in order."""
    return [symbol for node in file.statements if (symbol := _symbol(node, file)) is not None]


def _symbol(node: Any, file: RulesFile) -> Symbol | None:
    at = file.span(node)
    match node:
        case nodes.PackNode(name=name, title=title):
            return Symbol(name.text, title.text if title else "", SymbolSort.PACK, at, file.span(name))
        case nodes.SituationNode(name=name):
            return Symbol(name.text, "situation", SymbolSort.SITUATION, at, file.span(name))
        case ClausesNode(name=name, title=title):
            return Symbol(name.text, title.text if title else "", SymbolSort.TOPIC, at, file.span(name))
        case ChangeNode():
            return Symbol(node.rule, "change", SymbolSort.RULE, at, at)
        case HouseNode(company=company):
            return Symbol(company.text, "house", SymbolSort.PACK, at, file.span(company))
        case nodes.RuleNode(name=name):
            return Symbol(name.text, _title(node), SymbolSort.RULE, at, file.span(name), tuple(_within(node, file)))
    return None


def _title(node: nodes.RuleNode) -> str:
    texts = (m.text.text for m in node.head if isinstance(m, nodes.TextMember) and m.keyword == "title")
    return next(texts, "")


def _within(node: nodes.RuleNode, file: RulesFile) -> Iterator[Symbol]:
    for member in node.head:
        at = file.span(member)
        if isinstance(member, nodes.LimitMember):
            detail = f"{member.amount.text} {member.amount.unit}"
            yield Symbol(member.name.text, detail, SymbolSort.LIMIT, at, file.span(member.name))
        elif isinstance(member, nodes.ExampleMember):
            whole = Span(file.source, member.start, max(member.end, member.body_end + 1))
            yield Symbol(member.title.text, member.keyword, SymbolSort.EXAMPLE, whole, file.span(member.title))
