"""What is said about a text that the grammar does not take: what was found, what was expected, a way out."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Set
from dataclasses import dataclass
from typing import TYPE_CHECKING

from plancheck.nearest import did_you_mean, nearest

if TYPE_CHECKING:
    from lark import Token
    from lark.exceptions import UnexpectedInput


@dataclass(frozen=True, slots=True)
class Slip:
    """A mistake before it is placed in a file: offsets count from the start of its statement."""

    start: int
    end: int
    headline: str
    found: str = ""
    expected: str = ""
    hint: str = ""


HEADERS = ("plan", "revision", "jurisdiction", "edition", "adopt", "ambient", "use")
STATEMENTS = (*HEADERS, "device", "typical", "place", "variance", "wire", "kind")

_NAMED = {
    "NAME": "a name",
    "LABEL": "a name",
    "WORD": "a word",
    "POINT": "a terminal's name",
    "STRING": "a text in quotes",
    "NUMBER": "a number",
    "DATE": "a date such as 2026-11-20",
    "REF": "a terminal such as PS1:+",
    "_SEP": "the end of the line",
    "$END": "the end of the line",
    "_A": "“a”",
    "_AN": "“a”",
    "LPAR": "“(”",
    "RPAR": "“)”",
    "LSQB": "“[”",
    "RSQB": "“]”",
    "COLON": "“:”",
    "VBAR": "“|”",
    "LESS": "a slot such as <rated-volts: voltage>",
    "GREATER": "“>”",
    "ELLIPSIS": "“...”",
    "PERCENT": "“%”",
    "COMMA": "“,”",
    "CLOSE": "“}”",
    "_OPEN": "“{”",
}
_STATEMENT = "a statement: a device's kind and name, or `wire`, `place` …"
_MEMBER = "a line of a kind: `terminals`, `needs`, `load`, `contact`, `state` …"
_ITEM = "a word, a number, a date, a terminal or a text in quotes"
# Where all of `signs` may stand, one phrase speaks for all of `covered`.
_PHRASES: tuple[tuple[str, frozenset[str], frozenset[str]], ...] = (
    (_STATEMENT, frozenset(("NAME", "WIRE", "PLACE", "VARIANCE")),
     frozenset(("NAME", "STRING", *(word.upper() for word in STATEMENTS)))),
    (_MEMBER, frozenset(("SPARE", "LOAD", "CONTACT", "_STATE")),
     frozenset(("TERMINALS", "SPARE", "NEEDS", "_MAY", "_ALWAYS", "_SIGNAL", "SOURCE", "LOAD", "SENSE", "CONTACT",
                "ONE_WAY", "CLAMP", "PROTECTOR", "LINK", "_STATE", "_REPEAT"))),
    (_ITEM, frozenset(("NAME", "NUMBER", "STRING", "DATE", "REF")),
     frozenset(("NAME", "NUMBER", "STRING", "DATE", "REF", "COMMA", "PERCENT"))),
)  # fmt: skip
_THINGS = {"entry": "attribute", "member": "line", "setting": "setting"}
_QUOTES = "“”„«»‘’"
_WHOLE_REFERENCE = re.compile(r"[^\s\"{}();,:#]*:[^\s\"{}();,#]*")


def slip(error: UnexpectedInput, text: str, start: int, end: int, rule: str) -> Slip:
    """The words for one failure of the parser on the stretch of `text` that it took for a `rule`."""
    from lark.exceptions import UnexpectedToken

    accepts: Callable[[], set[str]] = error.interactive_parser.accepts
    terminals = accepts()
    if isinstance(error, UnexpectedToken) and error.token[:1] not in (":", "."):
        begin, stop, found = _found(error.token, text, end)
        hint = _hint(error.token, terminals)
    else:
        begin, stop, found, hint = _character(text, error.pos_in_stream or 0, end)
    if not hint and rule == "statement" and "PLAN" not in terminals:
        hint = _near_statement(text[start:end].split(None, 1)[0])
    headline = f"This {_thing(text, start, rule)} cannot be read from {found} on"
    if found in (_LINE_END, _STATEMENT_END):
        headline = f"This {_thing(text, start, rule)} is cut short"
    return Slip(begin, stop, headline, found, worded(terminals), hint)


_LINE_END, _STATEMENT_END = "the end of the line", "the end of the statement"


def worded(terminals: Set[str]) -> str:
    """Terminals of the grammar in the trade's words, sorted."""
    left, words = set(terminals), set()
    for phrase, signs, covered in _PHRASES:
        if signs <= left:
            words.add(phrase)
            left -= covered
    words |= {_NAMED.get(t) or f"“{_keyword(t)}”" for t in left}
    ordered = sorted(words, key=lambda w: (not w.startswith("a "), w))
    last = "; or " if any(", " in w for w in ordered) and len(ordered) > 1 else " or "
    return last.join([", ".join(ordered[:-1]), ordered[-1]] if len(ordered) > 1 else ordered)


