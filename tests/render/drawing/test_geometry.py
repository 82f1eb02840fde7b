"""Every sheet, from its SVG alone: wires join the right terminals, and nothing lies upon anything."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plancheck.render.drawing.geometry import laid_out
from plancheck.render.drawing.riser import risers
from plancheck.render.drawing.shapes import Box, Link, Port, Symbol
from plancheck.render.drawing.sheet_svg import sheet_svg
from plancheck.render.drawing.sheets import MOST_WIRES, Sheet, sheets
from tests.render.drawing.drawn import Drawn, Wire, faults, read
from tests.render.works import SAMPLES, document_of, name_of


def _sheets(path: Path) -> tuple[Sheet, ...]:
    works = document_of(path).works
    return sheets(works.facts.graph, works.holders)


def _svg(sheet: Sheet) -> str:
    return sheet_svg(laid_out(sheet.boxes, sheet.links), sheet.title, f"sheet-{sheet.number}")


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_wires_join_their_terminals_and_nothing_lies_upon_anything(path: Path) -> None:
    assert [fault for sheet in _sheets(path) for fault in faults(read(_svg(sheet)))] == []


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_every_wire_and_device_is_drawn(path: Path) -> None:
    plan = document_of(path).plan
    drawn = [read(_svg(sheet)) for sheet in _sheets(path)]
    ends = [(wire.a.key, wire.b.key) for wire in plan.wires]
    shown = {wire.key: (wire.a, wire.b) for sheet in drawn for wire in sheet.wires}
    assert shown == {f"w{i}": pair for i, pair in enumerate(ends)}
    at_home = [name for sheet in _sheets(path) for name in sheet.devices]
    with_terminals = [d.name for d in plan.devices.values() if d.terminals and d.base not in ("door", "gate", "cable")]
    assert sorted(at_home) == sorted(with_terminals)


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_the_overview_keeps_to_the_same(path: Path) -> None:
    document = document_of(path)
    drawn = risers(document.works.facts.graph, document.works.holders, _sheets(path))
    svgs = [sheet_svg(laid_out(boxes, links), "Overview", "overview") for boxes, links in drawn]
    assert [fault for svg in svgs for fault in faults(read(svg))] == []


@pytest.mark.parametrize("path", SAMPLES[:4], ids=name_of)
def test_the_same_plan_gives_the_same_sheet(path: Path) -> None:
    assert list(map(_svg, _sheets(path))) == list(map(_svg, _sheets(path)))


@given(st.integers(0, 10_000))
@settings(max_examples=150, deadline=None)
def test_made_up_boxes_keep_to_the_same(seed: int) -> None:
    rng = Random(seed)
    boxes, keys = [], []
    for i in range(rng.randint(1, 9)):
        ports = tuple(Port(f"B{i}:{n}", str(n), True) for n in range(rng.randint(1, 7)))
        pairs = [rng.sample(ports, 2) for _ in range(rng.randint(0, 3)) if len(ports) > 1]
        symbols = tuple(Symbol(f"B{i}.{n}", "coil", a.key, b.key) for n, (a, b) in enumerate(pairs))
        boxes.append(Box(f"B{i}", f"B{i}", "made up", ports, symbols, feeds=rng.random() < 0.2))
        keys += [port.key for port in ports]
    count = rng.randint(0, MOST_WIRES)
    links = [Link(f"w{n}", rng.choice(keys), rng.choice(keys), "C1/red 18 AWG 85 ft", "C1/red") for n in range(count)]
    assert faults(read(sheet_svg(laid_out(boxes, links), "Made up", "x"))) == []


def test_faults_are_seen() -> None:
    """The reader of sheets by its own: two wires along one line, one through a box, one that ends nowhere."""
    boxes = {"A": (0.0, 0.0, 50.0, 100.0), "B": (200.0, 0.0, 250.0, 100.0)}
    posts = {"A:1": (50.0, 20.0), "A:2": (50.0, 40.0), "B:1": (200.0, 20.0), "B:2": (200.0, 40.0)}
    good = Wire("good", "A:1", "B:1", ((50.0, 20.0), (200.0, 20.0)), ((60.0, 10.0, 100.0, 18.0),))
    bars: dict[str, list[tuple[tuple[float, float], tuple[float, float]]]] = {key: [] for key in posts}

    def told(*more: Wire) -> str:
        return "\n".join(faults(Drawn((good, *more), boxes, posts, bars, (300.0, 120.0))))

    assert told() == ""
    assert "runs into" in told(Wire("w", "A:2", "B:2", ((50.0, 40.0), (80.0, 40.0), (80.0, 20.0), (200.0, 40.0)), ()))
    assert "does not join" in told(Wire("w", "A:2", "B:2", ((50.0, 40.0), (190.0, 40.0)), ()))
    assert "runs through B" in told(Wire("w", "A:2", "B:2", ((50.0, 40.0), (240.0, 40.0)), ()))
    assert "the label of good" in told(
        Wire(
            "w", "A:2", "B:2", ((50.0, 40.0), (70.0, 40.0), (70.0, 5.0), (190.0, 5.0), (190.0, 40.0), (200.0, 40.0)), ()
        )
    )
    assert "leaves the sheet" in told(
        Wire(
            "w",
            "A:2",
            "B:2",
            ((50.0, 40.0), (60.0, 40.0), (60.0, 130.0), (190.0, 130.0), (190.0, 40.0), (200.0, 40.0)),
            (),
        )
    )
