"""A rules file's text in tokens, whatever state it is in, by the grammars' own patterns."""

from __future__ import annotations

import re
from enum import Enum
from functools import cache, lru_cache
from typing import NamedTuple

from plancheck.authoring.lexed import terminal
from plancheck.rulebook.split import KEYWORDS
from plancheck.shipped import grammar_file


class Sort(Enum):
    """What a token is."""

    COMMENT = "comment"
    STRING = "string"
    NUMBER = "number"
    WORD = "word"
    SIGN = "sign"
    LINE_END = "line end"


class Token(NamedTuple):
    """A token, from the start of the text."""

    sort: Sort
    text: str
    start: int

    @property
    def end(self) -> int:
        """The offset behind it."""
        return self.start + len(self.text)


@lru_cache(maxsize=64)
def lexed(text: str) -> tuple[Token, ...]:
    """Every token that carries something, in order."""
    found = (Token(Sort[match.lastgroup or "SIGN"], match[0], match.start()) for match in _tokens().finditer(text))
    return tuple(found)


@cache
def keywords() -> frozenset[str]:
    """The words of the grammar itself."""
    grammar = grammar_file("rules.lark").read_text(encoding="utf-8")
    quoted = re.findall(r'"([a-z][a-z\-]*)"', re.sub(r"(?m)^//.*$", "", grammar))
    return frozenset((*quoted, *KEYWORDS))


@cache
def _tokens() -> re.Pattern[str]:
    plan = grammar_file("plan.lark").read_text(encoding="utf-8")
    word, number, comment = (terminal(plan, name) for name in ("WORD", "NUMBER", "COMMENT"))
    return re.compile(
        rf'(?P<LINE_END>\r\n?|\n)|(?P<COMMENT>{comment})|(?P<STRING>"[^"\r\n]*"?)'
        rf"|(?P<NUMBER>(?<![\w\-]){number})|(?P<WORD>{word})|(?P<SIGN><=|>=|[^\s])"
    )
