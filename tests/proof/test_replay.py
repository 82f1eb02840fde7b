"""Counterexamples replayed in the circuit simulator ngspice: the volts at the lock are what the engine says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from plancheck.circuit.conditions import Space, members
from plancheck.circuit.facts import Facts
from plancheck.circuit.variation import Failure, Variation
from plancheck.plan.graph import Branch
from tests.circuit.drawn import drawn as facts_of
from tests.circuit.drawn import part
from tests.netlist import netlist
from tests.proof.circuits import Drawing, drawing
from tests.proof.claims import single_failures
from tests.simulator import Part, Resistor, operating_points

COUNTEREXAMPLES = 50


@dataclass(frozen=True, slots=True)
class Counterexample:
    """A lock that is held though a button is pressed or the alarm is on, something having failed."""

    title: str
    kind: str
    lock: Branch
    parts: list[Part]
    volts: float


def counterexamples(seed: int) -> Iterator[Counterexample]:
    """At most one for each lock and kind of failure of a generated circuit."""
    drawn = drawing(seed)
    facts = facts_of(drawn.text)
    found: set[tuple[str, str]] = set()
    held = [lock for lock, powered in drawn.secured_when_on.items() if powered]
    for failure in single_failures(drawn):
        variation = Variation(failure=failure)
        for lock in held:
            if (lock, failure.kind) in found:
                continue
            shown = shown_by(drawn, facts, lock, variation, failure)
            if shown is not None:
                found.add((lock, failure.kind))
                yield shown


def shown_by(drawn: Drawing, facts: Facts, lock: str, variation: Variation, failure: Failure) -> Counterexample | None:
    """The lock still secured, by this failure alone, with the last signal of the plan on."""
    coil, asked = part(facts, f"{lock}.coil"), drawn.signals[-1]
    secured, before = facts.state(lock, "secured", variation), facts.state(lock, "secured")
    space = secured.space.joined(before.space).joined(Space((asked,)))
    secured, before = secured.over(space), before.over(space)
    violating = next(members(secured.yes & before.no & space.on(asked)), None)
    # A relay that may stand either way (chatter, too few volts) leaves a reader no one circuit to build.
    if violating is None or any(s.endswith(" pulls in") for s in space.signals):
        return None
    condition = space.condition(violating)
    parts = circuit_of(facts, condition, variation, failure)
    levels = facts.volts(coil, variation)
    volts = levels.at(index(levels.space, condition))
    return Counterexample(f"{drawn.seed}: {failure.what}, {condition}", failure.kind, coil, parts, volts)


def index(space: Space, condition: dict[str, bool]) -> int:
    return sum(1 << i for i, s in enumerate(space.signals) if condition.get(s))


def circuit_of(facts: Facts, condition: dict[str, bool], variation: Variation, failure: Failure) -> list[Part]:
    """The whole plan for the simulator, contacts as told in the condition, the failure put in by hand."""

    def on(branch: Branch) -> bool:
        if branch.key in failure.welded:
            return True
        truth = facts.live(branch, variation) if branch.what == "source" else facts.made(branch, variation)
        return bool(truth.yes >> index(truth.space, condition) & 1)

    parts = netlist([b for b in facts.graph.branches if b.key not in failure.removed], on)
    if failure.joined:
        parts.append(Resistor("short", *failure.joined, 0.0))
    return parts


def test_fifty_counterexamples() -> None:
    """Within 0.1 % or 1 mV; of several kinds of failure."""
    found: list[Counterexample] = []
    seed = 5000
    while len(found) < COUNTEREXAMPLES:
        found += list(counterexamples(seed))
        seed += 1
    found = found[:COUNTEREXAMPLES]
    for one, point in zip(found, operating_points([c.parts for c in found]), strict=True):
        expected = point.volts.get(one.lock.a, 0.0) - point.volts.get(one.lock.b, 0.0)
        assert one.volts == pytest.approx(expected, rel=1e-3, abs=1e-3), one.title
    assert len({c.kind for c in found}) == 3
