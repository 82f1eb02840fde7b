"""Replays of findings against the circuit simulator ngspice: every reading along every path, failures included.

Plans: the samples that were drawn with faults, and the `fails` examples of every shipped rule.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache

import pytest

from plancheck.circuit.conditions import Space
from plancheck.circuit.facts import Facts
from plancheck.circuit.variation import AS_DRAWN, Failure, Variation
from plancheck.finding import Finding
from plancheck.library.files import IncludeReader
from plancheck.library.load import load_library
from plancheck.plan.graph import Branch
from plancheck.plan.resolve import resolve
from plancheck.rulebook.judge import judge
from plancheck.source import Source
from tests.netlist import netlist
from tests.samples.test_samples import PLANS
from tests.simulator import Part, Resistor, operating_points

Case = tuple[str, Finding, list[Part]]


@cache
def cases() -> list[Case]:
    return [case for facts in plans() for case in _of(facts)]


def plans() -> Iterator[Facts]:
    library = load_library([])
    for path in PLANS:
        if path.stem.endswith("-faulty"):
            source = Source(path.name, path.read_text(encoding="utf-8"))
            yield Facts(resolve(source, library.kinds, IncludeReader(path, source, library.folders))[0])
    for rule in library.rulebook.rules:
        for example in rule.examples:
            if not example.passes:
                yield Facts(resolve(example.source, library.kinds, lambda name, source: "nothing to use here")[0])


def _of(facts: Facts) -> Iterator[Case]:
    failures = {v.failure.what: v.failure for v in facts.failures.all if v.failure is not None}
    for finding in judge(load_library([]).rulebook, facts, date(2026, 11, 25)).findings:
        told = finding.condition
        # A part without power, or one between pull-in and drop-out, leaves a reader no one circuit to build.
        if finding.replay is None or told is None or finding.required.count("power to"):
            continue
        if all(_known(facts, key) for key in told):
            failure = failures.get(finding.failure)
            yield facts.plan.title, finding, _circuit(facts, told, failure)


def _known(facts: Facts, key: str) -> bool:
    return key in facts.signals


def _circuit(facts: Facts, told: Mapping[str, bool], failure: Failure | None) -> list[Part]:

    condition = {s.key: s.rests_on for s in facts.signals.values()} | dict(told)
    variation = Variation(failure=failure) if failure else AS_DRAWN

    def on(branch: Branch) -> bool:
        truth = facts.live(branch, variation) if branch.what == "source" else facts.made(branch, variation)
        return bool(truth.yes >> _index(truth.space, condition) & 1)

    removed = failure.removed if failure else frozenset()
    dead = failure.dead if failure else ""
    parts = netlist(
        [
            b
            for b in facts.graph.branches
            if b.key not in removed and (b.what != "load" or b.device != dead or not dead)
        ],
        on,
    )
    if failure is not None and failure.joined:
        parts.append(Resistor("short", *failure.joined, 0.0))
    return parts


def _index(space: Space, condition: Mapping[str, bool]) -> int:
    return sum(1 << i for i, s in enumerate(space.signals) if condition.get(s))


def test_every_reading_of_every_replay() -> None:
    """Within 0.1 % or 1 mV."""
    found = cases()
    assert len(found) >= 50
    assert sum(bool(finding.failure) for _, finding, _ in found) >= 6
    for (title, finding, _), point in zip(found, operating_points([parts for *_, parts in found]), strict=True):
        assert finding.replay is not None
        last = finding.replay.readings[-1][0]
        for terminal, volts in finding.replay.readings:
            expected = point.volts.get(terminal, 0.0) - point.volts.get(last, 0.0)
            where = f"{title}: {finding.rule} {finding.subject} {finding.failure} {finding.condition} at {terminal}"
            assert volts == pytest.approx(expected, rel=1e-3, abs=1e-3), where
