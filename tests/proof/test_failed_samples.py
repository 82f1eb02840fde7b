"""The samples, sound and faulty, something having failed: every load's volts against the circuit simulator ngspice.

Each failure is played in the condition in which, by the engine, it changes the volts of some load most.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random

import pytest

from plancheck.circuit.conditions import members
from plancheck.circuit.facts import Facts
from plancheck.circuit.variation import Variation
from plancheck.plan.graph import Branch
from tests.circuit.agreement import close
from tests.circuit.playback import Play
from tests.circuit.test_samples import PLANS, facts_of
from tests.proof.altered import altered, played, strained
from tests.proof.mishaps import EARTH, TOUCHING, Broken, Mishap, Mishaps, things_of_plan
from tests.proof.test_single_failures import SHORTS, listed, own
from tests.simulator import pieces

EACH = 5
"""Failures of each kind of a sample; the soak has all of them."""

RESTLESS = 0.04
"""Share that may not be decided: a short that takes away the power of the very sensor that makes it never rests."""

ELSEWHERE = 0.2
"""Share in which the volts of other circuits may be missed or left open: those on a supply that a short takes down."""

SHARED = 0.01
"""Share in which volts may be a little off where a short feeds circuits past a contact that they share: what the others
draw by way of the failed circuit is not counted in that circuit."""

NOT_AGREED = ("elsewhere", "shared", "differs")


def mishaps_of(facts: Facts) -> list[Mishap]:
    """Every single failure of a plan."""
    earthed = {b.b for b in facts.branches("source") if b.data.get("earthed")}
    return Mishaps(things_of_plan(facts.graph.branches), earthed).all()


def sampled(facts: Facts) -> list[Mishap]:
    """Some of each kind."""
    by_kind: dict[str, list[Mishap]] = defaultdict(list)
    for mishap in mishaps_of(facts):
        by_kind[mishap.kind].append(mishap)
    rng = Random(len(facts.graph.branches))
    return [m for found in by_kind.values() for m in rng.sample(found, min(EACH, len(found)))]


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_each_failure_is_listed(path: Path) -> None:
    """All that the plan's parts make, and nothing else."""
    facts = facts_of(path)
    assert set(listed(facts)) == {own(m) for m in mishaps_of(facts)}


def test_volts_of_every_load() -> None:
    """Within 0.1 % or 1 mV, unless a supply is not what it is: then circuits other than the failed one may differ."""
    tally: Counter[str] = Counter()
    for path in PLANS:
        tally += compared(facts_of(path), sampled(facts_of(path)), path.stem)
    assert tally.total() >= 300
    assert tally["restless"] <= RESTLESS * tally.total()
    assert tally["elsewhere"] <= ELSEWHERE * tally.total()
    assert tally["shared"] <= SHARED * tally.total()


def compared(facts: Facts, mishaps: Sequence[Mishap], title: str) -> Counter[str]:
    """How many failures agreed, never rest, or are felt elsewhere or by what shares a contact.

    A short may be at either end of a conductor: one has to agree.
    """
    said: dict[Mishap, str] = {}
    found: dict[Mishap, list[str]] = {}
    left = [(m, broken) for m in mishaps for broken in m.ways[:1]]
    others = {m: m.ways[1:] for m in mishaps}
    while left:
        plays = [play_of(facts, m, broken) for m, broken in left]
        for (mishap, _), play in zip(left, played(plays), strict=True):
            if play is None:
                said[mishap] = "restless"
                continue
            wrong = list(differing(facts, mishap, play))
            found.setdefault(mishap, wrong)
            left_open = all(" nan V" in each for each in wrong)
            said[mishap] = "agreed" if not wrong else "elsewhere" if left_open else _felt(mishap, play)
        left = [(m, others[m].pop(0)) for m, _ in left if said[m] in NOT_AGREED and others[m]]
    assert [(title, m, found[m]) for m in mishaps if said[m] == "differs"] == []
    return Counter(said.values())


def _felt(mishap: Mishap, play: Play) -> str:
    if mishap.kind not in SHORTS:
        return "differs"
    return "elsewhere" if strained(play) else "shared" if mishap.kind in (TOUCHING, EARTH) else "differs"


def play_of(facts: Facts, mishap: Mishap, broken: Broken) -> Play:
    rest = {key: signal.rests_on for key, signal in facts.signals.items()}
    changed = worst_condition(facts, listed(facts)[own(mishap)])
    return Play(altered(facts.graph, broken), {key: changed.get(key, on) for key, on in rest.items()})


def worst_condition(facts: Facts, variation: Variation) -> dict[str, bool]:
    """Where the volts of a load change most; empty where none do."""
    most, found = 1e-3, dict[str, bool]()
    for load in facts.branches("load"):
        after, before = facts.volts(load, variation), facts.volts(load)
        space = after.space.joined(before.space)
        for one, volts in after.parts:
            for other, drawn in before.parts:
                both = after.space.carry(one, space) & before.space.carry(other, space)
                if abs(volts - drawn) > most and both:
                    most, found = abs(volts - drawn), space.condition(next(members(both)))
    return found


def differing(facts: Facts, mishap: Mishap, play: Play) -> Iterator[str]:
    """Loads at which the engine has other volts. Marks of what went before, or of a coil between, are off."""
    for load in facts.branches("load"):
        if load.key in mishap.removed:
            continue
        levels = facts.volts(load, listed(facts)[own(mishap)])
        volts = levels.at(sum(1 << i for i, key in enumerate(levels.space.signals) if play.signals.get(key, False)))
        volts = volts if load.data.get("polarised") else abs(volts)
        if not close(volts, play.volts(load)) and not (volts == 0.0 and hangs(load, play)):
            yield f"{load.key} {volts:.4f} V, by the simulator {play.volts(load):.4f} V in {dict(play.signals)}"


def hangs(load: Branch, play: Play) -> bool:
    """Whether nothing but the load itself joins its two ends: no current flows, and a load without has no volts."""
    piece = pieces(part for part in play.parts if part.name != load.key)
    return piece.get(load.a, load.a) != piece.get(load.b, load.b)
