"""The overview of a plan, one line a cable: supplies and what is shared on the left, doors and gates on the right.

A door or gate with all that is its own is one place; so is what several share, by the name of what feeds them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field

from plancheck.plan.graph import ConnectionGraph
from plancheck.plan.model import Plan, Wire
from plancheck.render.drawing.shapes import Box, Link, Port
from plancheck.render.drawing.sheets import Sheet
from plancheck.review.operation import Holder
from plancheck.units import Quantity

MOST_LINES = 48
"""Cables on one overview; beyond, the rest of them is drawn on further ones."""


@dataclass
class _Run:
    """A cable between two places, or all loose wires between them."""

    cable: str
    a: str
    b: str
    wires: list[Wire] = field(default_factory=list)
    landing: dict[str, dict[str, None]] = field(default_factory=dict)
    """By place, the devices there on which it lands."""

    def add(self, wire: Wire, ends: dict[str, str]) -> None:
        """One more wire, `ends` being its devices by place."""
        self.wires.append(wire)
        for place, device in ends.items():
            self.landing.setdefault(place, {})[device] = None


def risers(
    graph: ConnectionGraph, holders: Sequence[Holder], sheets: Sequence[Sheet], only: Collection[str] | None = None
) -> Iterator[tuple[Sequence[Box], Sequence[Link]]]:
    """Boxes and links of the overviews: several for a large plan, none where no two places are joined.

    With `only`, what leads to or from some places.
    """
    feeding = {branch.device for branch in graph.branches if branch.what == "source"}
    place = {name: _place(name, sheet, feeding) for sheet in sheets for name in sheet.devices}
    runs = [run for run in _runs(graph.plan, place) if only is None or {run.a, run.b} & {*only}]
    number = {name: sheet.number for sheet in sheets for name in sheet.devices}
    for start in range(0, len(runs), MOST_LINES):
        some = runs[start : start + MOST_LINES]
        yield _boxes(graph.plan, some, holders, number), [_link(graph.plan, i, run) for i, run in enumerate(some)]


def _place(device: str, sheet: Sheet, feeding: Collection[str]) -> str:
    """What feeds is a place of its own, also where it stands on a door's sheet."""
    return device if device in feeding and sheet.place not in feeding else sheet.place


def _runs(plan: Plan, place: dict[str, str]) -> Iterator[_Run]:
    """Cables between places, in the order of the plan; a cable that reaches several is a line to each."""
    found: dict[tuple[str, str, str], _Run] = {}
    for wire in plan.wires:
        a, b = place.get(wire.a.device, ""), place.get(wire.b.device, "")
        if a and b and a != b:
            low, high = sorted((a, b))
            run = found.setdefault((wire.cable, low, high), _Run(wire.cable, a, b))
            run.add(wire, {a: wire.a.device, b: wire.b.device})
    yield from found.values()


def _boxes(plan: Plan, runs: Sequence[_Run], holders: Sequence[Holder], number: dict[str, int]) -> list[Box]:
    locks = {holder.name: [part.device for part in holder.parts] for holder in holders}
    ports: dict[str, list[Port]] = {}
    for i, run in enumerate(runs):
        for name, end in ((run.a, "a"), (run.b, "b")):
            ports.setdefault(name, []).append(Port(f"{i}{end}", _landing(run, name)))
    found = []
    for name, device in plan.devices.items():
        if name in ports:
            at_home = next((n for n in (name, *locks.get(name, ())) if n in number), "")
            sheet = f"sheet {number[at_home]}" if at_home else ""
            under = device.kind.replace("-", " ") + (f" · {device.title}" if device.title else "")
            feeds = device.base not in ("door", "gate")
            found.append(Box(name, name, under, tuple(ports[name]), reference=sheet, feeds=feeds))
    return found


def _landing(run: _Run, place: str) -> str:
    """The devices on which a cable lands at a place; nothing where the place is the device."""
    names = [name for name in run.landing[place] if name != place]
    return ", ".join(names[:3]) + (" …" if len(names) > 3 else "")


def _link(plan: Plan, number: int, run: _Run) -> Link:
    cable = plan.devices.get(run.cable)
    if cable is None:
        count = len(run.wires)
        label = f"{count} loose wire{'s' if count > 1 else ''}"
        return Link(f"r{number}", f"{number}a", f"{number}b", label, "", label)
    told = [v.text for slot in ("area", "length") if isinstance(v := cable.get(slot), Quantity)]
    pulled = cable.get("conductors")
    count_of = f"{pulled:g}×" if isinstance(pulled, float) else ""
    label = f"{run.cable} {count_of}{' '.join(told)}".strip()
    return Link(f"r{number}", f"{number}a", f"{number}b", label, run.cable, label)
