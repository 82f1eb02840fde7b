"""Supplies that meet: who feeds what, and what is driven into whom. Volts by Ohm's and Kirchhoff's laws, by hand."""

from __future__ import annotations

import pytest

from plancheck.circuit.conditions import Levels
from plancheck.circuit.facts import NotAssessed
from plancheck.circuit.supplies import back_fed_volts, devices_feeding, devices_tied, live, on_mains
from tests.circuit.drawn import drawn, part, when

TWO = """
supply PS1 { output 24 Vdc, 1 A }
supply PS2 { output 24 Vdc, 1 A }
"""
STRIKE = "electric-strike ES1 { rated 24 Vdc, 225 mA; fails secure; suppression built in }\n"


def volts(levels: Levels, **signals: bool) -> float:
    """The number in the one condition that is told in full."""
    given = {name.replace("_", "."): on for name, on in signals.items()}
    assert set(given) == set(levels.space.signals), levels.space.signals
    return levels.at(sum(1 << i for i, s in enumerate(levels.space.signals) if given[s]))


# --- volts driven into a supply that is off ----------------------------------------------------------------


def test_two_supplies_in_parallel_drive_each_other_while_one_is_off() -> None:
    facts = drawn(TWO + STRIKE + "wire PS1:+ to PS2:+ to ES1:+\nwire ES1:- to PS1:- to PS2:-")
    into = back_fed_volts(facts, "PS1")
    assert volts(into, PS1_mains=False, PS2_mains=True) == pytest.approx(24.0)
    assert volts(into, PS1_mains=True, PS2_mains=True) == 0.0
    assert volts(into, PS1_mains=True, PS2_mains=False) == 0.0
    assert volts(into, PS1_mains=False, PS2_mains=False) == 0.0


def test_a_way_through_another_load_divides_the_volts() -> None:
    # From PS2 through ES2 (24 V / 225 mA = 106.67 ohm) into the plus of PS1, and on through ES1 (24 V / 450 mA =
    # 53.33 ohm) to the common minus: 24 V x 53.33 / 160 = 8 V stand on PS1.
    facts = drawn(
        TWO
        + """
        electric-strike ES1 { rated 24 Vdc, 450 mA; fails secure; suppression built in }
        electric-strike ES2 { rated 24 Vdc, 225 mA; fails secure; suppression built in }
        wire PS1:+ to ES1:+ to ES2:-
        wire PS2:+ to ES2:+
        wire ES1:- to PS1:- to PS2:-
        """
    )
    assert volts(back_fed_volts(facts, "PS1"), PS1_mains=False, PS2_mains=True) == pytest.approx(8.0)


DIODE = """
diode D1 { rated 400 V, 1 A }
wire PS2:+ to D1:FROM
wire D1:TO to PS1:+ to ES1:+
wire ES1:- to PS1:- to PS2:-
"""


@pytest.mark.parametrize(("from_", "to", "wanted"), [("anode", "cathode", 23.3), ("cathode", "anode", 0.0)])
def test_a_diode_lets_volts_through_one_way(from_: str, to: str, wanted: float) -> None:
    # Conducting it keeps 0.7 V; blocking it lets nothing through, and ES1 holds the plus of PS1 at its minus.
    facts = drawn(TWO + STRIKE + DIODE.replace("FROM", from_).replace("TO", to))
    assert volts(back_fed_volts(facts, "PS1"), PS1_mains=False, PS2_mains=True) == pytest.approx(wanted, abs=1e-3)


def test_what_leaks_to_an_idle_pole_past_a_blocking_diode_is_nobodys_drive() -> None:
    facts = drawn(
        TWO
        + STRIKE
        + """
        diode D1 { rated 400 V, 1 A }
        diode D2 { rated 400 V, 1 A }
        wire PS1:+ to D1:anode
        wire PS2:+ to D2:anode
        wire D1:cathode to D2:cathode to ES1:+
        wire ES1:- to PS1:- to PS2:-
        """
    )
    for name in ("PS1", "PS2"):
        assert [value for _, value in back_fed_volts(facts, name).parts if value] == []


def test_a_diode_towards_an_idle_plus_carries_nothing_and_drives_all_the_same() -> None:
    # PS1 feeds nothing of its own: next to no current flows, yet a meter on it reads 24 V less at most the diode's 0.7.
    facts = drawn(
        TWO
        + STRIKE
        + """
        diode D1 { rated 400 V, 1 A }
        wire PS2:+ to D1:anode to ES1:+
        wire D1:cathode to PS1:+
        wire ES1:- to PS2:- to PS1:-
        """
    )
    assert 23.3 <= volts(back_fed_volts(facts, "PS1"), PS1_mains=False, PS2_mains=True) <= 24.0
    assert volts(back_fed_volts(facts, "PS1"), PS1_mains=False, PS2_mains=False) == 0.0


def test_a_common_minus_alone_drives_nothing() -> None:
    facts = drawn(TWO + STRIKE + "wire PS1:+ to ES1:+\nwire ES1:- to PS1:- to PS2:-")
    assert back_fed_volts(facts, "PS1") == Levels.constant(0.0)
    assert back_fed_volts(facts, "PS2") == Levels.constant(0.0)


