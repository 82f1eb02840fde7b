"""A rule in outline: what it goes through, keeps, requires and says, as its file writes it; and the words it uses."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from plancheck.rulebook import nodes
from plancheck.rulebook.read import RulesFile, read_rules
from plancheck.rulebook.rule import Rule
from plancheck.source import Source


@dataclass(slots=True)
class Part:
    """One `for each` with what belongs to it. Braces in the texts hold expressions."""

    for_each: str
    wheres: list[str] = field(default_factory=list)
    require: str = ""
    texts: dict[str, str] = field(default_factory=dict)
    """`headline`, `found`, `required`, `remedy`, by that word."""
    evidence: list[tuple[str, str]] = field(default_factory=list)
    """What each step of the sum is, and the expression that gives it."""


@dataclass(frozen=True, slots=True)
class Outline:
    """A rule as its file writes it."""

    parts: tuple[Part, ...]
    words: tuple[str, ...]
    """Classes, facts and situations that it asks for, sorted."""


def outlines(rules: Sequence[Rule]) -> dict[str, Outline]:
    """The outline of each rule by its id. Each file is read once."""
    files: dict[Source, RulesFile] = {}
    found = {}
    for rule in rules:
        source = rule.at.source
        if source not in files:
            files[source] = read_rules(source)[0]
        name = rule.id.partition("/")[2]
        statements = files[source].statements
        node = next(n for n in statements if isinstance(n, nodes.RuleNode) and n.name.text == name)
        found[rule.id] = Outline(tuple(_parts(node, source)), tuple(sorted(set(_words(node.members)))))
    return found


def _parts(node: nodes.RuleNode, source: Source) -> Iterator[Part]:
    part: Part | None = None
    for member in node.members:
        if isinstance(member, nodes.ForEachMember):
            if part is not None:
                yield part
            part = Part(_text(member, source))
        elif part is not None:
            _take(member, part, source)
    if part is not None:
        yield part


def _take(member: nodes.Member, part: Part, source: Source) -> None:
    match member:
        case nodes.ExpressionMember(keyword="where"):
            part.wheres.append(_text(member, source, "where"))
        case nodes.ExpressionMember():
            part.require = _text(member, source, "require")
        case nodes.TextMember(keyword=keyword, text=text):
            part.texts[keyword] = text.text
        case nodes.EvidenceMember(what=what, value=value):
            part.evidence.append((what.text, _text(value, source)))


def _text(node: Any, source: Source, keyword: str = "") -> str:
    """What the file says there, blanks evened out; an expression member to the end of what continues it."""
    text = source.text[node.start : node.end]
    if keyword:
        # A member's node ends with its last kept token; brackets and words such as `is given` may follow.
        text += _rest(source.text, node.end)
        before = source.text.rfind(keyword, 0, node.start)
        text = source.text[before + len(keyword) : node.start] + text
    return " ".join(text.split())


def _rest(text: str, end: int) -> str:
    """The rest of the line at which an expression's last token ends: closing brackets, `is given`."""
    line = text[end:].partition("\n")[0]
    return line.partition("#")[0].rstrip()


def _words(node: object) -> Iterator[str]:
    """Classes of things, facts and situations in some nodes."""
    match node:
        case tuple():
            for each in node:
                yield from _words(each)
            return
        case nodes.DomainItem(kind=kind, of_kind=of_kind):
            yield kind.text
            if of_kind is not None:
                yield of_kind.text
        case nodes.Path(names=names):
            yield from (name.text for name in names[1:])
        case nodes.Predicate(word=word):
            yield word.text
        case nodes.InCondition(situations=situations):
            yield from (words.text for words in situations)
    for name in getattr(node, "__slots__", ()):
        value = getattr(node, name)
        if isinstance(value, tuple) or hasattr(value, "__slots__"):
            yield from _words(value)
