"""How a mistake in the writing of a rules file is said: what was expected, in the words of the language."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

from plancheck.nearest import did_you_mean

if TYPE_CHECKING:
    from lark.exceptions import UnexpectedInput

LONGEST_QUOTED = 160

_SAID = {
    "WORD": "a word", "STRING": "a quoted text", "NUMBER": "a number", "UNIT": "a unit",
    "COMPARE": "<= >= < or >", "PLUS": "+ or -", "TIMES": "* or /", "LPAR": "(", "RPAR": ")",
    "COLON": ":", "COMMA": ",", "DOT": ".", "LBRACE": "{", "RBRACE": "}", "EQUAL": "=", "SEMICOLON": ";",
    "SLASH": "/",
    "$END": "the end of the line",
}  # fmt: skip
_SIGNS = ("PLUS", "TIMES", "COMPARE")
_OTHER_LANGUAGES = {
    "=": "Equality is said “is”.", "==": "Equality is said “is”.", "!=": "Write “is not”.",
    "&&": "Write “and”.", "||": "Write “or”.", "!": "Write “not”.",
    "if": "A condition on the thing is a “where” line.",
}  # fmt: skip


def expected_words(error: UnexpectedInput) -> str:
    """What could have stood there, sorted: terminals first, then the keywords."""
    # What the parser itself would take: the lexer's set is wider, by what may follow elsewhere.
    accepts: Callable[[], set[str]] = error.interactive_parser.accepts
    names = accepts()
    signs = all(sign in names for sign in _SIGNS)
    said = [_SAID[n] for n in _SAID if n in names and not (signs and n in _SIGNS)]
    if signs:
        said.append("a sign (+ - * / <= >= < >)")
    keywords = sorted(f"“{n.lower().replace('_', '-')}”" for n in names if n not in _SAID and n[0] not in "_$B")
    return ", ".join(said + keywords)


def clipped(text: str) -> str:
    """A text that quotes a file, cut where the quotation would fill a page."""
    return text if len(text) <= LONGEST_QUOTED else f"{text[: LONGEST_QUOTED - 2]} …"


def headline(what: str, text: str, start: int, at_end: bool) -> str:
    """The first line of the message: in which member it stands."""
    word = re.compile(r"[\w\-]+").match(text, start)
    member = "This expression" if what == "expression" or word is None else f"“{word.group()}”"
    return f"{member} is not finished" if at_end else f"{member} cannot be read"


def hint(word: str, wanted: str, text: str, start: int, begin: int) -> str:
    """A way out: another language's sign, a misspelt keyword, a line that should be set less deep."""
    if word in _OTHER_LANGUAGES:
        return _OTHER_LANGUAGES[word]
    near = did_you_mean(word, re.findall(r"“([\w\-]+)”", wanted)) if word else ""
    if near:
        return near
    if wanted.startswith("a word, :") and "condition" in text[start:begin]:
        return "The condition ends with a “:”; what must be so in it follows."
    if word.startswith('"') and word.count('"') == 1:
        return "A quoted text ends on the line on which it begins."
    if text[start:begin].rstrip(" \t").endswith("\n"):
        return "This line is set deeper than the rule's first line, so it continues the line before it."
    return ""
