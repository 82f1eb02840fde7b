"""A sheet read back from its SVG: nothing here knows how it was laid out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise
from xml.etree import ElementTree

Point = tuple[float, float]
Segment = tuple[Point, Point]

_MOVE = re.compile(r"([MHV])(-?[\d.]+)(?: (-?[\d.]+))?")
_NEAR = 0.06
LETTER = 0.602
"""Width of a letter of DejaVu Sans Mono in parts of its size (advance of 1233 in 2048 units, from memory)."""


@dataclass(frozen=True)
class Wire:
    key: str
    a: str
    b: str
    points: tuple[Point, ...]
    labels: tuple[tuple[float, float, float, float], ...]

    @property
    def segments(self) -> list[Segment]:
        return list(pairwise(self.points))


@dataclass(frozen=True)
class Drawn:
    """Wires, boxes as (left, top, right, bottom), and per terminal its point and bar."""

    wires: tuple[Wire, ...]
    boxes: dict[str, tuple[float, float, float, float]]
    posts: dict[str, Point]
    bars: dict[str, list[Segment]]
    size: Point


def read(svg: str) -> Drawn:
    root = ElementTree.fromstring(svg)
    tag = "{http://www.w3.org/2000/svg}"
    wires = []
    for group in root.iter(f"{tag}g"):
        if group.get("class") == "wire":
            path = group.find(f"{tag}path")
            assert path is not None
            labels = tuple(_label(text) for text in group.findall(f"{tag}text"))
            ends = group.get("data-a") or "", group.get("data-b") or ""
            wires.append(Wire(group.get("data-wire") or "", *ends, tuple(_points(path.get("d") or "")), labels))
    boxes, posts, bars = {}, {}, {}
    for group in root.iter(f"{tag}g"):
        rect = group.find(f"{tag}rect")
        if group.get("data-device") is not None and rect is not None:
            x, y, width, height = (float(rect.get(k) or 0) for k in ("x", "y", "width", "height"))
            boxes[group.get("data-device") or ""] = (x, y, x + width, y + height)
        if group.get("data-terminal") is not None:
            post = next(c for c in group.findall(f"{tag}circle") if c.get("class") == "post")
            name = group.get("data-terminal") or ""
            posts[name] = float(post.get("cx") or 0), float(post.get("cy") or 0)
            bar = group.find(f"{tag}path")
            bars[name] = [] if bar is None else list(pairwise(_points(bar.get("d") or "")))
    return Drawn(tuple(wires), boxes, posts, bars, (float(root.get("width") or 0), float(root.get("height") or 0)))


def _points(path: str) -> Iterator[Point]:
    x = y = 0.0
    for letter, first, second in _MOVE.findall(path):
        if letter == "M":
            x, y = float(first), float(second)
        elif letter == "H":
            x = float(first)
        else:
            y = float(first)
        yield x, y


def _label(text: ElementTree.Element) -> tuple[float, float, float, float]:
    size = float(text.get("font-size") or 0)
    x, y = float(text.get("x") or 0), float(text.get("y") or 0)
    wide = len(text.text or "") * size * LETTER
    left = x - wide if text.get("text-anchor") == "end" else x
    return left, y - 0.75 * size, left + wide, y + 0.1 * size


def faults(drawn: Drawn) -> list[str]:
    """What is wrong with a sheet, in words; nothing for a good one."""
    return [*_wrong_ends(drawn), *_overlaps(drawn), *_through_boxes(drawn), *_through_labels(drawn), *_outside(drawn)]


def _wrong_ends(drawn: Drawn) -> Iterator[str]:
    for wire in drawn.wires:
        first, last = wire.points[0], wire.points[-1]
        straight = _is_at(drawn, wire.a, first) and _is_at(drawn, wire.b, last)
        turned = _is_at(drawn, wire.b, first) and _is_at(drawn, wire.a, last)
        if not straight and not turned:
            yield f"{wire.key} does not join {wire.a} and {wire.b}"


def _is_at(drawn: Drawn, terminal: str, point: Point) -> bool:
    post = drawn.posts[terminal]
    return _same(post, point) or any(_on(point, segment) for segment in drawn.bars[terminal])


def _same(one: Point, other: Point) -> bool:
    return abs(one[0] - other[0]) < _NEAR and abs(one[1] - other[1]) < _NEAR


def _on(point: Point, segment: Segment) -> bool:
    (x1, y1), (x2, y2) = segment
    return (
        min(x1, x2) - _NEAR <= point[0] <= max(x1, x2) + _NEAR
        and min(y1, y2) - _NEAR <= point[1] <= max(y1, y2) + _NEAR
    )


def _metal(drawn: Drawn) -> Iterator[tuple[str, list[Segment], set[str]]]:
    """Everything drawn as metal: a name, its segments, the terminals that it may touch."""
    for wire in drawn.wires:
        yield wire.key, wire.segments, {wire.a, wire.b}
    for terminal, bar in drawn.bars.items():
        yield f"bar of {terminal}", bar, {terminal}


def _overlaps(drawn: Drawn) -> Iterator[str]:
    """Two pieces of metal that share more than a crossing: a stretch, or a corner that would read as a joint."""
    for (one, ones, ends), (other, others, other_ends) in combinations(_metal(drawn), 2):
        if ends & other_ends and ("bar" in one or "bar" in other):
            continue  # a wire begins on the bar of its own terminal
        for a in ones:
            for b in others:
                if _touch(a, b):
                    yield f"{one} {ends} runs into {other} {other_ends} at {a} and {b}"
    for terminal, post in drawn.posts.items():
        for name, segments, ends in _metal(drawn):
            if terminal not in ends and any(_on(post, segment) for segment in segments):
                yield f"{name} touches {terminal}"


def _touch(one: Segment, other: Segment) -> bool:
    """Whether an end of one lies on the other: they run along each other, or meet as a joint would."""
    return any(_on(p, other) for p in one) or any(_on(p, one) for p in other)


def _through_boxes(drawn: Drawn) -> Iterator[str]:
    for wire in drawn.wires:
        for name, (left, top, right, bottom) in drawn.boxes.items():
            for segment in wire.segments:
                if _crosses(segment, (left + 0.1, top + 0.1, right - 0.1, bottom - 0.1)):
                    yield f"{wire.key} runs through {name}"
    for (one, a), (other, b) in combinations(drawn.boxes.items(), 2):
        if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]:
            yield f"{one} and {other} lie upon each other"


def _crosses(segment: Segment, area: tuple[float, float, float, float]) -> bool:
    (x1, y1), (x2, y2) = segment
    left, top, right, bottom = area
    return min(x1, x2) < right and max(x1, x2) > left and min(y1, y2) < bottom and max(y1, y2) > top


def _through_labels(drawn: Drawn) -> Iterator[str]:
    labels = [(wire.key, label) for wire in drawn.wires for label in wire.labels]
    for name, label in labels:
        for other, segments, _ in _metal(drawn):
            if any(_crosses(segment, label) for segment in segments):
                yield f"{other} runs through the label of {name}"
        for box, area in drawn.boxes.items():
            if label[0] < area[2] and area[0] < label[2] and label[1] < area[3] and area[1] < label[3]:
                yield f"the label of {name} lies on {box}"
    for (one, a), (other, b) in combinations(labels, 2):
        if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]:
            yield f"the labels of {one} and {other} lie upon each other"


def _outside(drawn: Drawn) -> Iterator[str]:
    width, height = drawn.size
    for wire in drawn.wires:
        if any(not (0 <= x <= width and 0 <= y <= height) for x, y in wire.points):
            yield f"{wire.key} leaves the sheet"
    for name, (left, top, right, bottom) in drawn.boxes.items():
        if left < 0 or top < 0 or right > width or bottom > height:
            yield f"{name} leaves the sheet"
