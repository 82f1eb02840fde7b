"""What stands in a lock's feed, and on which pole a wire stands: worked out by hand from the drawings."""

from __future__ import annotations

from functools import cache

import pytest

from plancheck.circuit.facts import Facts
from plancheck.circuit.variation import AS_DRAWN
from plancheck.library.load import load_library
from plancheck.plan.resolve import resolve
from plancheck.rulebook.things import Inventory
from plancheck.source import Source

DRAWN = """plan "Feeds"
supply PS1 { output 24 Vdc, 2 A }
fuse F1 { rated 1 A }
exit-sensor XS1 { rated 24 Vdc, 35 mA; contacts 1 A at 30 Vdc }
splice SP1
terminal-block TB1 { positions 2 }
magnetic-lock ML1 { rated 24 Vdc, 250 mA }
magnetic-lock ML2 { rated 24 Vdc, 250 mA }
transformer TR1 { output 24 Vac, 40 VA }
electric-strike ES1 { rated 24 Vac, 500 mA; fails secure }
cable C1 { conductors 4 of 18 AWG; length 40 ft }
cable C2 { conductors 2 of 16 AWG; length 40 ft }
cable C3 { conductors 2 of 22 AWG; length 40 ft }
wire PS1:+ to F1:1
wire F1:2 to XS1:COM in C1/red
wire XS1:NO to SP1:a
wire SP1:b to ML1:+ in C2/white
wire ML1:- to TB1:a1 in C2/black
wire TB1:b1 to PS1:-
wire PS1:+ to XS1:power+ in C1/white
wire XS1:power- to PS1:- in C1/green
wire PS1:+ to ML2:+ in C3/red
wire ML2:- to PS1:- in C3/black
wire TR1:X1 to ES1:+
wire ES1:- to TR1:X2
"""


@cache
def inventory() -> Inventory:
    library = load_library([])
    plan, mistakes = resolve(Source("feeds.plan", DRAWN), library.kinds, lambda name, by: "nothing to use here")
    assert mistakes == []
    return Inventory(Facts(plan), library.rulebook.vocabulary.device_slots)


def asked(of: str, word: str, name: str) -> object:
    """A fact of a device, or of the load that it has."""
    known = load_library([]).rulebook.vocabulary.find(of, word)
    assert known is not None
    things = inventory()
    thing = things.plan.devices[name] if of != "load" else things.facts.branches("load", name)[0]
    return known.read(things, thing, AS_DRAWN)


@pytest.mark.parametrize("of", ["lock", "load"])
def test_cables_and_devices_in_a_feed(of: str) -> None:
    def names(word: str, lock: str) -> list[str]:
        found = asked(of, word, lock)
        assert isinstance(found, list)
        return [each.name for each in found]

    assert sorted(names("feed-cables", "ML1")) == ["C1", "C2"]
    assert names("feed-cables", "ML2") == ["C3"]
    assert names("feed-cables", "ES1") == []
    assert sorted(names("feed-devices", "ML1")) == ["F1", "PS1", "SP1", "TB1", "XS1"]
    assert names("feed-devices", "ML2") == ["PS1"]


def test_wires_in_a_feed_are_those_that_carry_its_current() -> None:
    wires = asked("lock", "feed-wires", "ML1")
    assert isinstance(wires, list)
    assert sorted((w.a, w.b) for w in wires) == [
        ("F1:2", "XS1:COM"),
        ("ML1:-", "TB1:a1"),
        ("PS1:+", "F1:1"),
        ("SP1:b", "ML1:+"),
        ("TB1:b1", "PS1:-"),
        ("XS1:NO", "SP1:a"),
    ]


@pytest.mark.parametrize(
    ("end", "pole"),
    [
        ("PS1:+", "plus"),
        ("F1:2", "plus"),  # a fuse brings it along
        ("XS1:NO", None),  # a contact does not
        ("SP1:b", None),
        ("ML1:-", "minus"),
        ("XS1:power-", "minus"),
        ("TR1:X1", None),  # alternating current has no plus
    ],
)
def test_the_pole_that_wire_and_fuses_bring(end: str, pole: str | None) -> None:
    things = inventory()
    known = load_library([]).rulebook.vocabulary.find("wire", "pole")
    assert known is not None
    wires = [w for w in things.facts.branches("conductor") if end in (w.a, w.b)]
    assert wires
    assert {known.read(things, w, AS_DRAWN) for w in wires} == {pole}


def test_both_poles_on_one_net_are_none() -> None:
    library = load_library([])
    text = 'plan "S"\nsupply PS1 { output 24 Vdc, 1 A }\nwire PS1:+ to PS1:-\n'
    plan, _ = resolve(Source("s", text), library.kinds, lambda name, by: "nothing")
    (wire,) = Facts(plan).branches("conductor")
    assert Facts(plan).touch.poles_standing_at(wire.a) == {"plus", "minus"}
