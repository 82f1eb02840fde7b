"""Parts of a plan: what belongs together by its names, and the same parts however the text came to be as it is."""

from __future__ import annotations

import random

import pytest

from plancheck.library.load import load_library
from plancheck.plan.partition import Partition
from plancheck.source import Source
from plancheck.syntax.reread import reread
from tests.bench.doors import building
from tests.syntax.test_reread import TEXTS, changed

KINDS = load_library(()).kinds


def parts(text: str) -> list[list[str]]:
    partition = Partition(reread(Source("a.plan", text)).pieces, KINDS)
    return [[piece.text.split("{")[0].strip() for piece in part] for part in partition.all_parts()]


def test_wires_doors_and_cables_join_what_they_name() -> None:
    text = """plan "Two huts"
supply PS1 { output 12 Vdc, 1 A }
supply PS2 { output 12 Vdc, 1 A }
cable C1 { conductors 2 of 18 AWG; length 10 ft }
electric-strike ES1 { rated 12 Vdc, 250 mA }
electric-strike ES2 { rated 12 Vdc, 250 mA }
wire PS1:+ to ES1:+ in C1/red
door D2 { interior; egress free by lever; locks ES2 }
wire PS2:+ to ES2:+
"""
    assert parts(text) == [
        ['plan "Two huts"'],
        ['plan "Two huts"', "supply PS1", "cable C1", "electric-strike ES1", "wire PS1:+ to ES1:+ in C1/red"],
        ['plan "Two huts"', "supply PS2", "electric-strike ES2", "door D2", "wire PS2:+ to ES2:+"],
    ]


def test_what_defines_things_stands_in_each_part_that_uses_it_and_unused_with_the_headers() -> None:
    text = """plan "Two huts"
device "our strike" is a electric-strike { rated 12 Vdc, 250 mA }
device "our lamp" is a lamp { rated 12 Vdc, 250 mA }
typical HUT (feed) { "our strike" ES { }
wire feed to ES:+ }
supply PS1 { output 12 Vdc, 1 A }
supply PS2 { output 12 Vdc, 1 A }
place HUT as H1 { feed PS1:+ }
place HUT as H2 to H3 { feed PS2:+ }
wire H3/ES:- to PS2:-
variance egress/button-location on plan { reason "none" }
"""
    drawn = ['plan "Two huts"', 'device "our strike" is a electric-strike', "typical HUT (feed)"]
    assert parts(text) == [
        ['plan "Two huts"', 'device "our lamp" is a lamp', "variance egress/button-location on plan"],
        [*drawn, "supply PS1", "place HUT as H1"],
        [*drawn, "supply PS2", "place HUT as H2 to H3", "wire H3/ES:- to PS2:-"],
    ]


def test_half_a_line_belongs_with_what_it_names_and_not_with_all_that_use_its_words() -> None:
    text = building(8)
    before = len(parts(text))
    assert len(parts(text + "\nelectric-strike D00001-XY fails secure rated")) == before + 1
    assert len(parts(text + "\nwire D00004-ES:+ to")) == before


@pytest.mark.parametrize("name", TEXTS)
def test_a_partition_kept_while_the_text_changes_is_that_of_the_text(name: str) -> None:
    draw = random.Random(name)
    text = TEXTS[name]
    read = reread(Source(name, text))
    partition = Partition(read.pieces, KINDS)
    for step in range(120):
        text = TEXTS[name] if step % 30 == 29 else changed(text, draw)
        read = reread(Source(name, text), read)
        partition = partition.changed(read.pieces)
        fresh = Partition(read.pieces, KINDS)
        assert list(partition.all_parts()) == list(fresh.all_parts())
        assert partition.declared() == fresh.declared()
