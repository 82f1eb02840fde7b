"""Signals that change one after another, against circuits whose memory is known by hand."""

from __future__ import annotations

import pytest

from plancheck.circuit.facts import Facts
from plancheck.circuit.replay import Replay, truth_at
from tests.circuit.drawn import drawn, part

# Start/stop seal-in, the textbook's own (common practice, no source).
SEAL_IN = """
supply PS1 { output 24 Vdc, 1 A }
push-button START { contacts 3 A at 30 Vdc }
push-button STOP { contacts 3 A at 30 Vdc }
relay K1 { coil 24 Vdc, 50 mA }
wire PS1:+ to STOP:COM
wire STOP:NC to START:COM to K1:COM
wire START:NO to K1:A1
wire K1:NO to K1:A1
wire K1:A2 to PS1:-
"""

# A second relay held in by the first, and by itself.
FOLLOWER = (
    SEAL_IN
    + """
push-button CLEAR { contacts 3 A at 30 Vdc }
relay K2 { coil 24 Vdc, 50 mA }
relay K3 { coil 24 Vdc, 50 mA }
wire PS1:+ to CLEAR:COM
wire CLEAR:NC to K2:COM
wire K2:NO to K2:A1
wire K2:A2 to PS1:-
wire PS1:+ to K3:COM
wire K3:NO to K2:A1
wire STOP:NC to K3:A1
wire K3:A2 to PS1:-
"""
)


def _in(facts: Facts, replay: Replay, relay: str) -> bool | None:
    return truth_at(facts.energised(part(facts, f"{relay}.coil")), replay.condition)


@pytest.mark.parametrize(
    ("changes", "held"),
    [
        ([], False),
        ([("START", True)], True),
        ([("START", True), ("START", False)], True),
        ([("START", True), ("START", False), ("STOP", True)], False),
        ([("START", True), ("START", False), ("STOP", True), ("STOP", False)], False),
        ([("STOP", True), ("START", True), ("STOP", False)], True),
        ([("START", True), ("STOP", True), ("START", False), ("STOP", False)], False),
    ],
)
def test_start_and_stop(changes: list[tuple[str, bool]], held: bool) -> None:
    facts = drawn('plan "x"\n' + SEAL_IN)
    replay = Replay(facts.engine, facts.signals)
    for button, on in changes:
        replay.change({f"{button}.pressed": on})
    assert _in(facts, replay, "K1") is held


def test_power_that_goes_and_returns_lets_it_go() -> None:
    facts = drawn('plan "x"\n' + SEAL_IN)
    replay = Replay(facts.engine, facts.signals)
    replay.change({"START.pressed": True})
    replay.change({"START.pressed": False})
    replay.change({"PS1.mains": False})
    replay.change({"PS1.mains": True})
    assert _in(facts, replay, "K1") is False


def test_a_fork_goes_its_own_way() -> None:
    facts = drawn('plan "x"\n' + SEAL_IN)
    replay = Replay(facts.engine, facts.signals)
    other = replay.fork()
    other.change({"START.pressed": True})
    other.change({"START.pressed": False})
    assert (_in(facts, replay, "K1"), _in(facts, other, "K1")) == (False, True)


def test_relays_that_follow_relays() -> None:
    # K3 is in while STOP is not pressed, and pulls K2 in, which then stays until CLEAR.
    facts = drawn('plan "x"\n' + FOLLOWER)
    replay = Replay(facts.engine, facts.signals)
    assert _in(facts, replay, "K2") is True
    replay.change({"STOP.pressed": True})
    assert (_in(facts, replay, "K3"), _in(facts, replay, "K2")) == (False, True)
    replay.change({"CLEAR.pressed": True})
    assert _in(facts, replay, "K2") is False
    replay.change({"CLEAR.pressed": False})
    assert _in(facts, replay, "K2") is False
    replay.change({"STOP.pressed": False})
    assert _in(facts, replay, "K2") is True


def test_what_events_lead_to_is_what_the_replay_finds() -> None:
    # The other way round: the fewest changes that lead to a condition, played, must end as that condition says.
    facts = drawn('plan "x"\n' + SEAL_IN)
    coil = part(facts, "K1.coil")
    truth = facts.energised(coil)
    played = 0
    for index in range(truth.space.size):
        condition = truth.space.condition(index)
        replay = Replay(facts.engine, facts.signals)
        for key, on in facts.events(coil, condition):
            replay.change({key: on})
            played += 1
        if all(replay.condition[key] is on for key, on in condition.items() if key in facts.signals):
            assert truth_at(truth, replay.condition) is truth_at(truth, condition)
    assert played > 0
