"""A plan's text in tokens, whatever state it is in: what the grammar's lexer sees, and what it would not take."""

from __future__ import annotations

import re
from enum import Enum
from functools import cache, lru_cache
from typing import NamedTuple

from plancheck.shipped import grammar_file
from plancheck.syntax.read import RECENT


class Sort(Enum):
    """What a token is."""

    COMMENT = "comment"
    STRING = "string"
    DATE = "date"
    NUMBER = "number"
    REFERENCE = "reference"
    NAME = "name"
    SIGN = "sign"
    LINE_END = "line end"
    BLANKS = "blanks"
    OTHER = "other"


class Token(NamedTuple):
    """A token, from the start of the text."""

    sort: Sort
    text: str
    start: int

    @property
    def end(self) -> int:
        """The offset behind it."""
        return self.start + len(self.text)


@lru_cache(maxsize=RECENT)
def lexed(text: str) -> tuple[Token, ...]:
    """Every token that carries something, in order: blanks are left out. Remembered by text."""
    found = (Token(Sort[match.lastgroup or "OTHER"], match[0], match.start()) for match in _tokens().finditer(text))
    return tuple(token for token in found if token.sort is not Sort.BLANKS)


@cache
def _tokens() -> re.Pattern[str]:
    """One pattern for all tokens, of the grammar's own: what a name is, is said there alone."""
    grammar = grammar_file("plan.lark").read_text(encoding="utf-8")
    own = {name: terminal(grammar, name) for name in ("NAME", "TERMINAL", "DATE", "NUMBER", "COMMENT", "BLANKS")}
    groups = (
        ("LINE_END", r"\r\n?|\n"), ("BLANKS", own["BLANKS"]), ("COMMENT", own["COMMENT"]),
        ("STRING", r'"[^"\r\n]*"?'), ("DATE", own["DATE"]), ("REFERENCE", f"{own['NAME']}:(?:{own['TERMINAL']})?"),
        ("NUMBER", own["NUMBER"]), ("NAME", own["NAME"]), ("SIGN", r"[{}();,:<>\[\]|%]"), ("OTHER", "."),
    )  # fmt: skip
    return re.compile("|".join(f"(?P<{name}>{pattern})" for name, pattern in groups))


def terminal(grammar: str, name: str) -> str:
    """The pattern of a terminal in a grammar's text. ValueError where it has none."""
    match = re.search(rf"^{name}(?:\.\d+)?: /(.*)/$", grammar, re.MULTILINE)
    if match is None:
        raise ValueError(f"the grammar has no pattern {name}")
    return match[1].replace(r"\/", "/")
