"""A device taken out of a plan: its declaration, and its ends of wires, so that what it joined stays joined."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.authoring.drawn import Drawn, NotDrawn, declaration, mentions
from plancheck.authoring.edit import Edit
from plancheck.authoring.names import Names, Thing
from plancheck.source import Span
from plancheck.syntax.nodes import Reference, Wire


def taken_out(names: Names, thing: Thing) -> list[Edit]:
    """The edits. Raises NotDrawn where something else than wires speaks of it, or its wires cannot be joined."""
    drawn, _ = declaration(names, thing)
    reached: dict[Drawn, Wire] = {}
    ends: set[Span] = set()
    for mentioned, found in mentions(names, thing):
        if not isinstance(mentioned.node, Wire):
            raise NotDrawn
        reached[mentioned] = mentioned.node
        ends |= {mentioned.of(end) for end in mentioned.node.ends if _holds(mentioned.of(end), found.at)}
    return [Edit(_lines(drawn.span), ""), *_without(reached, ends)]


def _holds(outer: Span, inner: Span) -> bool:
    return outer.start <= inner.start and inner.end <= outer.end


def _without(reached: dict[Drawn, Wire], ends: set[Span]) -> Iterator[Edit]:
    """The wires without the ends of a device. A terminal with wires of its own on both sides gets them joined."""
    instead, dropped = _joined(reached, ends)
    for drawn, wire in reached.items():
        kept = [instead.get(end.terminal, "") if drawn.of(end) in ends else drawn.of(end).text for end in wire.ends]
        kept = [text for number, text in enumerate(kept) if text and text not in kept[:number]]
        if drawn in dropped or len(kept) < 2:
            yield Edit(_lines(drawn.span), "")
        else:
            first, last = wire.ends[0], wire.ends[-1]
            yield Edit(drawn.statement.span(first.start, last.end), " to ".join(kept))


def _joined(reached: dict[Drawn, Wire], ends: set[Span]) -> tuple[dict[str, str], set[Drawn]]:
    """By terminal of the device, the end that takes its place in other wires; and the jumpers that fall away so."""
    instead: dict[str, str] = {}
    dropped: set[Drawn] = set()
    for terminal in {end.terminal for drawn, wire in reached.items() for end in wire.ends if drawn.of(end) in ends}:
        here = {drawn: others for drawn, wire in reached.items() if (others := _others(drawn, wire, ends, terminal))}
        if len(here) < 2:
            continue
        jumper = next((drawn for drawn, others in here.items() if len(others) == 1 and _is_jumper(drawn.node)), None)
        if jumper is None:
            raise NotDrawn
        dropped.add(jumper)
        instead[terminal] = jumper.of(here[jumper][0]).text
    return instead, dropped


def _others(drawn: Drawn, wire: Wire, ends: set[Span], terminal: str) -> list[Reference]:
    """The other ends of a wire that reaches a terminal of the device."""
    own = [end for end in wire.ends if drawn.of(end) in ends]
    return [end for end in wire.ends if end not in own] if any(end.terminal == terminal for end in own) else []


def _is_jumper(node: object) -> bool:
    return isinstance(node, Wire) and node.conductor is None and not node.entries


def _lines(span: Span) -> Span:
    """What stands alone on its lines, with their end; what shares a line with others, by itself."""
    text, start, end = span.source.text, span.start, span.end
    while start and text[start - 1] in " \t":
        start -= 1
    while end < len(text) and text[end] in " \t":
        end += 1
    if (start and text[start - 1] not in "\r\n") or (end < len(text) and text[end] not in "\r\n"):
        return span
    end += 2 if text.startswith("\r\n", end) else 1
    return Span(span.source, start, min(end, len(text)))
