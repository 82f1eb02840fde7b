"""Cutting a supply into circuits changes no answer: against the same plan left in one piece.

The plans are seeded and jumbled: contacts in series and in parallel, shared feeds and returns, loads that bridge
two feeds, returns that a contact opens, jumpers beside contacts.
"""

from __future__ import annotations

from random import Random

import pytest

from plancheck.circuit import circuits, network
from plancheck.circuit.conditions import Truth
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.variation import AS_DRAWN, Variation
from tests.circuit.drawn import drawn

SEEDS = range(120)
"""The slice that the suite runs; tests/soak runs more."""


def jumbled(seed: int) -> str:
    """Up to four locks and five buttons between the poles of one supply, joined over a few shared nodes."""
    random = Random(seed)
    nodes = [f"TB1:a{i}" for i in range(1, 7)]
    text = ["supply PS1 { output 24 Vdc, 2 A }", "terminal-block TB1 { positions 6 }"]
    plus, minus = "PS1:+", "PS1:-"
    for i in range(random.randint(2, 5)):
        contact = random.choice(("NC", "NO"))
        near, far = random.sample([plus, minus, *nodes], 2) if random.random() < 0.3 else (plus, random.choice(nodes))
        if random.random() < 0.4:
            near, far = random.sample(nodes, 2)
        text += [f"exit-button B{i} {{ holds 30 s }}", f"wire {near} to B{i}:COM", f"wire B{i}:{contact} to {far}"]
    for i in range(random.randint(1, 4)):
        near = random.choice(nodes)
        far = minus if random.random() < 0.7 else random.choice([n for n in [plus, *nodes] if n != near])
        ohms = random.choice(("", f" in C{i}/red"))
        if ohms:
            text.append(f"cable C{i} {{ conductors 2 of 18 AWG; length {random.randint(20, 300)} ft }}")
        text += [
            f"magnetic-lock L{i} {{ rated 24 Vdc, {random.randint(100, 400)} mA }}",
            f"wire {near} to L{i}:+{ohms}",
        ]
        text.append(f"wire L{i}:- to {far}")
    if random.random() < 0.4:
        one, other = random.sample([plus, minus, *nodes], 2)
        text.append(f"wire {one} to {other}")
    return "\n".join(text) + "\n"


def variations(facts: Facts) -> dict[str, Variation]:
    """The plan as drawn, and after each failure that removes or welds something."""
    kinds = ("conductor open", "contact welded", "contact stuck open")
    failed = {v.failure.what: v for v in facts.failures.all if v.failure and v.failure.kind in kinds}
    return {"as drawn": AS_DRAWN, **failed}


def secured(facts: Facts, lock: str, variation: Variation) -> Truth | None:
    try:
        return facts.state(lock, "secured", variation)
    except NotAssessed:
        return None


def told_apart(cut: Truth, whole: Truth, shorted: Truth) -> bool:
    """Whether two truths differ in a condition in which the supply is not shorted.

    A short in one circuit takes the volts from all: that is told of the circuit alone (dead-short), not of the rest.
    """
    space = cut.space.joined(whole.space).joined(shorted.space)
    a, b, sound = cut.over(space), whole.over(space), shorted.over(space).no
    return ((a.yes ^ b.yes) | (a.no ^ b.no)) & sound != 0


def compare(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Fail unless every lock of a jumbled plan stands alike, cut and in one piece, in every condition and failure."""
    text = jumbled(seed)
    cut = drawn(text)
    ways = variations(cut)
    answers = {
        (lock.name, name): secured(cut, lock.name, variation)
        for name, variation in ways.items()
        for lock in cut.plan.with_base("lock")
    }
    monkeypatch.setattr(network, "branch_circuits", lambda branches, plus, minus: [list(branches)])
    whole = drawn(text)
    for (lock, name), answer in answers.items():
        other = secured(whole, lock, ways[name])
        if answer is None or other is None:
            continue
        shorted = Truth.constant(False)
        for circuit in whole.circuits():
            shorted = shorted | whole.shorted(circuit) | whole.shorted(circuit, ways[name])
        assert not told_apart(answer, other, shorted), f"{lock}, {name}:\n{text}"


@pytest.mark.parametrize("seed", SEEDS)
def test_cut_and_uncut_agree(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    compare(seed, monkeypatch)


def test_some_of_the_plans_are_cut() -> None:
    plans = [drawn(jumbled(seed)) for seed in range(20)]
    pieces = [
        circuits.branch_circuits([b for b in plan.graph.branches if b.what != "source"], "PS1:+", "PS1:-")
        for plan in plans
    ]
    assert sum(len(piece) > 1 for piece in pieces) >= 8
