"""Relay circuits that every primer has, with the answers that it gives.

The circuits and answers are common practice, no source, unless one is named beside the check.
"""

from __future__ import annotations

from itertools import product

import pytest

from plancheck.circuit.facts import Facts
from tests.circuit.drawn import drawn, part, when

SUPPLY = 'supply PS1 "24 V" { output 24 Vdc, 5 A }\n'
RELAYS = "".join(f"relay K{i} {{ coil 24 Vdc, 20 mA; poles 4 }}\n" for i in (1, 2, 3))
LAMP = "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"


def coils(facts: Facts, *names: str, **signals: bool) -> list[bool | None]:
    """Which relays are in, in the one condition told in full."""
    return [when(facts.energised(part(facts, f"{n}.coil")), **signals) for n in names]


def switch(*names: str) -> str:
    """Changeover switches."""
    return "".join(f"key-switch {n} {{ action maintained }}\n" for n in names)


def button(*names: str) -> str:
    """Push buttons that spring back."""
    return "".join(f"exit-button {n} {{ holds 1 s }}\n" for n in names)


START_STOP = (
    "wire PS1:+ to STOP:COM\nwire STOP:NC to START:COM to K1:COM1\nwire START:NO to K1:A1\n"
    "wire K1:NO1 to K1:A1\nwire K1:A2 to PS1:-\n"
)


def test_start_and_stop_with_seal_in() -> None:
    """Start pulls in and stays in when let go; stop drops it, also while start is pressed (stop has precedence)."""
    facts = drawn(SUPPLY + RELAYS + button("START", "STOP") + START_STOP)
    truth = facts.energised(part(facts, "K1.coil"))
    (held,) = set(truth.space.signals) - {"PS1.mains", "START.pressed", "STOP.pressed"}
    mains, start, stop, before = (truth.space.on(s) for s in ("PS1.mains", "START.pressed", "STOP.pressed", held))
    assert truth.yes == mains & ~stop & (start | before)
    assert not truth.maybe
    # A failure of power drops it, and it does not start by itself when power comes back.
    events = facts.events(part(facts, "K1.coil"), {"PS1.mains": True, held: True})
    assert events == [("START.pressed", True), ("START.pressed", False)]


@pytest.mark.parametrize(("one", "other"), list(product((False, True), repeat=2)))
def test_two_way_switching(one: bool, other: bool) -> None:
    """A lamp worked from both ends of a corridor: on when the switches stand alike, and either one changes it."""
    facts = drawn(
        SUPPLY + LAMP + switch("S1", "S2") + "wire PS1:+ to S1:COM\nwire S1:NC to S2:NC\nwire S1:NO to S2:NO\n"
        "wire S2:COM to ML1:+\nwire ML1:- to PS1:-\n"
    )
    lit = when(facts.state("ML1", "secured"), PS1_mains=True, S1_turned=one, S2_turned=other)
    assert lit is (one == other)


INTERLOCK = (
    "wire PS1:+ to FWD:COM to REV:COM\nwire FWD:NO to K2:COM1\nwire K2:NC1 to K1:A1\nwire K1:A2 to PS1:-\n"
    "wire REV:NO to K1:COM1\nwire K1:NC1 to K2:A1\nwire K2:A2 to PS1:-\n"
)


def test_interlock_lets_one_in_at_a_time() -> None:
    """Forward and reverse through each other's break contacts: one button, its relay; never both."""
    facts = drawn(SUPPLY + RELAYS + button("FWD", "REV") + INTERLOCK)
    one, other = (facts.energised(part(facts, f"{k}.coil")) for k in ("K1", "K2"))
    space = one.space.joined(other.space)
    one, other = one.over(space), other.over(space)
    mains, forward, reverse = (space.on(s) for s in ("PS1.mains", "FWD.pressed", "REV.pressed"))
    assert one.yes & mains & forward & ~reverse == mains & forward & ~reverse
    assert other.yes & mains & reverse & ~forward == mains & reverse & ~forward
    assert not one.yes & other.yes
    # With both pressed the one that was in stays: neither may be told to be certainly out.
    both = mains & forward & reverse
    assert both & ~one.no
    assert both & ~other.no


