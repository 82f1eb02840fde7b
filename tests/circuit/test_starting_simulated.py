"""The sums of a start against the circuit simulator: latches as steady currents of their inrush, all at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from plancheck.circuit.facts import Facts
from plancheck.circuit.starting import greatest_of_coils, greatest_start
from plancheck.plan.graph import Branch
from tests.circuit.drawn import drawn
from tests.netlist import netlist
from tests.simulator import Part, Resistor, Steady, operating_points

PLAN = """
ambient 20 degC to 20 degC
supply PS1 { output 24 Vdc, 60 A }
fuse F1 { rated 20 A }
push-button SB1
push-button SB2
electrified-latch EL1 { rated 24 Vdc, 500 mA; inrush 16 A for 300 ms }
electrified-latch EL2 { rated 24 Vdc, 400 mA; inrush 11 A for 300 ms }
electric-strike ES1 { rated 24 Vdc, 225 mA; fails secure }
cable C1 { conductors 2 of 12 AWG; length 30 ft }
cable C2 { conductors 2 of 14 AWG; length 20 ft }
wire PS1:+ to F1:1
wire F1:2 to SB1:COM in C1/red
wire SB1:COM to SB2:COM
wire SB1:NO to EL1:+ to ES1:+
wire SB2:NO to EL2:+ in C2/red
wire EL1:- to ES1:-
wire EL2:- to EL1:- in C2/black
wire EL1:- to PS1:- in C1/black
"""
INRUSH = {"EL1.coil": 16.0, "EL2.coil": 11.0}


def _pressed(branch: Branch) -> bool:
    """Both buttons pressed: NO made, NC open."""
    return branch.what == "source" or branch.b.endswith(":NO")


METER = 1e-4
"""Ohms put for each contact, fuse and jumper, so that the simulator tells what it carries."""


def _simulated(facts: Facts, inrush: Mapping[str, float]) -> Mapping[str, float]:
    """Amperes of every part with both buttons pressed, coils at steady current: the given one, or their rated."""
    parts = netlist(facts.graph.branches, _pressed, model="amps")
    (point,) = operating_points([[_part(each, inrush) for each in parts]])
    return point.amps


def _part(part: Part, inrush: Mapping[str, float]) -> Part:
    if isinstance(part, Steady):
        return replace(part, amps=inrush.get(part.name, part.amps))
    return replace(part, ohms=part.ohms or METER) if isinstance(part, Resistor) else part


@pytest.mark.parametrize("what", ["source", "protector", "contact"])
def test_the_start_of_two_latches_over_long_runs(what: str) -> None:
    # Simulated 27.225 A at the source: 16 A + 11 A + 225 mA of the strike.
    facts = drawn(PLAN)
    amps = _simulated(facts, INRUSH)
    asked = [b for b in facts.branches(what) if b.key in amps and abs(amps[b.key]) > 1e-3]
    assert asked
    for branch in asked:
        assert greatest_start(facts, branch).amps == pytest.approx(abs(amps[branch.key]), rel=1e-3), branch.key


def test_the_coils_of_a_contact() -> None:
    facts = drawn(PLAN)
    contact = next(b for b in facts.branches("contact", "SB1") if b.b == "SB1:NO")
    assert greatest_of_coils(facts, contact).amps == pytest.approx(abs(_simulated(facts, {})[contact.key]), rel=1e-3)
