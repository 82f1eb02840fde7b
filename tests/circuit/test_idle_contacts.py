"""Contacts that nobody feels: by hand, and against the engine with each contact stuck open and welded."""

from __future__ import annotations

from pathlib import Path

import networkx as nx
import pytest

import plancheck
from plancheck.circuit.conditions import Truth
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.idle import IdleContacts
from plancheck.circuit.variation import STUCK, WELDED, Failure, Variation
from plancheck.library.files import IncludeReader, read_text
from plancheck.library.load import load_library
from plancheck.plan.graph import Branch
from plancheck.plan.resolve import resolve
from plancheck.source import Source

SAMPLES = sorted((Path(plancheck.__file__).parent.parent / "samples").glob("*.plan"))
PARTS = """
plan "contacts"
supply PS1 { output 24 Vdc, 1 A }
fuse F1 { rated 1 A }
fire-alarm-relay FA1
exit-button EB1
key-switch KS1
relay K1 { coil 24 Vdc, 40 mA; suppression built in }
reader RD1 { rated 24 Vdc, 80 mA }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
wire ML1:- to PS1:-
"""
CASES = {
    "in series": ("wire PS1:+ to FA1:COM\nwire FA1:NC to EB1:COM\nwire EB1:NC to ML1:+", []),
    "side by side, each alone holds": (
        "wire PS1:+ to FA1:COM to EB1:COM\nwire FA1:NC to ML1:+\nwire EB1:NC to ML1:+",
        [],
    ),
    "a wire around it": (
        "wire PS1:+ to FA1:COM\nwire FA1:NC to EB1:COM\nwire PS1:+ to EB1:COM\nwire EB1:NC to ML1:+",
        ["FA1:COM FA1:NC"],
    ),
    "beside a fuse": ("wire PS1:+ to F1:1 to FA1:COM\nwire F1:2 to FA1:NC to ML1:+", ["FA1:COM FA1:NC"]),
    "beside the NC of a relay that nothing drives": (
        "wire PS1:+ to FA1:COM to K1:COM\nwire FA1:NC to K1:NC to ML1:+",
        ["FA1:COM FA1:NC"],
    ),
    "behind the NO of a relay that nothing drives": (
        # What is wrong here is the relay without power: the alarm's contact would do its work.
        "wire PS1:+ to FA1:COM\nwire FA1:NC to K1:COM\nwire K1:NO to ML1:+",
        [],
    ),
    "never made together": (
        "wire PS1:+ to EB1:COM\nwire EB1:NC to EB1:NO2\nwire EB1:COM2 to KS1:COM\nwire KS1:NO to ML1:+",
        # The two of the button cannot be made at once: with either of them welded the other still acts.
        ["KS1:COM KS1:NO"],
    ),
    "tells a controller": ("wire FA1:COM to RD1:input-com\nwire FA1:NO to RD1:alarm", []),
    "bridges an input that a wire bridges": (
        "wire FA1:COM to RD1:input-com\nwire FA1:NO to RD1:alarm\nwire RD1:alarm to RD1:input-com",
        ["FA1:COM FA1:NO"],
    ),
    "a leg not wired": ("wire PS1:+ to FA1:COM to ML1:+", []),
    "on no loop": ("wire PS1:+ to FA1:COM\nwire FA1:NC to EB1:COM", []),
}


def facts(source: Source, path: Path | None = None) -> Facts:
    include = IncludeReader(path, source, ()) if path else lambda name, by: "nothing to use here"
    plan, mistakes = resolve(source, load_library([]).kinds, include)
    assert mistakes == []
    return Facts(plan)


def idle_of(circuit: Facts) -> list[str]:
    idle = IdleContacts(circuit)
    return [f"{c.a} {c.b}" for c in circuit.branches("contact") if idle.idle(c)]


@pytest.mark.parametrize(("wires", "expected"), CASES.values(), ids=CASES)
def test_contacts_worked_out_by_hand(wires: str, expected: list[str]) -> None:
    assert idle_of(facts(Source("a.plan", PARTS + wires))) == expected


def _alike(one: Truth, other: Truth) -> bool:
    space = one.space.joined(other.space)
    return one.over(space) == other.over(space)


def _same_with(circuit: Facts, failure: Failure) -> bool:
    """Whether every load and input stands as drawn under a failure; what is not assessed as drawn is left out."""
    varied = Variation(failure=failure)
    for part in [*circuit.branches("load"), *circuit.branches("sense")]:
        fact = circuit.made if part.what == "sense" else circuit.energised
        try:
            drawn = fact(part)
        except NotAssessed:
            continue
        if not _alike(fact(part, varied), drawn):
            return False
    return True


def _failures(contact: Branch) -> tuple[Failure, Failure]:
    gone = frozenset((contact.key,))
    return (
        Failure(STUCK, "stuck open", (contact.key,), removed=gone),
        Failure(WELDED, "welded", (contact.key,), welded=gone),
    )


@pytest.mark.parametrize("wires", [wires for wires, found in CASES.values() if found])
def test_an_idle_contact_may_fail_either_way_and_nothing_moves(wires: str) -> None:
    circuit = facts(Source("a.plan", PARTS + wires))
    idle = IdleContacts(circuit)
    for contact in circuit.branches("contact"):
        if idle.idle(contact):
            assert all(_same_with(circuit, failure) for failure in _failures(contact))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_in_the_samples_too(path: Path) -> None:
    source, mistake = read_text(path, path.name)
    assert mistake is None
    circuit = facts(source, path)
    idle = IdleContacts(circuit)
    found = [c for c in circuit.branches("contact") if idle.idle(c)]
    assert bool(found) == ("wiring/contact-without-effect" in source.text)
    for contact in found:
        assert all(_same_with(circuit, failure) for failure in _failures(contact))


def test_the_way_around_a_contact_is_the_shortest_that_networkx_finds() -> None:
    circuit = facts(
        Source(
            "a.plan",
            PARTS
            + "wire PS1:+ to FA1:COM\nwire FA1:NC to EB1:COM to KS1:COM\nwire F1:1 to KS1:COM\nwire PS1:+ to F1:1",
        )
    )
    (contact,) = (c for c in circuit.branches("contact", "FA1") if c.b == "FA1:NC")
    way = IdleContacts(circuit).way_around(contact)
    graph = nx.Graph([(b.a, b.b) for b in circuit.branches("conductor")])
    assert way == nx.shortest_path(graph, "FA1:COM", "FA1:NC")
    (other,) = (c for c in circuit.branches("contact", "FA1") if c.b == "FA1:NO")
    assert IdleContacts(circuit).way_around(other) == []
