"""Kirchhoff's laws and the balance of power, over networks made up at random.

What a part does with its current is worked out here from the plan's figures, not taken from the engine.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plancheck.circuit.engine import Engine
from plancheck.circuit.network import split_into_networks
from plancheck.circuit.states import NetworkStates
from plancheck.circuit.values import LEAST, MOST, RATED, Study
from plancheck.plan.graph import Branch, build_graph
from tests.generated import generated_plan
from tests.netlist import rated

AMPS, VOLTS = 2e-6, 2e-5
"""What may be left over: a source is taken to resist a micro-ohm, a node to leak some picoamperes."""


class Flow:
    """One operating point: the branches that carry current, with their amps from a to b and volts from b to a."""

    def __init__(self, states: NetworkStates, bits: int, study: Study) -> None:
        self.level = study.level
        core = states.frame.core(bits)
        listed = [(states.network.branches[i], i) for i in core.branches]
        self.branches = [branch for branch, _ in listed]
        self.amps = {branch.key: states.through(i, bits, study) for branch, i in listed}
        self.across = {branch.key: states.across(i, bits, study) for branch, i in listed}

    def volts(self, branch: Branch) -> float:
        """Volts that a part drops, by its own law from its own current."""
        amps = self.amps[branch.key]
        match branch.what:
            case "conductor":
                ohms = branch.number("ohms")
                assert ohms is not None
                return amps * ohms
            case "contact" | "link" | "protector":
                return 0.0
            case "one-way" if amps > AMPS:
                return branch.number("drop") or 0.0
            case "load" if branch.style != "electronic":
                volts, at_rated = rated(branch)
                return amps * volts / at_rated
            case "load" if abs(self.across[branch.key]) > rated(branch)[0] / 2 and abs(amps) > AMPS:
                volts, at_rated = rated(branch)
                return volts * at_rated / amps
            case "source" if AMPS < -amps < (branch.number("amps") or 0.0) * 0.999999:
                return branch.number(self.level) or branch.number("volts") or 0.0
        # Blocking, at its limit, or starved: its current alone does not tell.
        return self.across[branch.key]


def flows(rng: Random) -> Iterator[Flow]:
    """Every operating point of a plan made up at random."""
    graph = build_graph(generated_plan(rng))
    engine = Engine(graph, split_into_networks(graph.branches))
    engine.solve_as_drawn()
    for network in engine.networks:
        states = engine.states(network)
        assert not isinstance(states, str)
        for _, bits in states.groups:
            points = states.points.get(bits)
            assert points is None or points.settled
            for study in (RATED, LEAST, MOST):
                yield Flow(states, bits, study)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.randoms(use_true_random=False))
def test_currents_sum_to_zero_at_every_terminal(rng: Random) -> None:
    """What comes to a terminal leaves it."""
    for flow in flows(rng):
        left: dict[str, float] = defaultdict(float)
        for branch in flow.branches:
            left[branch.a] += flow.amps[branch.key]
            left[branch.b] -= flow.amps[branch.key]
        assert {t: amps for t, amps in left.items() if abs(amps) > AMPS} == {}


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.randoms(use_true_random=False))
def test_volts_sum_to_zero_around_every_loop(rng: Random) -> None:
    """Each branch that closes a loop over a tree of the others: a basis of all loops."""
    for flow in flows(rng):
        potential: dict[str, float] = {}
        for start in (branch.b for branch in flow.branches):
            if start not in potential:
                potential[start] = 0.0
                _spread(flow, start, potential)
        for branch in flow.branches:
            around = potential[branch.a] - potential[branch.b] - flow.volts(branch)
            assert around == pytest.approx(0.0, abs=VOLTS * len(flow.branches)), branch.key


def _spread(flow: Flow, start: str, potential: dict[str, float]) -> None:
    """Potentials of all that hangs on a terminal, along a tree."""
    reached = [start]
    while reached:
        here = reached.pop()
        for branch in flow.branches:
            if here not in (branch.a, branch.b):
                continue
            there, sign = (branch.a, 1.0) if here == branch.b else (branch.b, -1.0)
            if there not in potential:
                potential[there] = potential[here] + sign * flow.volts(branch)
                reached.append(there)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.randoms(use_true_random=False))
def test_power_given_is_power_taken(rng: Random) -> None:
    """Sources give what wires, diodes and loads turn into heat; and no load gives any."""
    for flow in flows(rng):
        watts = {b.key: flow.volts(b) * flow.amps[b.key] for b in flow.branches}
        given = -sum(watts[b.key] for b in flow.branches if b.what == "source")
        taken = sum(watts[b.key] for b in flow.branches if b.what != "source")
        assert taken == pytest.approx(given, rel=1e-5, abs=1e-4)
        assert all(watts[b.key] >= -1e-6 for b in flow.branches if b.what != "source")
