"""What may be written where the cursor is in a rules file: the grammar says which sort of word, the types say which."""

from __future__ import annotations

import re
from collections.abc import Iterator

from plancheck.authoring.of_rules.lexed import Sort, Token, lexed
from plancheck.authoring.of_rules.offers import Offers
from plancheck.authoring.of_rules.view import RulesView
from plancheck.authoring.proposal import Proposal
from plancheck.rulebook.following import accepted
from plancheck.rulebook.read import MEMBERS
from plancheck.rulebook.split import KEYWORDS, Chunk, Cut, cut, members
from plancheck.rulebook.template import SAID_OF_WITNESS
from plancheck.source import Span

_CHANGE = re.compile(r"(?m)^change[ \t]+([\w\-]*/?[\w\-]*)\Z")


def proposals(view: RulesView, offset: int) -> list[Proposal]:
    """What fits at an offset, the likeliest first; nothing in comments, and in a text only between its braces."""
    text = view.source.text
    change = _CHANGE.search(text, 0, offset)
    if change is not None:
        return _ordered(Offers(view, Span(view.source, *change.span(1)), (), ()).rules())
    begun = next((t for t in lexed(text) if t.sort is Sort.WORD and t.start < offset <= t.end), None)
    at = begun.start if begun else offset
    inside = next((t for t in lexed(text) if t.start < at < t.end or (t.start < at == t.end and _open(t))), None)
    if inside is not None and inside.sort in (Sort.COMMENT, Sort.STRING):
        hole = text.rfind("{", inside.start, offset)
        if inside.sort is Sort.COMMENT or hole < text.rfind("}", inside.start, offset) or hole < 0:
            return []
        return _in_hole(view, offset, hole)
    place = Span(view.source, at, offset)
    pieces = cut(text[:at])
    chunk = (
        pieces.chunks[-1] if pieces.chunks and (pieces.chunks[-1].unclosed or _on_its_line(text, pieces, at)) else None
    )
    if chunk is None:
        return _ordered(Offers(view, place, (), ()).words(*KEYWORDS))
    return _ordered(_in_statement(view, place, pieces, chunk))


def _on_its_line(text: str, pieces: Cut, at: int) -> bool:
    """Whether the cursor is still on the line of a statement that has no brace."""
    last = pieces.chunks[-1]
    return last.open < 0 and not any(end in text[last.start : at] for end in "\r\n")


def _open(token: Token) -> bool:
    """Whether what is written behind a token belongs to it: a comment, a text not closed."""
    return token.sort is Sort.COMMENT or (token.sort is Sort.STRING and (len(token.text) < 2 or token.text[-1] != '"'))


def _in_hole(view: RulesView, offset: int, hole: int) -> list[Proposal]:
    """Between the braces of a text: an expression, or what is said of the condition shown."""
    text = view.source.text
    inner = lexed(text[hole + 1 : offset])
    begun = inner[-1] if inner and inner[-1].sort is Sort.WORD and inner[-1].end == offset - hole - 1 else None
    at = hole + 1 + begun.start if begun else offset
    pieces = cut(text[:hole])
    statement = _tokens(pieces.text[pieces.chunks[-1].start :]) if pieces.chunks else []
    said = text[hole + 1 : at]
    offers = Offers(view, Span(view.source, at, offset), [*statement, *_tokens(said)], _tokens(said))
    found = list(offers.at(accepted("expression", said)))
    if not said.strip():
        found += offers.words(*SAID_OF_WITNESS)
    return _ordered(found)


def _ordered(found: Iterator[Proposal] | list[Proposal]) -> list[Proposal]:
    return sorted(dict.fromkeys(found), key=lambda proposal: (proposal.rank, proposal.text))


def _in_statement(view: RulesView, place: Span, pieces: Cut, chunk: Chunk) -> Iterator[Proposal]:
    if len(chunk.unclosed) > 1 or (chunk.keyword == "rule" and chunk.open < 0):
        return
    at = place.start
    start = _member(pieces, chunk, at) if chunk.keyword == "rule" else chunk.start
    said = pieces.text[start:at]
    offers = Offers(view, place, _tokens(pieces.text[chunk.start : at]), _tokens(said))
    if said.strip():
        yield from offers.at(accepted("member" if chunk.keyword == "rule" else chunk.keyword, said))
    else:
        yield from offers.members(MEMBERS)


def _member(pieces: Cut, chunk: Chunk, at: int) -> int:
    """Where the member at hand begins; where a new one may begin, it is there."""
    begun = [start for start, _ in members(pieces.text, chunk)]
    if not begun:
        return at
    line = _line(pieces.text, at)
    anew = (
        not pieces.text[line:at].strip()
        and line > begun[-1]
        and _depth(pieces.text, at) <= _depth(pieces.text, begun[0])
    )
    return at if anew else begun[-1]


def _depth(text: str, at: int) -> int:
    return len(text[_line(text, at) : at].expandtabs(8))


def _line(text: str, at: int) -> int:
    return max(text.rfind("\n", 0, at), text.rfind("\r", 0, at)) + 1


def _tokens(text: str) -> list[Token]:
    return [token for token in lexed(text) if token.sort not in (Sort.COMMENT, Sort.LINE_END)]
