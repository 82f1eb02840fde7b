"""A rules file's text to nodes. Never fails: what cannot be read becomes a mistake, and the rest is read."""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from plancheck.finding import Mistake
from plancheck.nearest import did_you_mean
from plancheck.rulebook import (
    clause_nodes,
    clause_tree,
    fix_nodes,
    fix_tree,
    nodes,
    nodes_of_packs,
    parting,
    rule_node,
    split,
    tree,
)
from plancheck.rulebook.nodes_of_packs import ChangeNode, PackNodes
from plancheck.rulebook.parting import parted
from plancheck.rulebook.split import KEYWORDS, Chunk, Cut, cut, members, without_comments
from plancheck.rulebook.wording import clipped
from plancheck.source import Source, Span
from plancheck.syntax.kept import Kept

if TYPE_CHECKING:
    from lark.exceptions import UnexpectedInput

MEMBERS = (
    "title", "headline", "severity", "life-safety", "basis", "only in", "known limits", "limit", "for each",
    "where", "require", "at", "also at", "path", "found", "required", "evidence", "remedy", "fix", "passes", "fails",
)  # fmt: skip
LONGEST_FILE = 1_000_000
"""Characters of a rules file: ten times the largest that anybody would want to read."""
DEEPEST = 40
"""Brackets within brackets, and what nests without them."""
_MAKERS = nodes, clause_nodes, fix_nodes, nodes_of_packs, rule_node, parting, tree, clause_tree, fix_tree, split
KEPT = Kept("rules", *_MAKERS, sys.modules[__name__])
"""The shipped rules files, by their text; those without a mistake."""

_RULE_HEAD = re.compile(r"rule[ \t]+([^\W\d_][\w\-]*)[ \t\r\n]*\Z")
_FIRST_WORD = re.compile(r"[\w\-]+")
_FIRST_MEMBER_WORDS = frozenset(m.split()[0] for m in MEMBERS)


@dataclass(frozen=True, slots=True)
class RulesFile:
    """A rules file, read: its statements in order."""

    source: Source
    statements: tuple[nodes.Node | PackNodes, ...]
    kept: bool = False
    """Whether it was read before, to the letter: a shipped file, or one of a pack that is kept."""

    def span(self, node: Any) -> Span:
        """Place of a node of this file."""
        return Span(self.source, node.start, node.end)


def read_rules(source: Source) -> tuple[RulesFile, list[Mistake]]:
    """Read a rules file."""
    if (kept := KEPT.get(source.text)) is not None:
        return RulesFile(source, kept, kept=True), []
    reader = _Reader(source)
    statements = reader.statements() if reader.readable() else ()
    return RulesFile(source, tuple(statements)), reader.mistakes


def read_expression(source: Source, start: int, end: int, text: str) -> nodes.Expression | Mistake:
    """Read the expression in a template; `text` is the whole file's."""
    reader = _Reader(source)
    node = reader.parse("expression", text, start, end)
    return node if node is not None else reader.mistakes[0]


def read_change_block(source: Source, start: int, end: int) -> tuple[ChangeNode | None, list[Mistake]]:
    """Read one `change` that stands somewhere in a text, such as in the plan of an example."""
    reader = _Reader(source)
    return reader.parse("change", without_comments(source.text, start, end), start, end), reader.mistakes


