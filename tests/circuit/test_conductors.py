"""Conductors of cables, against graphs of their own made with networkx, and against what a cable is."""

from __future__ import annotations

import networkx as nx
import pytest

from plancheck.circuit.conductors import Conductors
from plancheck.circuit.facts import Facts
from plancheck.library.load import load_library
from plancheck.plan.graph import Branch
from plancheck.plan.resolve import resolve
from plancheck.source import Source

PARTS = """
plan "conductors"
supply PS1 { output 24 Vdc, 1 A }
reader RD1 { rated 24 Vdc, 80 mA }
reader RD2 { rated 24 Vdc, 80 mA }
reader RD3 { rated 24 Vdc, 80 mA }
fuse F1 { rated 1 A }
terminal-block TB1 { positions 3 }
splice SP1
cable C1 { conductors 4 of 18 AWG; length 40 ft }
cable C2 { conductors 2 of 18 AWG; length 40 ft; colours red, black }
"""


def facts(wires: str) -> Facts:
    source = Source("a.plan", PARTS + wires)
    plan, mistakes = resolve(source, load_library([]).kinds, lambda name, by: "nothing to use here")
    assert mistakes == []
    return Facts(plan)


def first_wire(circuit: Facts) -> Branch:
    return circuit.branches("conductor")[0]


RUNS = {
    "one wire": ("wire F1:2 to RD1:power+ in C1/red", True),
    "from device to device": ("wire F1:2 to RD1:power+ to RD2:power+ in C1/red", True),
    "drawn in any order": (
        "wire RD1:power+ to RD2:power+ in C1/red\nwire RD2:power+ to RD3:power+ in C1/red\n"
        "wire F1:2 to RD1:power+ in C1/red",
        True,
    ),
    "cut at a terminal block": ("wire F1:2 to TB1:a1 in C1/red\nwire TB1:b1 to RD1:power+ in C1/red", True),
    "cut at a device, a jumper between": (
        "wire F1:2 to RD1:power+ in C1/red\nwire RD1:power+ to RD1:COM\nwire RD1:COM to RD2:power+ in C1/red",
        True,
    ),
    "three legs at one terminal": (
        "wire F1:2 to RD1:power+ in C1/red\nwire RD1:power+ to RD2:power+ in C1/red\n"
        "wire RD1:power+ to RD3:power+ in C1/red",
        False,
    ),
    "three legs at one splice": (
        "wire F1:2 to SP1:a in C1/red\nwire SP1:b to RD1:power+ in C1/red\nwire SP1:c to RD2:power+ in C1/red",
        False,
    ),
    "a ring": (
        "wire F1:2 to RD1:power+ in C1/red\nwire RD1:power+ to RD2:power+ in C1/red\nwire RD2:power+ to F1:2 in C1/red",
        False,
    ),
    "two pieces that another cable joins": (
        "wire F1:2 to RD1:power+ in C1/red\nwire RD1:power+ to RD2:power+ in C2/red\n"
        "wire RD2:power+ to RD3:power+ in C1/red",
        False,
    ),
    "twice from the supply": ("wire PS1:+ to RD1:power+ in C1/red\nwire PS1:+ to RD2:power+ in C1/red", False),
}


@pytest.mark.parametrize(("wires", "one_run"), RUNS.values(), ids=RUNS)
def test_a_conductor_is_one_run_from_end_to_end(wires: str, one_run: bool) -> None:
    circuit = facts(wires)
    assert Conductors(circuit.graph).is_one_run(first_wire(circuit)) is one_run


@pytest.mark.parametrize("name", [name for name in RUNS if "supply" not in name])
def test_one_run_is_what_networkx_calls_a_path(name: str) -> None:
    wires, _ = RUNS[name]
    circuit = facts(wires)
    graph = nx.MultiGraph()
    joins = [b for b in circuit.graph.branches if b.what == "link" or (b.wire is not None and not b.wire.cable)]
    joined = nx.Graph([(b.a, b.b) for b in joins])
    place = {t: min(group) for group in nx.connected_components(joined) for t in group}
    red = [b for b in circuit.branches("conductor") if b.wire and (b.wire.cable, b.wire.colour) == ("C1", "red")]
    graph.add_edges_from((place.get(b.a, b.a), place.get(b.b, b.b)) for b in red)
    path = nx.is_tree(graph) and max(degree for _, degree in graph.degree) <= 2
    assert Conductors(circuit.graph).is_one_run(first_wire(circuit)) is path


def test_each_other_net_in_a_conductor_is_told_once() -> None:
    circuit = facts(
        "wire PS1:+ to RD1:power+ to RD2:power+ in C1/red\nwire PS1:- to RD1:power- to RD2:power- in C1/red\n"
        "wire RD1:NO to RD3:power+ in C1/red\nwire RD3:power- to PS1:- in C1/black\n"
    )
    conductors = Conductors(circuit.graph)
    first, *others = circuit.branches("conductor")
    told = {f"{wire.a} {wire.b}": conductors.shared_with(wire) for wire in others}
    assert conductors.shared_with(first) is None
    assert told == {
        "RD1:power+ RD2:power+": None,
        "PS1:- RD1:power-": first,
        "RD1:power- RD2:power-": None,
        "RD1:NO RD3:power+": first,
        "RD3:power- PS1:-": None,
    }
    assert conductors.nets_along(first_wire(circuit)) == 3
    assert conductors.colours_in("C1") == ["red", "black"]
    assert conductors.colours_in("C2") == []


def test_a_wire_in_no_cable_is_in_no_conductor() -> None:
    circuit = facts("wire PS1:+ to F1:1")
    conductors, wire = Conductors(circuit.graph), first_wire(circuit)
    assert conductors.along(wire) == []
    assert conductors.shared_with(wire) is None
    assert conductors.nets_along(wire) == 0
    assert conductors.going_on_otherwise(wire) == []


@pytest.mark.parametrize(
    ("onward", "told"),
    [
        ("wire TB1:b1 to RD1:power+ in C2/red", []),
        ("wire TB1:b1 to RD1:power+ in C2/black", ["C2/black"]),
        ("wire TB1:b1 to RD1:power+", []),
        ("wire TB1:b1 to RD1:power+ in C2/black\nwire TB1:b1 to RD1:power+ in C2/red", []),
        ("wire TB1:b2 to RD1:power+ in C2/black", []),
        ("wire TB1:b1 to RD1:power+ in C1/white", []),
    ],
    ids=["the same", "another", "a jumper", "doubled", "another position", "one and the same cable"],
)
def test_a_colour_that_changes_where_wires_meet(onward: str, told: list[str]) -> None:
    circuit = facts(f"wire PS1:+ to TB1:a1 in C1/red\n{onward}")
    found = Conductors(circuit.graph).going_on_otherwise(first_wire(circuit))
    assert [f"{b.wire.cable}/{b.wire.colour}" for b in found if b.wire is not None] == told


def test_no_conductor_touches_itself() -> None:
    # A cable of two conductors, red drawn on two nets: red may touch black, and red cannot touch red.
    circuit = facts(
        "wire PS1:+ to RD1:power+ in C1/red\nwire RD1:COM to RD1:power+\nwire RD1:NO to RD2:power+ in C1/red\n"
        "wire RD1:power- to RD2:power- to PS1:- in C1/black\n"
    )
    touching = [v.failure.what for v in circuit.failures.all if v.failure is not None and " touch" in v.failure.what]
    assert touching
    assert [what for what in touching if what.count("C1/red") == 2] == []
    assert any("C1/red" in what and "C1/black" in what for what in touching)
