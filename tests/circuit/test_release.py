"""What opens a contact, which contacts several ways out share, and what relays remember. By hand from the drawings."""

from __future__ import annotations

import pytest

from plancheck.circuit.release import contacts_shared, devices_opening, kept_from_before, panel_powered
from tests.circuit.drawn import drawn, part, when

SUPPLY = "supply PS1 { output 24 Vdc, 1 A }\n"
WAYS_OUT = """
fire-alarm-relay FA1 { contacts 2 A at 30 Vdc }
exit-button EB1 { contacts 3 A at 30 Vdc; holds 30 s }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
"""
RELAY = "relay K1 { coil 24 Vdc, 40 mA; poles 2; contacts 5 A at 30 Vdc; suppression built in }\n"

# Alarm and button cut the coil; the relay's contact alone feeds the magnet.
ONE_RELAY = """
wire PS1:+ to FA1:COM to K1:COM1
wire FA1:NC to EB1:COM
wire EB1:NC to K1:A1
wire K1:NO1 to ML1:+
wire K1:A2 to ML1:- to PS1:-
"""
# Alarm and button stand in the magnet's feed; the relay, cut by them too, comes on top.
AND_IN_SERIES = """
wire PS1:+ to FA1:COM
wire FA1:NC to EB1:COM
wire EB1:NC to K1:A1 to K1:COM1
wire K1:NO1 to ML1:+
wire K1:A2 to ML1:- to PS1:-
"""


def test_what_opens_a_contact_by_hand_or_over_a_relay() -> None:
    facts = drawn(SUPPLY + WAYS_OUT + RELAY + ONE_RELAY)
    opened = {b.key: devices_opening(facts, b) for b in facts.branches("contact")}
    assert opened["FA1.COM-NC"] == ["FA1"]
    assert opened["EB1.COM-NC"] == ["EB1"]
    assert opened["K1.COM1-NO1"] == ["FA1", "EB1"]
    # Open at rest: nothing opens it.
    assert opened["K1.COM1-NC1"] == opened["EB1.COM-NO"] == []


def test_an_alarm_that_several_relays_share_counts_once_and_for_the_nearest() -> None:
    facts = drawn(SUPPLY + "fire-alarm-relay FA0 { contacts 2 A at 30 Vdc }\n" + WAYS_OUT + RELAY + ONE_RELAY)
    assert devices_opening(facts, part(facts, "K1.COM1-NO1")) == ["FA1", "EB1"]
    assert devices_opening(facts, part(facts, "FA0.COM-NC")) == ["FA0"]


def test_a_credential_or_the_mains_is_no_way_out() -> None:
    facts = drawn(
        SUPPLY
        + "radio-receiver RX1 { channels 1; rated 24 Vdc, 45 mA; contacts 5 A at 30 Vdc }\n"
        + "wire PS1:+ to RX1:power+\nwire RX1:power- to PS1:-"
    )
    assert devices_opening(facts, part(facts, "RX1.COM-NC")) == []


def test_a_sensor_and_an_alarm_that_tell_a_reader_open_its_contact() -> None:
    facts = drawn(
        SUPPLY
        + WAYS_OUT
        + """
        reader RD1 { rated 24 Vdc, 80 mA; contacts 2 A at 30 Vdc }
        wire PS1:+ to RD1:power+ to RD1:COM
        wire RD1:NC to ML1:+
        wire EB1:COM to FA1:COM to RD1:input-com
        wire EB1:NO to RD1:request
        wire FA1:NO to RD1:alarm
        wire ML1:- to RD1:power- to PS1:-
        """
    )
    contact = part(facts, "RD1.COM-NC")
    assert devices_opening(facts, contact) == ["FA1", "EB1"]
    assert contacts_shared(facts, part(facts, "ML1.coil")) == [contact]


def test_one_relay_for_alarm_and_button_is_shared() -> None:
    facts = drawn(SUPPLY + WAYS_OUT + RELAY + ONE_RELAY)
    assert contacts_shared(facts, part(facts, "ML1.coil")) == [part(facts, "K1.COM1-NO1")]