def _keyword(terminal: str) -> str:
    return terminal.strip("_").lower().replace("_", "-")


def _thing(text: str, start: int, rule: str) -> str:
    if rule != "statement":
        return _THINGS.get(rule, "text")
    first = text[start : start + 20].split(None, 1)[:1]
    return first[0] if first and first[0] in STATEMENTS and first[0] not in HEADERS else "statement"


def _found(token: Token, text: str, end: int) -> tuple[int, int, str]:
    start = token.start_pos or 0
    if token.type == "$END":
        behind = min(end, token.end_pos or 0)
        return behind, behind, _STATEMENT_END if "\n" in text[:end] else _LINE_END
    if token.type == "_SEP":
        mark = token.value.lstrip()[:1]
        return (start, start + 1, "“;”") if mark == ";" else (start, start, _LINE_END)
    lead = len(token.value) - len(token.value.lstrip())
    shown = token.value.strip() if len(token.value) <= 60 else token.value[:57] + "…"
    return start + lead, start + len(token.value), f"“{shown}”"


def _character(text: str, start: int, end: int) -> tuple[int, int, str, str]:
    """The place of an unreadable character, its words, and the way out."""
    mark = text[start]
    if mark == '"':
        stop = min(i for i in (text.find("\n", start), text.find("\r", start), end) if i >= 0)
        return start, stop, "a text whose quotes are not closed on its line", 'Close it with a second “"”.'
    if mark in _QUOTES:
        return start, start + 1, f"the curly quote {mark}", 'Texts stand in straight quotes: "…".'
    if mark == "#":
        return start, start + 1, "“#” right behind a word", "A comment needs a blank before its “#”."
    if mark == ".":
        return start, start + 1, "“.”", "A number begins with a digit: 0.5."
    if mark == ":":
        return _reference(text, start, end)
    if mark.isprintable():
        return start, start + 1, f"“{mark}”", ""
    name = unicodedata.name(mark, "").lower()
    return start, start + 1, f"the control character U+{ord(mark):04X} {name}".rstrip(), ""


def _reference(text: str, colon: int, end: int) -> tuple[int, int, str, str]:
    """A terminal where a name was wanted was read as its name; tell the whole of it."""
    begin = colon
    while begin > 0 and _WHOLE_REFERENCE.fullmatch(text[begin - 1 : colon + 1]) is not None:
        begin -= 1
    match = _WHOLE_REFERENCE.match(text, begin, end)
    stop = match.end() if match else colon + 1
    if begin < colon < stop - 1:
        return begin, stop, f"“{text[begin:stop][:60]}”", ""
    return colon, colon + 1, "“:”", "A terminal is written without blanks: PS1:+."


def _hint(token: Token, terminals: Set[str]) -> str:
    """The nearest of the words that might stand where another was found."""
    if token.type == "CLOSE" and "CLOSE" not in terminals:
        return "No block is open here."
    if token.value == "when":
        return "Say “made when” or “alive when”."
    if token.type not in ("NAME", "LABEL", "POINT", "WORD"):
        return ""
    return did_you_mean(token.value, [_keyword(t) for t in sorted(terminals) if t not in _NAMED])


def _near_statement(first: str) -> str:
    near = nearest(first, STATEMENTS) if first not in STATEMENTS else None
    return f"Did you mean “{near} …”?" if near is not None else ""
