"""Every kind of single failure of generated doors: it is listed, and does what brute force finds that it does."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from functools import cache
from random import Random

import pytest

from plancheck.circuit.facts import Facts
from plancheck.circuit.variation import Variation
from tests.circuit.drawn import drawn as facts_of
from tests.proof.courses import Courses, Dispute, disputes
from tests.proof.dense import NoAnswer
from tests.proof.doors import Doors, doors
from tests.proof.mishaps import EARTH, KINDS, POLE, SHORTED, TOUCHING, Mishap, Mishaps, things_of_parts

LISTED, JUDGED, EACH = 60, 45, 3
"""Doors of which the lists are compared, of which states are, and failures of each kind of those."""

SHORTS = (TOUCHING, POLE, EARTH, SHORTED)

UNDECIDED = 0.01
"""Share of the failures that brute force may leave undecided: no operating point."""

VAGUE = 0.1
"""Share of the shorts of which the engine may leave open what brute force settles: a supply that is shorted elsewhere
is known to hold some volts, not how many."""

AGREED = dict.fromkeys((TOUCHING, POLE, EARTH, SHORTED), 0.85)
"""Share of each kind of short in which everything has to be as brute force finds it."""


def own(mishap: Mishap) -> tuple[str, frozenset[str], str]:
    """What tells a failure from others."""
    return mishap.kind, mishap.keys, mishap.pole


@cache
def listed(facts: Facts) -> dict[tuple[str, frozenset[str], str], Variation]:
    """The failures that the engine lists, in the same terms."""
    found = {}
    for variation in facts.failures.all:
        failure = variation.failure
        assert failure is not None
        pole = failure.joined[1] if failure.joined and failure.kind in (POLE, EARTH) else ""
        found[failure.kind, frozenset(failure.parts), pole] = variation
    assert len(found) == len(facts.failures.all)
    return found


@pytest.mark.parametrize("first", range(0, LISTED, 20))
def test_each_is_listed_once_and_nothing_else(first: int) -> None:
    """A conductor may be listed as shorted to the pole of one supply more than it has to be; that is rare."""
    asked: Counter[str] = Counter()
    more: Counter[str] = Counter()
    for seed in range(first, first + 20):
        made = doors(seed)
        mine = {own(m) for m in Mishaps(things_of_parts(made.parts), made.earthed).all()}
        theirs = set(listed(facts_of(made.drawn.text)))
        assert mine - theirs == set(), (seed, made.drawn.text)
        asked.update(kind for kind, _, _ in mine)
        more.update(kind for kind, _, _ in theirs - mine)
    assert set(asked) == set(KINDS)
    assert set(more) <= {POLE}
    assert more.total() <= 0.001 * asked.total()


def test_a_conductor_that_leads_nowhere_can_be_shorted_too() -> None:
    """Worked out by hand: a relay that has to pull in to let go; a spare core hangs on its coil's plus. Shorted to
    the minus it keeps the volts from the coil, behind a long thin run that the supply can carry."""
    facts = facts_of(
        "ambient 20 degC to 20 degC\nsupply PS1 { output 24 Vdc, 5 A }\nrelay K1 { coil 24 Vdc, 20 mA; poles 1 }\n"
        "exit-button EB1 { holds 30 s }\nmagnetic-lock L1 { rated 24 Vdc, 240 mA }\n"
        "cable C1 { conductors 2 of 0.5 mm2; length 200 m; solid }\n"
        "wire PS1:+ to EB1:COM\nwire EB1:NO to K1:A1 in C1/red\nwire K1:A2 to PS1:-\n"
        "wire K1:A1 to EB1:NO2\n"
        "wire PS1:+ to K1:COM\nwire K1:NC to L1:+\nwire L1:- to PS1:-\n"
    )
    spare = ("shorted to the other pole", frozenset(("wire K1:A1 to EB1:NO2",)), "PS1:-")
    held, drawn = (facts.state("L1", "secured", v) for v in (listed(facts)[spare], Variation()))
    on = held.space.on
    assert held.yes == on("PS1.mains")
    drawn = drawn.over(held.space)
    assert drawn.yes == on("PS1.mains") & ~on("EB1.pressed")


@pytest.mark.parametrize("first", range(0, JUDGED, 15))
def test_states_of_every_lock_relay_and_sensor(first: int) -> None:
    """In every condition, as drawn and under failures of every kind."""
    tally: Counter[str] = Counter()
    for seed in range(first, first + 15):
        made = doors(seed)
        courses = Courses(made)
        facts = facts_of(made.drawn.text)
        assert [d for d in disputes(made, facts, courses) if not d.vague] == []
        for mishap in sampled(made):
            said = judged(made, facts, mishap)
            tally["judged"] += 1
            tally["short"] += mishap.kind in SHORTS
            tally[said] += 1
            tally[f"{mishap.kind}: {said}"] += 1
            tally[mishap.kind] += 1
    assert tally["undecided"] <= UNDECIDED * tally["judged"]
    assert tally["vague"] <= VAGUE * tally["short"]
    assert [kind for kind, share in AGREED.items() if tally[f"{kind}: agreed"] < share * tally[kind]] == []


def sampled(made: Doors) -> Iterator[Mishap]:
    """Some failures of each kind."""
    by_kind: dict[str, list[Mishap]] = defaultdict(list)
    for mishap in Mishaps(things_of_parts(made.parts), made.earthed).all():
        by_kind[mishap.kind].append(mishap)
    rng = Random(made.drawn.seed)
    for found in by_kind.values():
        yield from rng.sample(found, min(EACH, len(found)))


def judged(made: Doors, facts: Facts, mishap: Mishap) -> str:
    """agreed, vague or undecided. A short may be at either end of a conductor: one has to agree."""
    variation, first = listed(facts)[own(mishap)], list[Dispute]()
    for broken in mishap.ways:
        try:
            found = disputes(made, facts, Courses(made, broken), variation)
        except NoAnswer:
            return "undecided"
        if all(d.vague for d in found):
            return "vague" if found else "agreed"
        first = first or [d for d in found if not d.vague]
    raise AssertionError((first[0], made.drawn.text))