class _Reader:
    def __init__(self, source: Source) -> None:
        self.source = source
        self.mistakes: list[Mistake] = []

    def mistake(self, start: int, end: int, headline: str, found: str = "", expected: str = "", hint: str = "") -> None:
        at = Span(self.source, start, max(end, start + 1))
        self.mistakes.append(Mistake(at, clipped(headline), clipped(found), expected, hint))

    def readable(self) -> bool:
        size = len(self.source.text)
        if size > LONGEST_FILE:
            wanted = f"at most {LONGEST_FILE:,}"
            self.mistake(0, 1, "This rules file is too long", f"{size:,} characters", wanted)
        return size <= LONGEST_FILE

    def statements(self) -> list[nodes.Node | PackNodes]:
        """Every statement that could be read at least in part."""
        pieces = cut(self.source.text)
        for start, end in pieces.stray:
            self.stray(start, end)
        found = [self.statement(pieces, chunk) for chunk in pieces.chunks]
        self.mistakes.sort(key=lambda m: m.at.order)
        return [node for node in found if node is not None]

    def stray(self, start: int, end: int) -> None:
        word = _FIRST_WORD.match(self.source.text, start)
        self.mistake(
            start,
            word.end() if word else end,
            "This line belongs to no statement",
            found=f"“{word.group() if word else self.source.text[start:end][:20]}”",
            expected="“pack”, “situation”, “clauses”, “rule” or “change” at the start of a line",
            hint=did_you_mean(word.group(), KEYWORDS) if word else "",
        )

    def statement(self, pieces: Cut, chunk: Chunk) -> nodes.Node | PackNodes | None:
        if chunk.unclosed:
            brace = chunk.unclosed[-1]
            self.mistake(brace, brace + 1, "This brace is never closed", expected="a “}” of its own")
        if chunk.keyword == "rule":
            return self.rule(pieces, chunk)
        if chunk.unclosed:
            return None
        node: nodes.Node | PackNodes | None = self.parse(chunk.keyword, pieces.text, chunk.start, chunk.end)
        return node

    def rule(self, pieces: Cut, chunk: Chunk) -> nodes.RuleNode | None:
        head_end = chunk.open if chunk.open >= 0 else chunk.end
        head = _RULE_HEAD.match(pieces.text[chunk.start : head_end])
        if chunk.open < 0 or head is None:
            self.mistake(
                chunk.start,
                head_end,
                "A rule begins with its name and a brace",
                found=f"“{pieces.text[chunk.start : head_end].strip()}”",
                expected="“rule NAME {”, the name of letters, digits and hyphens",
            )
            return None
        name = nodes.Name(head.group(1), chunk.start + head.start(1), chunk.start + head.end(1))
        before = len(self.mistakes)
        read = [self.member(pieces.text, *stretch) for stretch in members(pieces.text, chunk)]
        whole = len(self.mistakes) == before and not chunk.unclosed
        return nodes.RuleNode(name, *parted(m for m in read if m), whole, chunk.start, chunk.end)

    def member(self, text: str, start: int, end: int) -> nodes.Member | None:
        word = _FIRST_WORD.match(text, start)
        if word is None or word.group() not in _FIRST_MEMBER_WORDS:
            self.mistake(
                start,
                word.end() if word else start + 1,
                "This is no part of a rule",
                found=f"“{word.group() if word else text[start]}”",
                expected=", ".join(MEMBERS),
                hint=(did_you_mean(word.group(), MEMBERS) if word else "")
                or "A line that continues the one before it is set deeper.",
            )
            return None
        node: nodes.Member | None = self.parse("member", text, start, end)
        return node

    def parse(self, what: str, text: str, start: int, end: int) -> Any:
        """The node of a stretch of the text, or None and a mistake."""
        from lark import TextSlice
        from lark.exceptions import UnexpectedInput

        from plancheck.rulebook.tree import parser

        if _depth(text, start, end) > DEEPEST:
            self.mistake(
                start,
                end,
                "This is nested too deeply",
                expected=f"at most {DEEPEST} brackets, “not” and “:” within each other",
            )
            return None
        try:
            return parser().parse(TextSlice(text, start, end), start=what)
        except UnexpectedInput as unexpected:
            self.unexpected(unexpected, what, text, start, end)
            return None

    def unexpected(self, error: UnexpectedInput, what: str, text: str, start: int, end: int) -> None:
        from plancheck.rulebook.wording import expected_words, headline, hint

        token = getattr(error, "token", None)
        at_end = error.pos_in_stream is None if token is None else token.type == "$END"
        begin = end if at_end or error.pos_in_stream is None else int(error.pos_in_stream)
        word = "" if at_end else _word_at(text, begin, end)
        wanted = expected_words(error)
        self.mistake(
            max(start, end - 1) if at_end else begin,
            end if at_end else begin + len(word),
            headline(what, text, start, at_end),
            found=("the end of the line" if what != "expression" else "its end") if at_end else f"“{word}”",
            expected=wanted,
            hint=hint(word, wanted, text, start, begin),
        )


def _word_at(text: str, begin: int, end: int) -> str:
    if text[begin] == '"':
        stop = re.compile(r"[\r\n]|\Z").search(text, begin, end)
        return text[begin : min(stop.start() if stop else end, begin + 30)]
    match = re.compile(r"[\w\-.]+|[<>=!&|]+|.", re.DOTALL).match(text, begin, end)
    return match.group() if match else text[begin]


def _depth(text: str, start: int, end: int) -> int:
    """How deep an expression may be nested: brackets in brackets, and every `not` and `:`, which need none."""
    depth = deepest = others = 0
    for mark in re.compile(r'"[^"\r\n]*"|[()]|:|\bnot\b').finditer(text, start, end):
        depth += (mark.group() == "(") - (mark.group() == ")")
        deepest = max(deepest, depth)
        others += mark.group() in (":", "not")
    return deepest + others
