"""Plans too large or too wrong to work out: an answer or a plain reason. The limit of time is far off: this is no
test of speed, only of coming to an end."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from time import monotonic

import pytest

from plancheck.circuit.conditions import Truth
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.variation import AS_DRAWN, Variation
from tests.circuit.drawn import drawn

SOON = 60.0
SUPPLY = 'supply PS1 "24 V" { output 24 Vdc, 2 A }\n'
LOCK = "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"


def answer(facts: Facts, variation: Variation = AS_DRAWN) -> Truth | str:
    """What is said of the lock."""
    try:
        return facts.state("ML1", "secured", variation)
    except NotAssessed as reason:
        return str(reason)


def soon(work: Callable[[], None]) -> None:
    started = monotonic()
    work()
    assert monotonic() - started < SOON


def buttons(count: int, *, series: bool) -> str:
    """A lock behind that many buttons in a row, or side by side."""
    lines = [SUPPLY, LOCK]
    last = "PS1:+"
    for i in range(count):
        lines.append(f"exit-button EB{i} {{ holds 30 s }}\n")
        if series:
            lines.append(f"wire {last} to EB{i}:COM\n")
            last = f"EB{i}:NC"
        else:
            lines.append(f"wire PS1:+ to EB{i}:COM\nwire EB{i}:NC to ML1:+\n")
    return "".join([*lines, f"wire {last} to ML1:+\n" if series else "", "wire ML1:- to PS1:-\n"])


@pytest.mark.parametrize("series", [True, False])
def test_a_cone_of_sixty_signals(series: bool) -> None:
    """Named as too many, with the number, also for each of its failures."""

    def work() -> None:
        facts = drawn(buttons(60, series=series))
        for variation in [AS_DRAWN, *facts.failures.all]:
            said = answer(facts, variation)
            if isinstance(said, str):
                assert "signals" in said or "patterns" in said
            else:
                assert len(said.space.signals) <= 20
        assert isinstance(answer(facts), str)

    soon(work)


@pytest.mark.parametrize("sealed", [True, False])
def test_a_ring_of_forty_relays(sealed: bool) -> None:
    """Forty coils that act on one another are more than is worked out; the lock behind them is not assessed."""
    side = "NO" if sealed else "NC"
    lines = [SUPPLY, LOCK, *(f"relay R{i} {{ coil 24 Vdc, 20 mA; poles 2 }}\n" for i in range(40))]
    for i in range(40):
        lines.append(f"wire PS1:+ to R{i}:COM1\nwire R{i}:{side}1 to R{(i + 1) % 40}:A1\nwire R{i}:A2 to PS1:-\n")
    lines.append("wire PS1:+ to R0:COM2\nwire R0:NO2 to ML1:+\nwire ML1:- to PS1:-\n")

    def work() -> None:
        facts = drawn("".join(lines))
        said = answer(facts)
        assert isinstance(said, str)
        assert "40 coils act on one another" in said
        for variation in facts.failures.all[::40]:
            answer(facts, variation)

    soon(work)


def test_every_wire_shorted() -> None:
    """Each wire also runs on to both poles: the supply is at its limit, and the lock has no volts."""
    ends = ["PS1:+", "EB1:COM", "EB1:NC", "ML1:+", "ML1:-", "PS1:-"]
    joined = "".join(f"wire {a} to {b}\n" for a, b in pairwise(ends))
    poles = "".join(f"wire {end} to PS1:-\nwire {end} to PS1:+\n" for end in ends[1:-1])

    def work() -> None:
        facts = drawn(SUPPLY + LOCK + "exit-button EB1 { holds 30 s }\n" + joined + poles)
        said = answer(facts)
        assert isinstance(said, Truth)
        assert said.no == said.space.everything
        assert any(facts.shorted(circuit).yes for circuit in facts.circuits())
        for variation in facts.failures.all:
            answer(facts, variation)

    soon(work)


@pytest.mark.parametrize("count", [2, 3, 6])
def test_sources_in_a_loop(count: int) -> None:
    """Plus of each to minus of the next, all around, and a lock across the first: an answer or a reason."""
    lines = [f'supply PS{i} "24 V" {{ output 24 Vdc, 2 A }}\n' for i in range(1, count + 1)]
    lines += [f"wire PS{i}:+ to PS{i % count + 1}:-\n" for i in range(1, count + 1)]

    def work() -> None:
        facts = drawn("".join([*lines, LOCK, "wire PS1:+ to ML1:+\nwire ML1:- to PS1:-\n"]))
        said = answer(facts)
        assert isinstance(said, Truth) or said
        for variation in facts.failures.all:
            answer(facts, variation)

    soon(work)


def test_sources_of_unlike_volts_joined_pole_to_pole() -> None:
    """Three supplies of 12, 24 and 27 V straight in parallel: the highest carries the lock."""
    lines = [f'supply PS{v} "supply" {{ output {v} Vdc, 2 A }}\n' for v in (12, 24, 27)]
    lines += ["wire PS12:+ to PS24:+ to PS27:+ to ML1:+\n", "wire PS12:- to PS24:- to PS27:- to ML1:-\n"]

    def work() -> None:
        facts = drawn("".join([*lines, LOCK]))
        coil = facts.graph.by_key["ML1.coil"]
        volts = facts.volts(coil)
        assert volts.at(volts.space.size - 1) == pytest.approx(27.0, abs=1e-3)

    soon(work)
