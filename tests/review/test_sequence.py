"""The sequence of operation against what follows by hand from the drawings."""

from __future__ import annotations

import pytest

from plancheck.review.sentences import sentence
from tests.review.operating import (
    ALARM_LATCH,
    BUZZING,
    SEAL_IN,
    only_door,
    outcome,
    read,
    row,
    sample,
    told,
    too_many,
)


def test_rear_exit_by_hand() -> None:
    # One series loop: FA1 NO held in, RX1 NC, EB1 NC, XS1 NO held in. Any of them open lets go; so does a dead supply
    # and a dead panel, and the battery takes over from the mains.
    door = only_door(sample("rear-exit"))
    states = {row.event: row.outcomes[0].state for row in door.rows}
    assert states == {
        "in normal condition": "held",
        "channel 1 of RX1 on": "released",
        "motion at XS1": "released",
        "EB1 pressed": "released",
        "power of the fire alarm panel off": "released",
        "fire alarm": "released",
        "loss of mains": "held",
        "batteries exhausted": "released",
        "total power loss": "released",
        "after fire alarm": "held",
        "after batteries exhausted": "held",
        "after total power loss": "held",
    }
    released = [row for row in door.rows if row.outcomes[0].state == "released"]
    assert all(row.outcomes[0].always for row in released)


def test_rear_exit_in_normal_condition() -> None:
    # The plan's own sum: 0.25 A over 1.19 ohm. As a resistance of 96 ohm: 24 V x 96 / 97.19 = 23.71 V.
    normal = outcome(only_door(sample("rear-exit")), "in normal condition")
    assert normal.volts == pytest.approx(23.71, abs=0.01)
    assert normal.path[0] == "PS1:+"
    assert normal.path[-1] == "PS1:-"
    assert [step for step in normal.path if step.startswith(("FA1", "RX1", "EB1", "XS1"))] == [
        "FA1:COM", "FA1:NO", "RX1:COM", "RX1:NC", "EB1:COM", "EB1:NC", "XS1:COM", "XS1:NO"
    ]  # fmt: skip
    assert set(normal.alone) == {
        "fire alarm on",
        "power of the fire alarm panel off",
        "channel 1 of RX1 on",
        "motion at XS1",
        "EB1 pressed",
    }
    assert set(normal.together) == {"mains of PS1 off", "battery of PS1 off"}


def test_rear_exit_says_who_works_what_and_for_how_long() -> None:
    door = only_door(sample("rear-exit"))
    assert row(door, "channel 1 of RX1 on").section == "credential"
    assert row(door, "channel 1 of RX1 on").notes == (
        "channel 1 timed 8 s",
        "TX1 “Porter's handheld”: button 1 works RX1:ch1",
    )
    assert row(door, "EB1 pressed").section == "way out"
    assert row(door, "EB1 pressed").notes == ("hold time 30 s",)
    assert row(door, "after fire alarm").notes == (
        "ML1 goes back to “held” by itself",
        "FA1, as the plan says: held in, latches until reset",
    )


def test_records_room_by_hand() -> None:
    # A fail-secure strike behind one NO contact: only the channel opens it, and only with power.
    door = only_door(sample("records-room"))
    assert [(r.event, r.outcomes[0].state, r.outcomes[0].always) for r in door.rows] == [
        ("in normal condition", "held", False),
        ("channel 1 of RX1 on", "released", False),
        ("fire alarm", "held", False),
        ("loss of mains", "held", True),
        ("total power loss", "held", True),
    ]
    opened = outcome(door, "channel 1 of RX1 on")
    assert opened.alone == ("mains of PS1 off",)
    # 24 V over 106.7 ohm of coil and 0.828 ohm of run: 23.82 V.
    assert opened.volts == pytest.approx(23.82, abs=0.01)
    assert row(door, "fire alarm").notes == ("the plan draws no alarm",)
    assert door.says == (
        "Way out, as the plan says: free by lever.",
        "ES1, electric strike: stays locked without power.",
    )


