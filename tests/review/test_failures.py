"""The table of single failures against what follows by hand from the drawings."""

from __future__ import annotations

import pytest

from plancheck.circuit.variation import FAILURE_KINDS
from plancheck.review.failures import (
    EFFECTS,
    LOCKS_IN,
    NO_ANSWER,
    NOT_ASSESSED,
    NOTHING,
    RUNS,
    STILL,
    UNLOCKED,
    UNPROTECTED,
    WEAKENS,
    FailureTable,
    asks_release,
)
from tests.review.operating import ONE_BUTTON, failed, read, sample, too_many


def effects(table: FailureTable, what: str) -> list[tuple[str, str]]:
    """What a failure does, by its words."""
    (group,) = [g for g in table.groups if any(f.what == what for f in g.failures)]
    return [(e.what, e.says) for e in group.effects]


@pytest.mark.parametrize(
    ("failure", "wanted"),
    [
        ("FA1:COM–NO welded", [(WEAKENS, "fire alarm no longer releases ML1")]),
        ("XS1:COM–NO welded", [(WEAKENS, "motion at XS1 no longer releases ML1")]),
        ("EB1:COM–NC welded", [(WEAKENS, "EB1 pressed no longer releases ML1")]),
        ("RX1:COM–NC welded", [(NO_ANSWER, "channel 1 of RX1 on no longer releases ML1")]),
        # A dead receiver rests on its NC: the door stays shut to the porter, and open to those inside.
        ("RX1 dead", [(NO_ANSWER, "channel 1 of RX1 on no longer releases ML1")]),
        # A dead sensor drops its relay.
        ("XS1 dead", [(UNLOCKED, "ML1 is released in normal condition")]),
        ("coil of ML1 open", [(UNLOCKED, "ML1 is released in normal condition")]),
        ("F1 blown", [(UNLOCKED, "ML1 is released in normal condition")]),
        ("FA1:COM–NO stuck open", [(UNLOCKED, "ML1 is released in normal condition")]),
        ("FA1:COM–NC stuck open", []),
        ("MV1 open", []),
    ],
)
def test_rear_exit_by_hand(failure: str, wanted: list[tuple[str, str]]) -> None:
    table = failed(sample("rear-exit")).table
    assert effects(table, failure) == wanted


def test_no_single_failure_of_the_rear_exit_locks_people_in() -> None:
    # Alarm, sensor and button each open the loop by themselves: two would have to fail.
    table = failed(sample("rear-exit")).table
    assert LOCKS_IN not in table.by_effect
    assert table.beforehand == ()


def test_records_room_by_hand() -> None:
    document = failed(sample("records-room"))
    assert document.table.asking == ()  # free by lever: no release is owed
    assert effects(document.table, "RX1:COM–NO welded") == [(UNLOCKED, "ES1 is released in normal condition")]
    assert effects(document.table, "coil of ES1 open") == [(NO_ANSWER, "channel 1 of RX1 on no longer releases ES1")]


@pytest.mark.parametrize(
    ("failure", "what"),
    [
        ("RX1:COM–NO welded", RUNS),
        ("VL1:COM–NO welded", RUNS),
        ("PE1:COM–NO welded", UNPROTECTED),
        ("SE1:COM–NO welded", UNPROTECTED),
        ("SB1:COM–NC welded", UNPROTECTED),
        ("C2/white (GO1:STOP to SB1:COM) and C2/black (SB1:NC to GO1:COM) touch", UNPROTECTED),
        ("PE1 dead", STILL),
        ("C1/grey (TB1:a4 to GO1:COM) open", STILL),
        ("C2/white (GO1:STOP to SB1:COM) open", STILL),
        ("RX1 dead", NO_ANSWER),
        ("RX1:COM–NC stuck open", NOTHING),
    ],
)
def test_yard_gate_by_hand(failure: str, what: str) -> None:
    table = failed(sample("yard-gate")).table
    (group,) = [g for g in table.groups if any(f.what == failure for f in g.failures)]
    assert group.worst == what