def test_a_relay_on_top_of_contacts_in_series_is_not_shared() -> None:
    facts = drawn(SUPPLY + WAYS_OUT + RELAY + AND_IN_SERIES)
    assert contacts_shared(facts, part(facts, "ML1.coil")) == []


def test_two_poles_of_one_relay_are_no_second_contact() -> None:
    # Both legs through the same relay: its armature sticks, and both stay made.
    facts = drawn(
        SUPPLY
        + WAYS_OUT
        + RELAY
        + ONE_RELAY.replace("wire K1:A2 to ML1:- to PS1:-", "wire ML1:- to K1:NO2\nwire K1:COM2 to K1:A2 to PS1:-")
    )
    assert contacts_shared(facts, part(facts, "ML1.coil")) == [part(facts, "K1.COM1-NO1")]


# --- what relays remember ----------------------------------------------------------------------------------

# The textbook circuit: a stop button ahead of everything, a start button and the holding contact beside each other
# (common practice; any book on contactor control shows it).
START_STOP = (
    SUPPLY
    + RELAY
    + """
    push-button SB1 "Start" { contacts 3 A at 30 Vdc }
    push-button SB2 "Stop" { contacts 3 A at 30 Vdc }
    wire PS1:+ to SB2:COM
    wire SB2:NC to SB1:COM to K1:COM1
    wire SB1:NO to K1:NO1 to K1:A1
    wire K1:A2 to PS1:-
    """
)
MEMORY = "K1.coil held in from before"


@pytest.mark.parametrize(
    ("mains", "start", "stop", "held", "wanted"),
    [
        (True, False, False, True, True),  # started once: in by its memory alone
        (True, False, False, False, False),  # never started
        (True, True, False, True, False),  # in, and it would be without any memory
        (True, False, True, True, False),  # stopped
        (False, False, False, True, False),  # no power, no memory
    ],
)
def test_a_start_and_stop_relay_is_kept_from_before_by_hand(
    mains: bool, start: bool, stop: bool, held: bool, wanted: bool
) -> None:
    facts = drawn(START_STOP)
    kept = kept_from_before(facts.energised(part(facts, "K1.coil")))
    told = {"PS1.mains": mains, "SB1.pressed": start, "SB2.pressed": stop, MEMORY: held}
    assert when(kept, **told) is wanted


def test_without_memory_nothing_is_kept() -> None:
    facts = drawn(SUPPLY + WAYS_OUT + "wire PS1:+ to FA1:COM\nwire FA1:NC to ML1:+\nwire ML1:- to PS1:-")
    assert kept_from_before(facts.energised(part(facts, "ML1.coil"))).yes == 0


def test_what_hangs_on_the_relay_is_kept_with_it() -> None:
    lamp = (
        "magnetic-lock ML1 { rated 24 Vdc, 250 mA }\nwire PS1:+ to K1:COM2\nwire K1:NO2 to ML1:+\nwire ML1:- to PS1:-"
    )
    facts = drawn(START_STOP + lamp)
    kept = kept_from_before(facts.state("ML1", "secured"))
    told = {"PS1.mains": True, "SB1.pressed": False, "SB2.pressed": False, MEMORY: True}
    assert when(kept, **told) is True


# --- the fire alarm panel ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("held", "contact", "wanted"), [("held in; ", "NO", True), ("", "NC", False)])
def test_a_panel_counts_where_it_holds_a_relay_in(held: str, contact: str, wanted: bool) -> None:
    facts = drawn(
        SUPPLY
        + f"fire-alarm-relay FA1 {{ {held}contacts 2 A at 30 Vdc }}\n"
        + "magnetic-lock ML1 { rated 24 Vdc, 250 mA }\n"
        + f"wire PS1:+ to FA1:COM\nwire FA1:{contact} to ML1:+\nwire ML1:- to PS1:-"
    )
    assert panel_powered(facts, "ML1").space.signals == (("panel",) if wanted else ())
