"""The engine's truths beside the outcomes found by brute force."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from plancheck.circuit.conditions import Truth
from plancheck.circuit.facts import Facts
from plancheck.circuit.variation import AS_DRAWN, Failure, Variation
from tests.circuit.drawn import part
from tests.proof.circuits import Bits, Drawing
from tests.proof.outcomes import OFF, ON, UNSURE, Failed, Outcomes

SAYINGS = (ON, OFF, UNSURE)


@dataclass(frozen=True, slots=True)
class Difference:
    """`proved`: the engine is certain of what is not so; else it is only less certain than need be."""

    seed: int
    failure: str
    what: str
    condition: dict[str, bool]
    engine: str
    brute: str
    proved: bool


def failed(variation: Variation) -> Failed:
    """A failure in the terms of brute force, from the parts it names alone."""
    failure = variation.failure
    if failure is None:
        return Failed()
    parts = frozenset(failure.parts)
    if failure.joined is not None:
        return Failed(joined=failure.joined)
    return Failed(welded=parts) if failure.kind == "contact welded" else Failed(removed=parts)


def single_failures(drawn: Drawing) -> list[Failure]:
    """Each conductor open, each contact stuck open and welded, from the tests' own list of parts."""
    found = []
    for p in drawn.parts:
        keys = frozenset((p.key,))
        if p.what == "wire":
            found.append(Failure("conductor open", f"{p.key} open", (p.key,), removed=keys))
        elif p.what == "contact":
            found.append(Failure("contact stuck open", f"{p.key} stuck open", (p.key,), removed=keys))
            found.append(Failure("contact welded", f"{p.key} welded", (p.key,), welded=keys))
    return found


def differences(drawn: Drawing, facts: Facts, outcomes: Outcomes, variation: Variation = AS_DRAWN) -> list[Difference]:
    """Everything that engine and brute force say differently of the locks and relays of a circuit.

    Where relays chatter, only what the engine is certain of counts: chatter is told for itself. Where one between its
    limits may pull in for a moment, again and again, neither counts: the engine takes it to settle.
    """
    found: list[Difference] = []
    for name in [*drawn.secured_when_on, *drawn.relays]:
        straight = drawn.secured_when_on.get(name, True)
        coil = part(facts, f"{name}.coil")
        truth = facts.energised(coil, variation) if name in drawn.relays else facts.state(name, "secured", variation)
        said, expected = sayings(truth, drawn.signals), possible(outcomes, coil.key, straight)
        # Two relays with a past of their own may be told together in ways that never meet: less certain than need be.
        loose = outcomes.unsure or len(set(truth.space.signals) - set(drawn.signals)) > 1
        for c in np.flatnonzero((said != expected).any(axis=1)):
            if outcomes.restless[c] and outcomes.unsure:
                continue
            certain = said[c].sum() == 1 and not said[c][2]
            if certain or not (loose or outcomes.restless[c]):
                condition = {s: bool(c >> i & 1) for i, s in enumerate(drawn.signals)}
                title = variation.failure.what if variation.failure else "as drawn"
                words = _worded(said[c]), _worded(expected[c])
                found.append(Difference(drawn.seed, title, name, condition, *words, bool(certain)))
    return found


def _worded(row: Bits) -> str:
    return "/".join(word for word, there in zip(("on", "off", "unsure"), row, strict=True) if there)


def sayings(truth: Truth, signals: list[str]) -> Bits:
    """(conditions, on off unsure): what a truth says, over all that its signals beyond the plan's may be."""
    count = 1 << len(signals)
    numbers = np.arange(count)
    place = {s: i for i, s in enumerate(signals)}
    space = truth.space.signals
    base = sum(
        ((numbers >> place[s] & 1) << i for i, s in enumerate(space) if s in place), np.zeros(count, dtype=np.int64)
    )
    extra = [i for i, s in enumerate(space) if s not in place]
    yes, no = (_bits(mask, 1 << len(space)) for mask in (truth.yes, truth.no))
    said = np.zeros((count, 3), dtype=bool)
    for chosen in product((0, 1), repeat=len(extra)):
        index = base + sum(v << i for v, i in zip(chosen, extra, strict=True))
        said |= np.stack([yes[index], no[index], ~yes[index] & ~no[index]], axis=1)
    return said


def _bits(mask: int, count: int) -> Bits:
    packed = np.frombuffer(mask.to_bytes((count + 7) // 8, "little"), dtype=np.uint8)
    return np.unpackbits(packed, bitorder="little")[:count].astype(bool)


def possible(outcomes: Outcomes, coil: str, straight: bool) -> Bits:
    """(conditions, on off unsure): what can happen. Not `straight`: the lock is secured while its coil is off."""
    found = np.zeros((outcomes.conditions, 3), dtype=bool)
    if coil in outcomes.coils:
        verdicts = outcomes.verdicts[:, :, outcomes.coils.index(coil)]
        for c, states in enumerate(outcomes.reached):
            for s in states:
                found[c, SAYINGS.index(verdicts[s, c])] = True
    else:
        found[:, 1] = True
    return found if straight else found[:, [1, 0, 2]]
