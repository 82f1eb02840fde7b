"""Every operating point of every sample, sound and faulty, against the circuit simulator."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from plancheck.circuit.conditions import Levels, Space
from plancheck.circuit.facts import Facts
from plancheck.library.files import IncludeReader, read_text
from plancheck.library.load import load_library
from plancheck.plan.graph import Branch
from plancheck.plan.resolve import resolve
from tests.circuit.agreement import close, compare, situations
from tests.circuit.playback import Play, play

PLANS = sorted((Path(__file__).resolve().parents[2] / "samples").glob("*.plan"))


@cache
def facts_of(path: Path) -> Facts:
    """The facts of a sample."""
    source, mistake = read_text(path, path.name)
    assert mistake is None
    plan, mistakes = resolve(source, load_library([]).kinds, IncludeReader(path, source, ()))
    assert mistakes == []
    return Facts(plan)


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_every_operating_point_agrees(path: Path) -> None:
    """Each network, in all its conditions, at both ends of its sources' bands, by all models of loads."""
    found = compare(situations(path.stem, facts_of(path).engine))
    assert found.cases > 0
    assert (found.wrong, found.second, found.unanswered) == ([], [], [])


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_the_whole_plan_agrees(path: Path) -> None:
    """At rest, and with each signal changed alone: all of the plan in one piece, contacts, coils and supplies."""
    facts = facts_of(path)
    rest = {key: signal.rests_on for key, signal in facts.signals.items()}
    conditions = [rest, *(rest | {key: not on} for key, on in rest.items())]
    plays = play(facts.graph, conditions)
    assert plays
    assert [line for one in plays for line in _differences(facts, one)] == []


def _differences(facts: Facts, one: Play) -> Iterator[str]:
    changed = {k for k, on in one.signals.items() if on != facts.signals[k].rests_on} or "nothing"
    restless = {load.key for load in facts.branches("load") if _chatters(facts, load, one)}
    if one.rests is bool(restless):
        yield f"{changed} changed: {restless or 'nothing'} chatters, by the simulator it rests: {one.rests}"
    for load in facts.branches("load"):
        if load.key in restless:
            continue
        volts = _at(facts.volts(load), one)
        volts = volts if load.data.get("polarised") else abs(volts)
        if not close(volts, one.volts(load)):
            yield f"{changed} changed: {load.key} {volts:.4f} V, by the simulator {one.volts(load):.4f} V"


def _chatters(facts: Facts, load: Branch, one: Play) -> bool:
    truth = facts.chattering(load)
    return bool(truth.yes >> _number(truth.space, one) & 1)


def _at(levels: Levels, one: Play) -> float:
    """The number in the condition played."""
    return levels.at(_number(levels.space, one))


def _number(space: Space, one: Play) -> int:
    """The condition played. Marks of what went before, or of a coil between, are off."""
    return sum(1 << i for i, key in enumerate(space.signals) if one.signals.get(key, False))
