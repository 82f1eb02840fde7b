"""What may be written where the cursor is."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.authoring.ahead import Next, ahead
from plancheck.authoring.lexed import Sort as TokenSort
from plancheck.authoring.lexed import Token
from plancheck.authoring.names import Names, last_before
from plancheck.authoring.offers import Offers
from plancheck.authoring.proposal import Proposal
from plancheck.authoring.view import View
from plancheck.authoring.writing import Writing, leads, writing_at
from plancheck.plan.header import header_patterns, variance_patterns
from plancheck.plan.kinds import Kind
from plancheck.plan.pattern import Pattern
from plancheck.source import Span


def proposals(view: View, offset: int, names: Names) -> list[Proposal]:
    """What fits at an offset, the likeliest first; nothing in comments, and in quotes only what is named in quotes."""
    statement = last_before(view.statements, offset)
    start = statement.offset if statement else 0
    end = max(offset, start + len(statement.text)) if statement else offset
    writing = writing_at(view.source.text[start:end], offset - start)
    if writing is None:
        return []
    begun = writing.begun
    at = Span(view.source, start + begun.start, offset) if begun else Span(view.source, offset, offset)
    offers = Offers(view, names, at, writing)
    found = dict.fromkeys(_quoted(offers, writing) if _in_quotes(begun) else _offered(offers, writing))
    return sorted(found, key=lambda proposal: (proposal.rank, proposal.text))


def _in_quotes(begun: Token | None) -> bool:
    return begun is not None and begun.sort is TokenSort.STRING


def _quoted(offers: Offers, writing: Writing) -> Iterator[Proposal]:
    if not writing.said and not (writing.heads and not _draws(writing.heads[-1])):
        yield from offers.house_devices()
    elif [token.text for token in writing.said] == ["adopt"] or _goes_on("adopt", writing):
        yield from offers.packs()


def _goes_on(word: str, writing: Writing) -> bool:
    return bool(writing.said) and writing.said[0].text == word and writing.said[-1].text == ","


def _draws(head: list[Token]) -> bool:
    """Whether statements stand in the block behind a head: that of a typical."""
    return bool(head) and head[0].text == "typical"


def _offered(offers: Offers, writing: Writing) -> Iterator[Proposal]:
    begun = writing.begun
    if begun is not None and begun.sort is TokenSort.REFERENCE:
        yield from offers.behind_colon(begun)
        return
    if not writing.heads or _draws(writing.heads[-1]):
        yield from _statement(offers, writing)
    else:
        yield from _entry(offers, writing)


def _statement(offers: Offers, writing: Writing) -> Iterator[Proposal]:
    said = writing.said
    if not said:
        yield from offers.beginnings(within_typical=bool(writing.heads))
        return
    match said[0].text, [token.text for token in said[1:]]:
        case "wire", rest:
            yield from _wire(offers, rest)
        case "place", []:
            yield from offers.typicals()
        case "place", [_]:
            yield from offers.words("as")
        case "place", [_, "as", _]:
            yield from offers.words("to")
        case "variance", []:
            yield from offers.rules()
        case "variance", [_]:
            yield from offers.words("on")
        case "variance", [_, "on"]:
            yield from offers.devices()
            yield from offers.words("plan")
        case "device", [_]:
            yield from offers.words("is")
        case "device", [_, "is"]:
            yield from offers.words("a", "an")
        case "device", [_, "is", _]:
            yield from offers.kinds()
        case word, _ if word in header_patterns():
            yield from offers.next(ahead(header_patterns()[word].parts, said))


def _wire(offers: Offers, rest: list[str]) -> Iterator[Proposal]:
    if not rest or rest[-1] == "to":
        yield from offers.devices(colon=True)
    elif rest[-1] == "in":
        yield from offers.conductors()
    elif "in" not in rest:
        yield from offers.words("to", *(["in"] if len(rest) > 2 else []))


def _entry(offers: Offers, writing: Writing) -> Iterator[Proposal]:
    head = writing.heads[-1]
    if not head:
        return
    first = head[0].text
    if first == "place" and len(head) > 1:
        if not writing.said:
            yield from offers.parameters(head[1].text, leads(writing.entries))
        else:
            yield from offers.any_unit() if writing.said[-1].sort is TokenSort.NUMBER else offers.devices()
    elif first == "variance":
        yield from _of_patterns(offers, writing, {word: (p,) for word, p in variance_patterns().items()}, ())
    else:
        kind = _kind(offers, head)
        if kind is not None:
            yield from _of_patterns(offers, writing, dict(kind.patterns), kind.needs)


def _kind(offers: Offers, head: list[Token]) -> Kind | None:
    kinds = offers.names.kinds
    if head[0].text == "wire":
        return next(iter(kinds.of_base("wire")), None)
    if head[0].sort is TokenSort.STRING:
        return kinds.get(offers.names.house.get(head[0].text.strip('"'), ""))
    return kinds.get(head[-1].text if head[0].text == "device" else head[0].text)


def _of_patterns(
    offers: Offers, writing: Writing, patterns: dict[str, tuple[Pattern, ...]], needs: tuple[str, ...]
) -> Iterator[Proposal]:
    if not writing.said:
        yield from offers.attributes(patterns, needs, leads(writing.entries))
        return
    nexts: dict[Next, None] = {}
    for pattern in patterns.get(writing.said[0].text, ()):
        nexts.update(dict.fromkeys(ahead(pattern.parts, writing.said)))
    yield from offers.next(nexts)