def test_yard_gate_by_hand() -> None:
    door = only_door(sample("yard-gate"))
    acting = {r.event: {o.part: o.state for o in r.outcomes if o.state != "quiet"} for r in door.rows}
    beams = {"GO1 safe1 input": "told to reverse", "GO1 safe2 input": "told to reverse"}
    assert acting == {
        "in normal condition": {},
        "channel 1 of RX1 on": {"GO1 open input": "told to open"},
        "SB1 pressed": {"GO1 stop input": "told to stop"},
        "vehicle on VL1": {"GO1 open input": "told to open"},
        "beam of PE1 broken": {"GO1 safe1 input": "told to reverse"},
        "SE1 pressed against something": {"GO1 safe2 input": "told to reverse"},
        "fire alarm": {},
        # Without the accessory volts the relays of eye and edge fall, and their loops open.
        "loss of mains": beams,
        "total power loss": beams,
        "after loss of mains": {},
        "after total power loss": {},
    }
    assert row(door, "beam of PE1 broken").section == "protection"
    assert "GO1 close input: not wired." in door.says


def test_a_sealed_in_relay_keeps_a_door_released() -> None:
    door = only_door(read(SEAL_IN))
    normal = outcome(door, "in normal condition")
    assert (normal.state, normal.on) == ("varies", ("K1 still held in from before",))
    pressed = outcome(door, "START pressed")
    assert (pressed.state, pressed.after) == ("released", "released")
    # STOP cuts the coil: held, whatever went before.
    turned = outcome(door, "STOP turned")
    assert (turned.state, turned.on, turned.after) == ("held", (), "")
    assert "When that is over, it stays released." in sentence(row(door, "START pressed"), door)
    assert "varies with what happened before" in sentence(row(door, "in normal condition"), door)


def test_power_that_returns_finds_the_sealed_in_relay_let_go() -> None:
    door = only_door(read(SEAL_IN))
    assert row(door, "after total power loss").notes == ("ML1 goes back to “held” by itself",)


def test_a_latched_alarm_does_not_lock_again_by_itself() -> None:
    door = only_door(read(ALARM_LATCH))
    alarm = outcome(door, "fire alarm")
    # FA1 pulls the relay in past the key: nothing holds the lock on alarm.
    assert (alarm.state, alarm.always, alarm.after) == ("released", True, "released")
    after = row(door, "after fire alarm")
    assert after.notes[0] == "ML1 stays “released” until something else resets it"
    assert "latches until reset" in after.notes[1]


def test_a_chattering_lock_is_told_as_such() -> None:
    # K1 cuts its own coil and the magnet with it. Common practice: the buzzer circuit.
    door = only_door(read(BUZZING))
    assert outcome(door, "in normal condition").state == "chatters"
    assert "chatters" in sentence(door.rows[0], door)


def test_what_cannot_be_worked_out_is_said_in_every_row() -> None:
    document = told(read(too_many()))
    (door,) = document.doors
    assert not door.wholly_assessed
    assert {o.state for r in door.rows for o in r.outcomes} == {"not assessed"}
    assert all(o.why for r in door.rows for o in r.outcomes)
    assert document.not_assessed


def test_a_way_out_that_does_nothing_is_said() -> None:
    # In the faulty twin sensor and button are bridged.
    door = only_door(sample("rear-exit-faulty"))
    for event in ("motion at XS1", "EB1 pressed"):
        assert outcome(door, event).state == "held"
        assert "changes nothing by itself or with others" in row(door, event).notes
    assert "changes nothing here" in row(door, "fire alarm").notes


def test_locks_that_no_door_names_are_not_left_out() -> None:
    loose = SEAL_IN.replace("locks ML1; ", "")
    door, locks = told(read(loose)).doors
    assert (door.name, door.rows) == ("D1", ())
    assert any("nothing to work out" in text for text in door.says)
    assert (locks.name, locks.rows[0].outcomes[0].part) == ("", "ML1")


def test_every_door_of_a_plan_in_its_order() -> None:
    names = [door.name for door in told(sample("upper-floor")).doors]
    assert names == [f"D{n}" for n in (201, 202, 203, 204, 205, 206, 207, 208, 211, 212, 213, 214)]
