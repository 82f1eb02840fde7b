"""What the grammar of rules takes behind an unfinished text."""

from __future__ import annotations

from functools import cache


def accepted(start: str, said: str) -> frozenset[str]:
    """What the grammar takes next: its own words, and names of its terminals such as WORD; nothing behind a mistake."""
    from lark.exceptions import UnexpectedInput

    from plancheck.rulebook.tree import parser

    reading = parser().parse_interactive(said, start=start)
    try:
        reading.exhaust_lexer()
    except UnexpectedInput:
        return frozenset()
    literal = _literals()
    taken: set[str] = reading.accepts()  # type: ignore[no-untyped-call]
    return frozenset(literal.get(name, name) for name in taken)


@cache
def _literals() -> dict[str, str]:
    """The grammar's own words by the names that the parser gives them."""
    from lark.lexer import PatternStr

    from plancheck.rulebook.tree import parser

    return {t.name: t.pattern.value for t in parser().terminals if isinstance(t.pattern, PatternStr)}