def test_the_only_release_welded_locks_people_in() -> None:
    table = failed(read(ONE_BUTTON)).table
    assert effects(table, "EB1:COM–NC welded") == [(LOCKS_IN, "ML1 stays held even with EB1 pressed")]
    first = table.groups[0]
    assert first.worst == LOCKS_IN
    # Jumpers only: the whole 24 V.
    assert "24 V at ML1 by PS1:+ → EB1:COM → EB1:NC → ML1:+ → ML1:- → PS1:-" in first.evidence


def test_a_free_door_owes_no_release() -> None:
    table = failed(read(ONE_BUTTON.replace("egress sensor release", "egress free by lever"))).table
    assert effects(table, "EB1:COM–NC welded") == [(WEAKENS, "EB1 pressed no longer releases ML1")]


def test_what_is_amiss_with_nothing_failed_is_told_first() -> None:
    (line,) = failed(sample("rear-exit-faulty")).table.beforehand
    assert line == "ML1 of D101 does not surely let go even with nothing failed."


def test_groups_are_sorted_and_count_every_failure_once() -> None:
    for name in ("rear-exit", "records-room", "yard-gate", "slipway", "rear-exit-faulty"):
        document = sample(name)
        table = failed(document).table
        ranks = [EFFECTS.index(group.worst) for group in table.groups]
        assert ranks == sorted(ranks)
        every = [failure for group in table.groups for failure in group.failures]
        assert len(every) == len(set(every)) == len(document.works.facts.failures.all)
        assert sum(table.by_effect.values()) == sum(table.by_kind.values()) == len(every)
        assert list(table.by_kind) == list(FAILURE_KINDS)


def test_alike_failures_are_one_group() -> None:
    for name in ("rear-exit", "yard-gate", "rear-exit-faulty"):
        groups = failed(sample(name)).table.groups
        assert len({group.effects for group in groups}) == len(groups)


def test_what_cannot_be_worked_out_never_counts_as_harmless() -> None:
    table = failed(read(too_many())).table
    assert not table.wholly_assessed
    assert table.by_effect[NOT_ASSESSED] > 0
    assert any("not assessed with nothing failed" in line for line in table.beforehand)


def test_doors_that_owe_release_come_from_the_rules() -> None:
    # The classes of rules/egress/class.rules: exits with magnets owe release, classrooms with levers do not.
    asking, known = asks_release(sample("upper-floor").works)
    assert known
    assert asking == {"D211", "D212", "D213", "D214"}


def test_without_a_rule_every_door_owes_release() -> None:
    from plancheck.review.failures import failure_table
    from plancheck.review.operation import Works

    works = sample("records-room").works
    bare = Works(works.facts, works.rulebook.with_rules([]))
    table = failure_table(bare, bare.holders)
    assert "No rule says of which doors release is asked" in table.beforehand[0]
    assert table.by_effect[LOCKS_IN] > 0


def test_a_door_that_does_not_say_its_class_is_taken_to_owe_release() -> None:
    table = failed(read(ONE_BUTTON.replace("egress sensor release; ", ""))).table
    assert table.beforehand == ("How people leave by D1 the plan does not say: release was taken as owed.",)
    assert table.groups[0].worst == LOCKS_IN


def test_a_gate_that_answers_a_command_again_is_not_commanded_by_itself() -> None:
    # In the faulty twin the channel puts volts on the input instead of closing it: the minus, which is commoned with
    # the input's common, at the receiver's contact makes the channel work. Nobody commanded is nobody moved.
    for group in failed(sample("yard-gate-faulty")).table.groups:
        for effect in group.effects:
            assert effect.what != RUNS or "channel 1" not in effect.says


def test_a_release_on_alarm_that_was_missing_is_no_door_left_open() -> None:
    # The left-over conductor C1/red holds the lock on alarm; broken, the alarm works again.
    feed = "cable C1 { conductors 2 of 18 AWG; length 20 ft }\nwire PS1:+ to FA1:COM\nwire FA1:NC to EB1:COM in C1/blue"
    text = ONE_BUTTON.replace("wire PS1:+ to EB1:COM", f"{feed}\nwire PS1:+ to EB1:COM in C1/red")
    text = text.replace("exit-button", "fire-alarm-relay FA1 { contacts 2 A at 30 Vdc }\nexit-button")
    assert effects(failed(read(text)).table, "C1/red (PS1:+ to EB1:COM) open") == [
        ("another change", "ML1 is released, fire alarm on")
    ]
