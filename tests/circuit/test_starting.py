"""Inrush and coils: sums over what can flow together, by hand."""

from __future__ import annotations

import pytest

from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.starting import coil_amps, greatest_of_coils, greatest_start, inrush_beyond, loads_behind
from tests.circuit.drawn import drawn, part

LATCH = "electrified-latch {} {{ rated 24 Vdc, 500 mA; inrush 16 A for 300 ms; suppression built in }}\n"


def latches(*names: str) -> str:
    return "".join(LATCH.format(name) for name in names)


def started(facts: Facts, key: str) -> tuple[float, list[str]]:
    """Amperes at once through a part, and the devices that start."""
    start = greatest_start(facts, part(facts, key))
    return start.amps, [load.device for load in start.loads]


FOUR = (
    "supply PS1 { output 24 Vdc, 4 A }\n"
    + latches("EL1", "EL2", "EL3", "EL4")
    + "".join(
        f"""
        reader RD{i} {{ rated 24 Vdc, 80 mA; contacts 20 A at 30 Vdc }}
        wire PS1:+ to RD{i}:power+ to RD{i}:COM
        wire RD{i}:NO to EL{i}:+
        wire EL{i}:- to RD{i}:power- to PS1:-
        """
        for i in range(1, 5)
    )
)


def test_four_latches_that_four_readers_can_start_at_once() -> None:
    # 4 x 16 A + 4 x 80 mA of readers = 64.32 A, whichever signals bring it about.
    facts = drawn(FOUR)
    amps, loads = started(facts, "PS1.main")
    assert amps == pytest.approx(64.32)
    assert loads == ["EL1", "EL2", "EL3", "EL4"]


def test_each_reader_carries_its_own_latch_alone() -> None:
    facts = drawn(FOUR)
    contact = next(b for b in facts.branches("contact", "RD2") if b.b == "RD2:NO")
    assert started(facts, contact.key) == (pytest.approx(16.0), ["EL2"])
    assert [load.device for load in loads_behind(facts, contact, inrush_beyond)] == ["EL2"]


def test_a_changeover_starts_one_at_a_time() -> None:
    # Either latch 16 A; never both. Through the common jumper's contact each 16 A.
    facts = drawn(
        "supply PS1 { output 24 Vdc, 2 A }\nkey-switch KS1 { action maintained }\n"
        + latches("EL1", "EL2")
        + """
        wire PS1:+ to KS1:COM
        wire KS1:NO to EL1:+
        wire KS1:NC to EL2:+
        wire EL1:- to EL2:- to PS1:-
        """
    )
    amps, loads = started(facts, "PS1.main")
    assert amps == pytest.approx(16.0)
    assert len(loads) == 1
    assert len(loads_behind(facts, part(facts, "PS1.main"), inrush_beyond)) == 2


def test_of_two_contacts_side_by_side_either_may_carry_all() -> None:
    facts = drawn(
        "supply PS1 { output 24 Vdc, 2 A }\npush-button SB1\npush-button SB2\n"
        + latches("EL1")
        + """
        wire PS1:+ to SB1:COM to SB2:COM
        wire SB1:NO to SB2:NO to EL1:+
        wire EL1:- to PS1:-
        """
    )
    for name in ("SB1", "SB2"):
        contact = next(b for b in facts.branches("contact", name) if b.b == f"{name}:NO")
        assert started(facts, contact.key)[0] >= 15.999


def test_a_contact_with_a_dead_end_behind_it_carries_only_what_it_feeds() -> None:
    # SB1 feeds L1 (50 mA), and EL1 by way of SB2. With SB2 at rest EL1 hangs on the plus past SB3.
    facts = drawn(
        "supply PS1 { output 24 Vdc, 2 A }\npush-button SB1\nkey-switch KS1\nindicator L1 { rated 24 Vdc, 50 mA }\n"
        + latches("EL1")
        + """
        wire PS1:+ to SB1:COM to KS1:NO
        wire SB1:NO to L1:+ to KS1:NC
        wire KS1:COM to EL1:+
        wire EL1:- to L1:- to PS1:-
        """
    )
    # Key at rest and button pressed: lamp and latch through the button, 16.05 A. Key turned: the latch through the key.
    contact = next(b for b in facts.branches("contact", "SB1") if b.b == "SB1:NO")
    assert started(facts, contact.key)[0] == pytest.approx(16.05, abs=1e-3)
    key = next(b for b in facts.branches("contact", "KS1") if "KS1:NO" in (b.a, b.b))
    assert started(facts, key.key) == (pytest.approx(16.0), ["EL1"])


