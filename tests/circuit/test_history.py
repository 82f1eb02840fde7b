"""Relays that race, lag and chatter: what may be held in of it. Worked by hand."""

from __future__ import annotations

from tests.circuit.drawn import drawn, part

SUPPLY = 'supply PS1 "24 V" { output 24 Vdc, 2 A }\n'


def test_a_relay_that_chatters_may_leave_another_held_in() -> None:
    # K1 breaks its own coil while START is pressed. Let go just as K1 is in, START's NC and K1's NO give K2 its volts
    # before K1 drops out, and K2 holds itself in. From rest, START not pressed, K2 has no way to pull in.
    facts = drawn(
        SUPPLY
        + "relay K1 { coil 24 Vdc, 20 mA; poles 2 }\nrelay K2 { coil 24 Vdc, 20 mA; poles 2 }\n"
        + "exit-button START { holds 1 s }\n"
        + "wire PS1:+ to START:COM\nwire START:NO to K2:COM1\nwire K2:NC1 to K1:COM1\nwire K1:NC1 to K1:A1\n"
        + "wire PS1:+ to START:COM2\nwire START:NC2 to K1:COM2\nwire K1:NO2 to K2:A1\n"
        + "wire PS1:+ to K2:COM2\nwire K2:NO2 to K2:A1\nwire K1:A2 to K2:A2 to PS1:-\n"
    )
    coil = facts.energised(part(facts, "K2.coil"))
    let_go = coil.space.on("PS1.mains") & ~coil.space.on("START.pressed")
    held = coil.space.on("K2.coil held in from before")
    assert coil.yes & let_go == held & let_go
    assert coil.no & let_go == let_go & ~held
    condition = {"PS1.mains": True, "START.pressed": False, "K2.coil held in from before": True}
    events = facts.events(part(facts, "K2.coil"), condition)
    assert events == [("START.pressed", True), ("START.pressed", False)]


def test_a_relay_of_another_circuit_takes_its_time() -> None:
    # The mains come back: K1 pulls in and opens its NC; K2, fed through it, may have been quicker, and holds itself in.
    facts = drawn(
        SUPPLY
        + "relay K1 { coil 24 Vdc, 20 mA }\nrelay K2 { coil 24 Vdc, 20 mA }\n"
        + "wire PS1:+ to K1:A1\nwire K1:A2 to PS1:-\n"
        + "wire PS1:+ to K1:COM\nwire K1:NC to K2:A1\nwire K2:A2 to PS1:-\n"
        + "wire PS1:+ to K2:COM\nwire K2:NO to K2:A1\n"
    )
    assert len(facts.networks) == 2
    coil = facts.energised(part(facts, "K2.coil"))
    on, held = (coil.space.on(s) for s in ("PS1.mains", "K2.coil held in from before"))
    assert coil.yes == on & held
    events = facts.events(part(facts, "K2.coil"), {"PS1.mains": True, "K2.coil held in from before": True})
    assert events == [("PS1.mains", False), ("PS1.mains", True)]


def test_what_follows_a_relay_that_chatters_is_not_in_step_with_it() -> None:
    # K2 follows K1, which chatters. In step, K1's NO and K2's NC in one feed would never be made together; but K2 lags.
    facts = drawn(
        SUPPLY
        + "relay K1 { coil 24 Vdc, 20 mA; poles 3 }\nrelay K2 { coil 24 Vdc, 20 mA }\n"
        + "magnetic-lock ML1 { rated 24 Vdc, 240 mA }\n"
        + "wire PS1:+ to K1:COM1\nwire K1:NC1 to K1:A1\nwire K1:A2 to PS1:-\n"
        + "wire PS1:+ to K1:COM2\nwire K1:NO2 to K2:A1\nwire K2:A2 to PS1:-\n"
        + "wire PS1:+ to K1:COM3\nwire K1:NO3 to K2:COM\nwire K2:NC to ML1:+\nwire ML1:- to PS1:-\n"
    )
    secured = facts.state("ML1", "secured")
    on = secured.space.on("PS1.mains")
    assert (secured.yes & on, secured.no & on) != (0, on)
    assert (secured.yes & ~on, secured.no & ~on) == (0, secured.space.everything & ~on)
