"""A sheet as SVG. What changes with the condition carries an id of the plan's: terminals, wires, contacts, locks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from plancheck.render.columns import shown
from plancheck.render.drawing.facing import LEFT
from plancheck.render.drawing.geometry import Geometry, Plate, Point, Strand, Terminal
from plancheck.render.drawing.lanes import Lane
from plancheck.render.drawing.measures import LANE, LARGE, PLAIN, SIGN, SMALL, VOLTS, cut, text_width
from plancheck.render.drawing.standing import NOTHING, Standing
from plancheck.render.drawing.symbols import CONTACT, OPEN_SIGNS, SIGNS

STYLE = """
.sheet { font-family: "DejaVu Sans Mono", Consolas, Menlo, "Liberation Mono", monospace; color: #1b1b1b; }
.sheet text { fill: currentColor; }
.sheet .box { fill: #fbfaf6; stroke: #3a3a3a; stroke-width: 1.2; }
.sheet .elsewhere .box { fill: none; stroke-dasharray: 6 3; }
.sheet .wire path { fill: none; stroke: #1b1b1b; stroke-width: 1.1; }
.sheet .wire text { fill: #3b4a56; }
.sheet .bar, .sheet .lead { fill: none; stroke: #1b1b1b; stroke-width: 1.1; }
.sheet .dot { fill: #1b1b1b; }
.sheet .terminal .post { fill: #fff; stroke: #1b1b1b; stroke-width: 1.1; }
.sheet .sign { fill: none; stroke: #1b1b1b; stroke-width: 1.2; }
.sheet .sign .thin { stroke-width: .8; }
.sheet .sign.closed rect, .sheet .sign.closed circle { fill: #fff; }
.sheet .contact .made, .sheet .contact.made .open { display: none; }
.sheet .contact.made .made { display: inline; }
.sheet .wire.carries path { stroke-width: 2.6; }
.sheet .wire.dead path { stroke-dasharray: 2 2.5; }
.sheet .wire.unknown path { stroke-dasharray: 9 3 2 3; }
.sheet .volts { fill: #35506b; }
.sheet .foot { font-weight: bold; }
.sheet .marked .box { stroke-width: 3; }
"""
"""Thick carries current, thin stands at some volts, dotted has none: the drawing is read without colour."""


def sheet_svg(geometry: Geometry, title: str, ident: str, stands: Standing = NOTHING) -> str:
    """The whole drawing, as it `stands` in some condition; `ident` is unique on the page."""
    width, height = round(geometry.width), round(geometry.height)
    lines = [
        f'<svg class="sheet" id="{escape(ident)}" viewBox="0 0 {width} {height}" width="{width}" height="{height}" '
        f'role="img" aria-labelledby="{escape(ident)}-title" xmlns="http://www.w3.org/2000/svg">',
        f'<title id="{escape(ident)}-title">{_text(title)}</title>',
        *(line for strand in geometry.strands for line in _strand(strand, stands)),
        *(line for plate in geometry.plates for line in _plate(plate, stands)),
        "</svg>",
    ]
    return "\n".join(lines) + "\n"


def _text(text: str) -> str:
    return escape(shown(text), quote=True)


def _n(number: float) -> str:
    return f"{number:.1f}".removesuffix(".0")


def _points(points: Sequence[Point]) -> str:
    """A path of lines along the axes."""
    (x, y), *rest = points
    path = f"M{_n(x)} {_n(y)}"
    for to_x, to_y in rest:
        if to_x != x:
            path += f"H{_n(to_x)}"
        if to_y != y:
            path += f"V{_n(to_y)}"
        x, y = to_x, to_y
    return path


def _strand(strand: Strand, stands: Standing) -> Iterator[str]:
    link = strand.link
    ends = f'data-a="{_text(link.a)}" data-b="{_text(link.b)}"'
    yield (
        f'<g class="wire{_state(stands, link.key)}" data-wire="{_text(link.key)}" {ends}>'
        f"<title>{_text(link.says)}</title>"
        f'<path d="{_points(strand.points)}"/>'
    )
    for label in strand.labels:
        anchor = "" if label.side == LEFT else ' text-anchor="end"'
        x, y = label.at
        yield f'<text x="{_n(x)}" y="{_n(y)}" font-size="{SMALL}"{anchor}>{_text(label.text)}</text>'
    yield "</g>"


def _plate(plate: Plate, stands: Standing) -> Iterator[str]:
    box = plate.box
    away = " elsewhere" if box.elsewhere else ""
    yield f'<g class="device{away}" data-device="{_text(box.key)}">'
    x, y, width, height = map(_n, (plate.x, plate.y, plate.width, plate.height))
    yield f'<rect class="box" x="{x}" y="{y}" width="{width}" height="{height}" rx="2"/>'
    room = plate.width - 16 - text_width(box.reference, SMALL)
    yield (
        f'<text x="{_n(plate.x + 6)}" y="{_n(plate.y + 14)}" font-size="{LARGE}" font-weight="bold">'
        f"{_text(cut(box.head, LARGE, room))}</text>"
    )
    if box.reference:
        right = _n(plate.x + plate.width - 6)
        at = f'x="{right}" y="{_n(plate.y + 14)}" font-size="{SMALL}" text-anchor="end"'
        yield f"<text {at}>{_text(box.reference)}</text>"
    under = cut(box.under, SMALL, plate.width - 12)
    yield f'<text x="{_n(plate.x + 6)}" y="{_n(plate.y + 25)}" font-size="{SMALL}">{_text(under)}</text>'
    for terminal in plate.terminals:
        yield from _terminal(terminal, plate, stands.volts.get(terminal.port.key, ""))
    yield from _leads(plate)
    for lane in plate.lanes:
        yield _sign(lane, _lane_x(plate, lane.number), stands)
    if box.foot:
        at = f'x="{_n(plate.x + 6)}" y="{_n(plate.y + plate.height - 5)}"'
        told = _text(stands.feet.get(box.key, ""))
        yield f'<text class="foot" data-foot="{_text(box.key)}" {at} font-size="{PLAIN}">{told}</text>'
    yield "</g>"


def _state(stands: Standing, wire: str) -> str:
    return f" {stands.wires[wire]}" if wire in stands.wires else ""


def _terminal(terminal: Terminal, plate: Plate, volts: str) -> Iterator[str]:
    x, y = terminal.at
    anchor = "end" if terminal.side == LEFT else "start"
    yield f'<g class="terminal" data-terminal="{_text(terminal.port.key)}">'
    rows = terminal.rows
    if len(rows) > 1:
        yield f'<path class="bar" d="{_points([(x, y), (terminal.bar, y), (terminal.bar, rows[-1])])}"/>'
        for row in rows[:-1]:
            yield f'<circle class="dot" cx="{_n(terminal.bar)}" cy="{_n(row)}" r="2.2"/>'
    yield f'<circle class="post" cx="{_n(x)}" cy="{_n(y)}" r="{2.6 if terminal.wired else 1.6}"/>'
    name_x = _n(plate.inwards(6))
    at = f'x="{name_x}" y="{_n(y + 3)}" font-size="{PLAIN}" text-anchor="{anchor}"'
    yield f"<text {at}>{_text(terminal.port.name)}</text>"
    volts_x = _n(plate.inwards(plate.name_room + 2))
    yield f'<text class="volts" x="{volts_x}" y="{_n(y + 3)}" font-size="{SMALL}" text-anchor="{anchor}">{volts}</text>'
    yield "</g>"


def _lane_x(plate: Plate, number: int) -> float:
    return plate.inwards(plate.name_room + VOLTS + LANE * (number + 0.5))


def _leads(plate: Plate) -> Iterator[str]:
    """From each terminal to the lanes that it reaches, and the verticals to the symbols; dots where they part."""
    reach: dict[str, list[int]] = {}
    for lane in plate.lanes:
        for end in (lane.symbol.a, lane.symbol.b):
            reach.setdefault(end, []).append(lane.number)
    for terminal in plate.terminals:
        numbers = reach.get(terminal.port.key)
        if numbers:
            y = terminal.at[1]
            near, last = plate.inwards(plate.name_room + VOLTS - 4), _lane_x(plate, max(numbers))
            yield f'<path class="lead" d="{_points([(near, y), (last, y)])}"/>'
            far = max(numbers)
            for number in sorted({n for n in numbers if n < far or numbers.count(n) > 1}):
                yield f'<circle class="dot" cx="{_n(_lane_x(plate, number))}" cy="{_n(y)}" r="1.9"/>'
    for lane in plate.lanes:
        x = _lane_x(plate, lane.number)
        top, bottom = min(lane.a, lane.b), max(lane.a, lane.b)
        yield f'<path class="lead" d="{_points([(x, top), (x, lane.middle - SIGN)])}"/>'
        yield f'<path class="lead" d="{_points([(x, lane.middle + SIGN), (x, bottom)])}"/>'


def _sign(lane: Lane, x: float, stands: Standing) -> str:
    """A symbol in its place, its `a` end turned to where that terminal is."""
    symbol = lane.symbol
    turn = "" if lane.a <= lane.b else " rotate(180)"
    place = f'transform="translate({_n(x)} {_n(lane.middle)}){turn}"'
    name = f"<title>{_text(symbol.says)}</title>"
    if symbol.sign == "contact":
        made = " made" if symbol.key in stands.made else ""
        return f'<g class="sign contact{made}" data-part="{_text(symbol.key)}" {place}>{name}{CONTACT}</g>'
    closed = "" if symbol.sign in OPEN_SIGNS else " closed"
    return f'<g class="sign{closed}" data-part="{_text(symbol.key)}" {place}>{name}{SIGNS[symbol.sign]}</g>'
