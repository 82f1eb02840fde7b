"""Failures that lock people in, replayed on the circuit simulator ngspice in every way of leaving that they defeat."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from plancheck.circuit.conditions import Truth
from plancheck.circuit.facts import Facts
from tests.circuit.agreement import close, energised
from tests.circuit.drawn import drawn as facts_of
from tests.circuit.drawn import part
from tests.circuit.playback import Play
from tests.proof.altered import altered, played, strained
from tests.proof.doors import Doors, doors
from tests.proof.mishaps import KINDS, Broken, Mishap, Mishaps, things_of_parts
from tests.proof.test_single_failures import SHORTS, listed, own

COUNTEREXAMPLES = 50
OF_A_KIND = 9
FIRST = 3000

ELSEWHERE = 0.15
"""Share that may not be as the engine says: circuits on a supply that a short elsewhere takes down."""

LOCKING = {*KINDS} - {"suppressor open"}
"""Kinds that can lock people in. A suppressor that is open lets a contact burn, which is another failure."""


@dataclass(frozen=True, slots=True, eq=False)
class Counterexample:
    """A lock held in every condition in which, as drawn, somebody leaving releases it."""

    made: Doors
    facts: Facts
    lock: str
    mishap: Mishap
    conditions: tuple[dict[str, bool], ...]

    @property
    def title(self) -> str:
        """What to look at when it disagrees."""
        return f"{self.made.drawn.seed}: {self.lock}, {self.mishap.kind} of {sorted(self.mishap.keys)}"


def leaving(made: Doors) -> list[dict[str, bool]]:
    """Each way out used alone, and all at once; power on, the rest as it rests."""
    rest = {s: s.endswith((".mains", "panel")) for s in made.drawn.signals}
    return [*(rest | {way: True} for way in made.ways_out), rest | dict.fromkeys(made.ways_out, True)]


def told(truth: Truth, condition: dict[str, bool]) -> bool | None:
    """What a truth says in a condition; None where it depends on what went before, or is not certain."""
    if set(truth.space.signals) - set(condition):
        return None
    index = sum(1 << i for i, s in enumerate(truth.space.signals) if condition[s])
    return True if truth.yes >> index & 1 else False if truth.no >> index & 1 else None


def counterexamples(made: Doors) -> Iterator[Counterexample]:
    """At most one for each lock and kind of failure of a door."""
    facts = facts_of(made.drawn.text)
    mishaps = Mishaps(things_of_parts(made.parts), made.earthed).all()
    for lock in made.drawn.secured_when_on:
        drawn = facts.state(lock, "secured")
        released = tuple(c for c in leaving(made) if told(drawn, c) is False)
        found: set[str] = set()
        for mishap in mishaps if released else ():
            if mishap.kind in found:
                continue
            secured = facts.state(lock, "secured", listed(facts)[own(mishap)])
            if all(told(secured, c) is True for c in released):
                found.add(mishap.kind)
                yield Counterexample(made, facts, lock, mishap, released)


@cache
def fifty() -> list[Counterexample]:
    """So many, a few of each kind."""
    found: dict[str, list[Counterexample]] = defaultdict(list)
    seed = FIRST
    while sum(map(len, found.values())) < COUNTEREXAMPLES or set(found) != LOCKING:
        for one in counterexamples(doors(seed)):
            if len(found[one.mishap.kind]) < OF_A_KIND:
                found[one.mishap.kind].append(one)
        seed += 1
    return [one for kind in found.values() for one in kind]


def test_what_locks_people_in() -> None:
    """The lock is held in the simulator too, in every one of the conditions, at the same volts within 0.1 % or 1 mV.

    A short may be at either end of a conductor: one has to agree. Where one takes a supply down, the supply's other
    circuits may not be as the engine says.
    """
    strange: list[str] = []
    wrong: list[str] = []
    for one in fifty():
        plays = [(broken, played(plays_of(one, broken))) for broken in one.mishap.ways]
        if any(all(agrees(one, p) for p in found) for _, found in plays):
            continue
        strange.append(one.title)
        settled = [p for p in plays[0][1] if p is not None and not agrees(one, p)]
        wrong += [one.title] * (one.mishap.kind not in SHORTS or not all(map(strained, settled)))
    assert wrong == []
    assert len(strange) <= ELSEWHERE * len(fifty()), strange


def plays_of(one: Counterexample, broken: Broken) -> list[Play]:
    """Every condition, something having failed; what no lock or relay asks about as it rests."""
    graph = altered(one.facts.graph, broken)
    rest = {key: signal.rests_on for key, signal in one.facts.signals.items()}
    return [Play(graph, rest | condition) for condition in one.conditions]


def agrees(one: Counterexample, play: Play | None) -> bool:
    """Whether a lock is held when played, at the engine's volts; a coil that is open has none.

    Of a supply that a short takes down the engine may tell that it holds no lock, and not at which volts.
    """
    if play is None:
        return False
    coil = part(one.facts, f"{one.lock}.coil")
    volts = 0.0 if coil.key in one.mishap.removed else play.volts(coil)
    levels = one.facts.volts(coil, listed(one.facts)[own(one.mishap)])
    told = levels.at(sum(1 << i for i, s in enumerate(levels.space.signals) if play.signals[s]))
    held = energised(coil, volts, volts) is one.made.drawn.secured_when_on[one.lock]
    return held and (close(abs(told), volts) or (math.isnan(told) and strained(play)))