def test_a_battery_beside_its_charger_is_not_asked() -> None:
    facts = drawn(
        "supply PS1 { output 24 Vdc, 1 A }\nbattery B1 { rated 24 Vdc, 7 Ah }\n"
        + STRIKE
        + "wire PS1:+ to B1:+ to ES1:+\nwire ES1:- to PS1:- to B1:-"
    )
    assert back_fed_volts(facts, "PS1") == Levels.constant(0.0)


def test_a_supplys_own_battery_is_no_other_supply() -> None:
    facts = drawn(
        "supply PS1 { output 24 Vdc, 1 A; battery 7 Ah }\n" + STRIKE + "wire PS1:+ to ES1:+\nwire ES1:- to PS1:-"
    )
    assert back_fed_volts(facts, "PS1") == Levels.constant(0.0)


def test_ac_and_dc_in_one_network_are_not_assessed() -> None:
    facts = drawn(
        "supply PS1 { output 24 Vdc, 1 A }\ntransformer T1 { output 24 Vac, 40 VA }\n"
        + STRIKE
        + "wire PS1:+ to T1:X1 to ES1:+\nwire ES1:- to PS1:- to T1:X2"
    )
    with pytest.raises(NotAssessed, match="AC and DC meet"):
        back_fed_volts(facts, "PS1")


# --- who feeds a load --------------------------------------------------------------------------------------


def test_a_changeover_relay_feeds_from_either_supply() -> None:
    facts = drawn(
        TWO
        + STRIKE
        + """
        relay K1 { coil 24 Vdc, 40 mA; contacts 5 A at 30 Vdc; suppression built in }
        wire PS1:+ to K1:NO to K1:A1
        wire PS2:+ to K1:NC
        wire K1:COM to ES1:+
        wire ES1:- to K1:A2 to PS1:- to PS2:-
        """
    )
    assert devices_feeding(facts, part(facts, "ES1.coil")) == ["PS1", "PS2"]
    assert devices_feeding(facts, part(facts, "K1.coil")) == ["PS1"]


def test_the_supply_of_what_releases_a_lock_does_not_feed_it() -> None:
    facts = drawn(
        TWO
        + """
        exit-sensor XS1 { rated 24 Vdc, 35 mA; contacts 1 A at 30 Vdc }
        magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
        wire PS2:+ to XS1:power+
        wire PS1:+ to XS1:COM
        wire XS1:NO to ML1:+
        wire ML1:- to XS1:power- to PS1:- to PS2:-
        """
    )
    assert devices_feeding(facts, part(facts, "ML1.coil")) == ["PS1"]


def test_loads_in_series_are_fed_by_what_their_network_holds() -> None:
    facts = drawn(
        "supply PS1 { output 24 Vdc, 1 A }\n"
        "magnetic-lock ML1 { rated 12 Vdc, 500 mA }\nmagnetic-lock ML2 { rated 12 Vdc, 500 mA }\n"
        "wire PS1:+ to ML1:+\nwire ML1:- to ML2:+\nwire ML2:- to PS1:-"
    )
    assert devices_feeding(facts, part(facts, "ML1.coil")) == ["PS1"]


def test_a_load_that_no_current_can_reach_is_fed_by_nobody() -> None:
    facts = drawn(TWO + STRIKE + "wire PS1:+ to ES1:+")
    assert devices_feeding(facts, part(facts, "ES1.coil")) == []


# --- what a supply lives on, what a contact ties together ---------------------------------------------------


def test_a_supply_is_live_on_its_mains_or_its_battery() -> None:
    facts = drawn(
        """
        supply PS1 { output 24 Vdc, 1 A; battery 7 Ah }
        battery B1 { rated 24 Vdc, 7 Ah }
        timer-relay K1 { rated 24 Vdc, 40 mA; holds 30 s }
        """
    )
    truth = live(facts, "PS1")
    assert when(truth, PS1_mains=True, PS1_reserve=False) is True
    assert when(truth, PS1_mains=False, PS1_reserve=True) is True
    assert when(truth, PS1_mains=False, PS1_reserve=False) is False
    assert live(facts, "K1").no == 1  # no source: in no condition
    assert [on_mains(facts, name) for name in ("PS1", "B1", "K1")] == [True, False, False]


def test_a_contact_ties_two_supplies_only_where_each_stands_on_its_own_side() -> None:
    facts = drawn(
        TWO
        + STRIKE
        + """
        fuse F1 { rated 1 A }
        radio-receiver RX1 { channels 2; rated 24 Vdc, 45 mA; contacts 5 A at 30 Vdc }
        wire PS1:+ to RX1:COM1 to RX1:power+
        wire PS2:+ to F1:1
        wire F1:2 to RX1:NO1 to ES1:+ to RX1:COM2
        wire RX1:power- to PS1:-
        wire ES1:- to PS2:-
        """
    )
    tied = {b.key: devices_tied(facts, b) for b in facts.branches("contact", "RX1")}
    assert tied["RX1.COM1-NO1"] == ["PS1", "PS2"]
    assert [key for key, names in tied.items() if names] == ["RX1.COM1-NO1"]