def test_buzzer() -> None:
    """A relay through its own break contact never rests."""
    facts = drawn(SUPPLY + RELAYS + "wire PS1:+ to K1:COM1\nwire K1:NC1 to K1:A1\nwire K1:A2 to PS1:-\n")
    chatter = facts.chattering(part(facts, "K1.coil"))
    assert when(chatter, PS1_mains=True) is True
    assert when(chatter, PS1_mains=False) is False
    assert coils(facts, "K1", PS1_mains=True) == [None]


def ring(count: int, last: str = "NC") -> str:
    """Each relay through a break contact of the one before; the first through `last` of the last."""
    lines = [f"relay R{i} {{ coil 24 Vdc, 20 mA; poles 2 }}" for i in range(count)]
    for i in range(count):
        side = last if i == 0 else "NC"
        before = f"R{(i - 1) % count}"
        lines += [f"wire PS1:+ to {before}:COM1", f"wire {before}:{side}1 to R{i}:A1", f"wire R{i}:A2 to PS1:-"]
    return "\n".join([*lines, ""])


@pytest.mark.parametrize("count", [1, 3, 5])
def test_an_odd_ring_oscillates(count: int) -> None:
    """An odd number of inversions around a ring has no resting state (any text on ring oscillators)."""
    facts = drawn(SUPPLY + ring(count))
    assert all(when(facts.chattering(part(facts, f"R{i}.coil")), PS1_mains=True) for i in range(count))


@pytest.mark.parametrize("count", [2, 4])
def test_an_even_ring_is_never_told_to_be_out(count: int) -> None:
    """An even number latches one way or the other, whichever was quicker: no relay is certainly in or out."""
    facts = drawn(SUPPLY + ring(count))
    for i in range(count):
        truth = facts.energised(part(facts, f"R{i}.coil"))
        powered = truth.space.on("PS1.mains")
        assert powered & ~truth.no
        assert powered & ~truth.yes


def test_latch_of_two_buttons_keeps_the_last() -> None:
    """Set and reset without precedence asked: set, let go, and it stays; reset, let go, and it stays off."""
    facts = drawn(
        SUPPLY
        + RELAYS
        + LAMP
        + button("SET", "RESET")
        + "wire PS1:+ to RESET:COM\nwire RESET:NC to SET:COM to K1:COM1\nwire SET:NO to K1:A1\n"
        "wire K1:NO1 to K1:A1\nwire K1:A2 to PS1:-\nwire PS1:+ to K1:COM2\nwire K1:NO2 to ML1:+\nwire ML1:- to PS1:-\n"
    )
    coil = part(facts, "K1.coil")
    secured = facts.state("ML1", "secured")
    quiet = secured.space.on("PS1.mains") & ~secured.space.on("SET.pressed") & ~secured.space.on("RESET.pressed")
    assert quiet & secured.yes
    assert quiet & secured.no
    held = next(s for s in secured.space.signals if "held in" in s)
    assert facts.events(coil, {"PS1.mains": True, held: True}) == [("SET.pressed", True), ("SET.pressed", False)]


def test_a_relay_that_repeats_and_one_that_inverts() -> None:
    """A chain: the first follows the switch, the second the first, the third the opposite of the second."""
    facts = drawn(
        SUPPLY
        + RELAYS
        + switch("S1")
        + "wire PS1:+ to S1:COM\nwire S1:NO to K1:A1\nwire K1:A2 to PS1:-\nwire PS1:+ to K1:COM1\n"
        "wire K1:NO1 to K2:A1\nwire K2:A2 to PS1:-\nwire PS1:+ to K2:COM1\nwire K2:NC1 to K3:A1\nwire K3:A2 to PS1:-\n"
    )
    for turned in (False, True):
        found = coils(facts, "K1", "K2", "K3", PS1_mains=True, S1_turned=turned)
        assert found == [turned, turned, not turned]
