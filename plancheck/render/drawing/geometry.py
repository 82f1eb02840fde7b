"""A sheet's geometry: every box, terminal, wire, label and symbol with its place in pixels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plancheck.render.drawing.channel import Channel, Route, routed
from plancheck.render.drawing.facing import LEFT, RIGHT, columns
from plancheck.render.drawing.lanes import Lane, lanes
from plancheck.render.drawing.measures import (
    EDGE,
    LANE,
    LARGE,
    MARGIN,
    PITCH,
    PLAIN,
    SMALL,
    TRACK,
    VOLTS,
    cut,
    text_width,
)
from plancheck.render.drawing.placing import End, PlacedBox, Placing, placed
from plancheck.render.drawing.shapes import Box, Link, Port

Point = tuple[float, float]

_NARROWEST, _WIDEST = 150.0, 270.0
_LONGEST_LABEL = 190.0


@dataclass(frozen=True, slots=True)
class Label:
    """A text that belongs to a wire, above it: where it begins (or ends, on the right), and how wide it is at most."""

    text: str
    at: Point
    side: int
    width: float


@dataclass(frozen=True, slots=True)
class Strand:
    """A wire as it is drawn."""

    link: Link
    points: tuple[Point, ...]
    labels: tuple[Label, ...]


@dataclass(frozen=True, slots=True)
class Terminal:
    """A port in its place; `rows` are the heights of its ends, joined by a bar where there are several."""

    port: Port
    at: Point
    rows: tuple[float, ...]
    side: int

    @property
    def bar(self) -> float:
        """Where the bar stands that joins several rows."""
        return self.at[0] + (EDGE if self.side == LEFT else -EDGE)

    @property
    def wired(self) -> bool:
        """Whether a wire of this sheet reaches it."""
        return bool(self.rows)


@dataclass(frozen=True, slots=True)
class Plate:
    """A box in its place."""

    box: Box
    side: int
    x: float
    y: float
    width: float
    height: float
    terminals: tuple[Terminal, ...]
    lanes: tuple[Lane, ...]
    name_room: float
    """Pixels from the edge inwards that names of terminals take."""

    @property
    def edge(self) -> float:
        """The side of the box on which the terminals are."""
        return self.x + self.width if self.side == LEFT else self.x

    def inwards(self, pixels: float) -> float:
        """So far from the terminals' edge into the box."""
        return self.edge - pixels if self.side == LEFT else self.edge + pixels


@dataclass(frozen=True, slots=True)
class Geometry:
    """A whole sheet."""

    width: float
    height: float
    plates: tuple[Plate, ...]
    strands: tuple[Strand, ...]


def laid_out(boxes: Sequence[Box], links: Sequence[Link]) -> Geometry:
    """Boxes and links on a sheet. Every port that a link names must be a port of one of the boxes."""
    placing = placed(columns(boxes, links), links)
    channel = routed(placing, links)
    widths = [_box_width([p.box for p in placing.boxes if p.side == side]) for side in (LEFT, RIGHT)]
    zones = [_label_zone(placing, channel, side) for side in (LEFT, RIGHT)]
    tracks = (channel.tracks + 1) * TRACK
    edges = MARGIN + widths[LEFT], MARGIN + widths[LEFT] + zones[LEFT] + tracks + zones[RIGHT]
    plates = tuple(_plate(p, edges[p.side], widths[p.side]) for p in placing.boxes)
    starts = _starts(plates, placing, links)
    first_track = edges[LEFT] + zones[LEFT]
    strands = tuple(_strand(route, placing, starts, edges, first_track) for route in channel.routes)
    return Geometry(edges[RIGHT] + widths[RIGHT] + MARGIN, MARGIN * 2 + placing.slots * PITCH, plates, strands)


def _y(slot: float) -> float:
    return MARGIN + slot * PITCH


def _name_room(box: Box) -> float:
    return 8 + max((text_width(port.name, PLAIN) for port in box.ports), default=0.0)


def _box_width(boxes: Sequence[Box]) -> float:
    """One width for a column: what its widest box asks for, within bounds."""
    wished = [_NARROWEST]
    for box in boxes:
        inside = 2 * 10 + _name_room(box) + (VOLTS + LANE * lanes_of(box) if box.symbols else 0)
        head = 16 + text_width(box.head, LARGE) + text_width(box.reference, SMALL)
        wished += [inside, min(_WIDEST, max(head, 12 + text_width(box.under, SMALL)))]
    return max(wished)


def lanes_of(box: Box) -> int:
    """How many lanes the symbols of a box take, were each row of ports next to the last."""
    rows = {port.key: (float(i),) for i, port in enumerate(box.ports)}
    return max((lane.number for lane in lanes(box, rows)), default=-1) + 1


def _label_zone(placing: Placing, channel: Channel, side: int) -> float:
    texts = [text for route in channel.routes for end, text in _texts(route) if placing.side[end] == side]
    longest = max((text_width(text, SMALL) for text in texts), default=0.0)
    return EDGE + 10 + min(longest, _LONGEST_LABEL) + 6


def _texts(route: Route) -> tuple[tuple[End, str], tuple[End, str]]:
    return (route.first, route.link.label), (route.last, route.link.short)


def _plate(placed: PlacedBox, edge: float, width: float) -> Plate:
    box, side = placed.box, placed.side
    reached = {port.key for port in box.ports if port.wired}
    terminals = tuple(
        Terminal(
            port,
            (edge, _y(placed.rows[port.key][0])),
            tuple(map(_y, placed.rows[port.key])) if port.key in reached else (),
            side,
        )
        for port in box.ports
    )
    x = edge - width if side == LEFT else edge
    top, bottom = _y(placed.top), _y(placed.bottom)
    heights = {key: tuple(map(_y, rows)) for key, rows in placed.rows.items()}
    return Plate(box, side, x, top, width, bottom - top, terminals, lanes(box, heights), _name_room(box))


def _starts(plates: Sequence[Plate], placing: Placing, links: Sequence[Link]) -> dict[End, Point]:
    """Where each end begins: at its terminal, or on the bar of its terminal's rows."""
    at = {terminal.port.key: terminal for plate in plates for terminal in plate.terminals}
    found = {}
    for link in links:
        for number, key in enumerate((link.a, link.b)):
            end, terminal = End(link.key, number), at[key]
            y = _y(placing.slot[end])
            found[end] = (terminal.at[0] if y == terminal.at[1] else terminal.bar, y)
    return found


def _strand(
    route: Route, placing: Placing, starts: dict[End, Point], edges: Sequence[float], first_track: float
) -> Strand:
    a, b = starts[route.first], starts[route.last]
    points: tuple[Point, ...] = (a, b)
    if route.track >= 0:
        x = first_track + (route.track + 1) * TRACK
        points = (a, (x, a[1]), (x, b[1]), b)
    labels = tuple(
        _label(text, starts[end][1], edges[placing.side[end]], placing.side[end]) for end, text in _texts(route) if text
    )
    return Strand(route.link, points, labels)


def _label(text: str, y: float, edge: float, side: int) -> Label:
    text = cut(text, SMALL, _LONGEST_LABEL)
    room = EDGE + 6
    return Label(text, (edge + room if side == LEFT else edge - room, y - 3), side, text_width(text, SMALL))
