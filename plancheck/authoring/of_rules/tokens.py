"""What each word of a rules file is, for its colour."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from plancheck.authoring.of_rules.lexed import Sort as LexedSort
from plancheck.authoring.of_rules.lexed import keywords, lexed
from plancheck.authoring.of_rules.sites import Site, Sort
from plancheck.authoring.tokens import Token, TokenSort
from plancheck.units import GAUGE, UNITS

_PLAIN = {
    LexedSort.COMMENT: TokenSort.COMMENT, LexedSort.STRING: TokenSort.STRING, LexedSort.NUMBER: TokenSort.NUMBER,
}  # fmt: skip
_NAMED = {
    Sort.CLASS: TokenSort.KIND, Sort.VARIABLE: TokenSort.DEVICE, Sort.LIMIT: TokenSort.PARAMETER,
    Sort.FACT: TokenSort.ATTRIBUTE, Sort.SITUATION: TokenSort.TYPICAL, Sort.TOPIC: TokenSort.TYPICAL,
    Sort.RULE: TokenSort.RULE, Sort.KIND: TokenSort.KIND,
}  # fmt: skip


def tokens_of(text: str, sites: Iterable[Site], examples: Iterable[tuple[int, int]]) -> list[Token]:
    """The tokens of a text but for those in the plans of its examples, in order; each within a line."""
    by_start = {site.start: site for site in sites}
    found: list[Token] = []
    plans = list(examples)
    before, done = "", 0
    for token in lexed(text):
        if token.start < done or any(start <= token.start < end for start, end in plans):
            continue
        plain = _PLAIN.get(token.sort)
        if plain is TokenSort.STRING:
            found += _string(token.start, token.end, by_start)
        elif plain is not None:
            found.append(Token(token.start, token.end, plain))
        elif token.start in by_start:
            site = by_start[token.start]
            done = max(site.end, token.end)
            found.append(Token(site.start, done, _NAMED[site.sort], site.declared))
        elif before and (token.text in UNITS or token.text == GAUGE):
            found.append(Token(token.start, token.end, TokenSort.UNIT))
        elif token.text in keywords():
            found.append(Token(token.start, token.end, TokenSort.KEYWORD))
        before = token.text if token.sort is LexedSort.NUMBER else ""
    return found


def _string(start: int, end: int, by_start: dict[int, Site]) -> Iterator[Token]:
    """A text, and the names in its braces."""
    inside = sorted(at for at in by_start if start < at < end)
    for at in inside:
        if at > start:
            yield Token(start, at, TokenSort.STRING)
        site = by_start[at]
        yield Token(site.start, site.end, _NAMED[site.sort])
        start = site.end
    if end > start:
        yield Token(start, end, TokenSort.STRING)