def test_circuits_of_one_supply_add_up_over_shared_signals() -> None:
    # One alarm relay: at rest its NC feeds EL1 (16 A), on alarm its NO feeds EL2 (16 A) and a buzzer of 100 mA.
    facts = drawn(
        "supply PS1 { output 24 Vdc, 2 A }\nfire-alarm-relay FA1 { poles 2 }\nbuzzer BZ1 { rated 24 Vdc, 100 mA }\n"
        + latches("EL1", "EL2")
        + """
        wire PS1:+ to FA1:COM1 to FA1:COM2
        wire FA1:NC1 to EL1:+
        wire FA1:NO2 to EL2:+ to BZ1:+
        wire EL1:- to EL2:- to BZ1:- to PS1:-
        """
    )
    assert started(facts, "PS1.main") == (pytest.approx(16.1), ["EL2"])


def test_no_inrush_stated_is_the_steady_current() -> None:
    facts = drawn(
        """
        supply PS1 { output 24 Vdc, 2 A }
        magnetic-lock ML1 { rated 24 Vdc, 250 mA }
        wire PS1:+ to ML1:+
        wire ML1:- to PS1:-
        """
    )
    assert started(facts, "PS1.main") == (pytest.approx(0.25), [])


def test_an_inrush_below_the_steady_current_adds_nothing() -> None:
    facts = drawn(
        """
        supply PS1 { output 24 Vdc, 2 A }
        electric-strike ES1 { rated 24 Vdc, 225 mA; inrush 100 mA for 50 ms; fails secure }
        wire PS1:+ to ES1:+
        wire ES1:- to PS1:-
        """
    )
    assert started(facts, "PS1.main") == (pytest.approx(0.225), [])


def test_loads_in_series_are_not_fed_and_start_nothing() -> None:
    facts = drawn(
        "supply PS1 { output 24 Vdc, 2 A }\n"
        + latches("EL1", "EL2")
        + "wire PS1:+ to EL1:+\nwire EL1:- to EL2:+\nwire EL2:- to PS1:-\n"
    )
    assert started(facts, "PS1.main")[1] == []


def test_coils_of_a_contact_count_without_the_electronics_beside_them() -> None:
    # 200 mA of strike and 40 mA of relay coil; the lamp's 600 mA are no coil's.
    facts = drawn(
        """
        supply PS1 { output 24 Vdc, 2 A }
        key-switch KS1
        electric-strike ES1 { rated 24 Vdc, 200 mA; fails secure }
        relay K1 { coil 24 Vdc, 40 mA }
        indicator L1 { rated 24 Vdc, 600 mA }
        wire PS1:+ to KS1:COM
        wire KS1:NO to ES1:+ to L1:+ to K1:A1
        wire ES1:- to L1:- to K1:A2 to PS1:-
        """
    )
    contact = next(b for b in facts.branches("contact", "KS1") if b.b == "KS1:NO")
    found = greatest_of_coils(facts, contact)
    assert found.amps == pytest.approx(0.24)
    assert [load.device for load in found.loads] == ["ES1", "K1"]
    assert [load.device for load in loads_behind(facts, contact, coil_amps)] == ["ES1", "K1"]


def test_a_part_on_no_loop_carries_nothing() -> None:
    facts = drawn("supply PS1 { output 24 Vdc, 2 A }\npush-button SB1\nwire PS1:+ to SB1:COM\n")
    contact = next(b for b in facts.branches("contact", "SB1") if b.b == "SB1:NO")
    assert started(facts, contact.key) == (0.0, [])
    assert greatest_of_coils(facts, contact).amps == 0.0


def test_what_could_not_be_worked_out_is_said() -> None:
    # A supply of AC and one of DC on one latch: the network is not assessed.
    facts = drawn(
        "supply PS1 { output 24 Vdc, 2 A }\ntransformer T1 { output 24 Vac, 40 VA }\n"
        + latches("EL1")
        + "wire PS1:+ to T1:X1 to EL1:+\nwire PS1:- to T1:X2 to EL1:-\n"
    )
    with pytest.raises(NotAssessed, match="AC and DC meet"):
        greatest_start(facts, part(facts, "PS1.main"))
