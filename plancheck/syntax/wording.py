"""What is said about a text that the grammar does not take: what was found, what was expected, a way out."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING

from plancheck.nearest import nearest

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


HEADERS = ("plan", "revision", "jurisdiction", "adopt", "ambient", "use")
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
_WHOLE_SETS = (
    (
        frozenset(("PLAN", "USE", "WIRE", "KIND", "TYPICAL")),
        "a statement: a device's kind and name, or `wire`, `place` …",
    ),
    (
        frozenset(("NEEDS", "LOAD", "CONTACT", "_STATE")),
        "a line of a kind: `terminals`, `needs`, `load`, `contact`, `state` …",
    ),
    (
        frozenset(("NAME", "NUMBER", "STRING", "DATE", "REF")),
        "a name, a number with its unit, a date or a text in quotes",
    ),
)
_COVERED = {
    _WHOLE_SETS[0][1]: {"NAME", "STRING", *(w.upper() for w in STATEMENTS)},
    _WHOLE_SETS[1][1]: {
        "TERMINALS", "SPARE", "NEEDS", "_MAY", "_ALWAYS", "_SIGNAL", "SOURCE", "LOAD", "SENSE", "CONTACT",
        "ONE_WAY", "CLAMP", "PROTECTOR", "LINK", "_STATE", "_REPEAT",
    },
    _WHOLE_SETS[2][1]: {"NAME", "NUMBER", "STRING", "DATE", "REF", "COMMA", "PERCENT"},
}  # fmt: skip
_QUOTES = "“”„«»‘’"


def slip(error: UnexpectedInput, text: str, end: int) -> Slip:
    """The words for one failure of the parser on `text`, whose statement ends at `end`."""
    from lark.exceptions import UnexpectedToken

    terminals = error.interactive_parser.accepts()  # type: ignore[attr-defined]
    if isinstance(error, UnexpectedToken):
        start, stop, found = _found(error.token, text, end)
        hint = _hint(found, error.token, terminals, text)
    else:
        start = error.pos_in_stream or 0
        stop, found, hint = _character(text, start)
    expected = worded(terminals)
    where = "the end of the line" if found.startswith("the end") else found
    return Slip(start, stop, f"The text cannot be read from {where} on", found, expected, hint)


def worded(terminals: set[str]) -> str:
    """Terminals of the grammar in the trade's words, sorted."""
    left, words = set(terminals), set()
    for members, name in _WHOLE_SETS:
        if members <= left:
            words.add(name)
            left -= _COVERED[name]
    words |= {_NAMED.get(t) or f"“{t.strip('_').lower().replace('_', '-')}”" for t in left}
    ordered = sorted(words, key=lambda w: (not w.startswith("a "), w))
    return " or ".join([", ".join(ordered[:-1]), ordered[-1]] if len(ordered) > 1 else ordered)


def _found(token: Token, text: str, end: int) -> tuple[int, int, str]:
    start = token.start_pos or 0
    if token.type == "$END":
        behind = min(end, token.end_pos or 0)
        return behind, behind, "the end of the line" if "\n" not in text[:end] else "the end of the statement"
    if token.type == "_SEP":
        mark = token.value.lstrip()[:1]
        return (start, start + 1, "“;”") if mark == ";" else (start, start, "the end of the line")
    lead = len(token.value) - len(token.value.lstrip())
    shown = token.value.strip() if len(token.value) <= 60 else token.value[:57] + "…"
    return start + lead, start + len(token.value), f"“{shown}”"


def _character(text: str, start: int) -> tuple[int, str, str]:
    """Where an unreadable character ends, its words, and the way out."""
    mark = text[start]
    if mark == '"':
        line_end = next((i for i in range(start, len(text)) if text[i] in "\r\n"), len(text))
        return line_end, "a text whose quotes are not closed on its line", 'Close it with “"”.'
    if mark in _QUOTES:
        return start + 1, f"“{mark}”", 'Texts stand in straight quotes: "…".'
    if mark == "#":
        return start + 1, "“#” right behind a word", "A comment needs a blank before its “#”."
    if mark == ":":
        return start + 1, "“:”", "A terminal is written without blanks: PS1:+."
    if mark == ".":
        return start + 1, "“.”", "A number begins with a digit: 0.5."
    if mark.isprintable():
        return start + 1, f"“{mark}”", ""
    return start + 1, f"the control character {_name(mark)}", ""


def _name(mark: str) -> str:
    return f"U+{ord(mark):04X} {unicodedata.name(mark, '').lower()}".rstrip()


def _hint(found: str, token: Token, terminals: set[str], text: str) -> str:
    keywords = [t.strip("_").lower().replace("_", "-") for t in sorted(terminals) if t not in _NAMED]
    if token.type in ("NAME", "LABEL", "POINT", "WORD"):
        near = nearest(token.value, keywords)
        if near:
            return f"Did you mean “{near}”?"
    first = text.split(None, 1)[0] if text[:1].isalpha() else ""
    if first and first not in STATEMENTS and text.find(token.value) > 0 and "PLAN" not in terminals:
        near = nearest(first, STATEMENTS)
        return f"Did you mean “{near} …”?" if near else ""
    if token.value == "{" and "{" in found:
        return ""
    return ""
