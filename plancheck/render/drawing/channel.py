"""The channel between two columns: a track for each link, so that none lies upon another.

A link leaves its row level, runs up or down its track, and reaches the other row level. Links share a track where
one ends before the other begins.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plancheck.render.drawing.facing import LEFT
from plancheck.render.drawing.placing import End, Placing
from plancheck.render.drawing.shapes import Link


@dataclass(frozen=True, slots=True)
class Route:
    """The way of a link: the side and slot of its two ends, the left or upper one first, and its track.

    A link straight across has no track (-1).
    """

    link: Link
    first: End
    last: End
    track: int


@dataclass(frozen=True)
class Channel:
    """All routes, in the order of the links, and how many tracks there are."""

    routes: tuple[Route, ...]
    tracks: int


def routed(placing: Placing, links: Sequence[Link]) -> Channel:
    """A track for each link that does not lead straight across."""
    ways = [_ends(placing, link) for link in links]
    tracks: list[list[tuple[float, float]]] = []
    chosen: dict[str, int] = {}
    start = 0
    for group in _zones(placing, ways):
        for first, last in group:
            low, high = sorted((placing.slot[first], placing.slot[last]))
            track = start
            while track < len(tracks) and any(low <= b and a <= high for a, b in tracks[track]):
                track += 1
            if track == len(tracks):
                tracks.append([])
            tracks[track].append((low, high))
            chosen[first.link] = track
        start = len(tracks)
    routes = tuple(
        Route(link, first, last, chosen.get(link.key, -1)) for link, (first, last) in zip(links, ways, strict=True)
    )
    return Channel(routes, len(tracks))


def _ends(placing: Placing, link: Link) -> tuple[End, End]:
    a, b = End(link.key, 0), End(link.key, 1)
    before = (placing.side[a], placing.slot[a]) <= (placing.side[b], placing.slot[b])
    return (a, b) if before else (b, a)


def _zones(placing: Placing, ways: Sequence[tuple[End, End]]) -> list[list[tuple[End, End]]]:
    """Links in three zones from left to right: within the left side, across, within the right side.

    Within a side the shortest runs nearest to it. Across, those that lead down come first and the lowest of them
    first, then those that lead up and the highest of them first: so neighbours do not cross.
    """
    side, slot = placing.side, placing.slot
    here = [w for w in ways if side[w[0]] == side[w[1]] == LEFT]
    there = [w for w in ways if side[w[0]] == side[w[1]] != LEFT]
    across = [w for w in ways if side[w[0]] != side[w[1]] and slot[w[0]] != slot[w[1]]]

    def span(way: tuple[End, End]) -> float:
        return abs(slot[way[0]] - slot[way[1]])

    def weave(way: tuple[End, End]) -> tuple[bool, float]:
        down = slot[way[0]] < slot[way[1]]
        return (not down, -slot[way[0]] if down else slot[way[0]])

    return [sorted(here, key=span), sorted(across, key=weave), sorted(there, key=span, reverse=True)]
