"""What stands behind a protector, and what leaves a source with none before it: small drawings, read by eye."""

from __future__ import annotations

import pytest

from plancheck.circuit.facts import Facts
from plancheck.plan.graph import Branch
from tests.circuit.drawn import drawn

LOCK = "magnetic-lock {} {{ rated 24 Vdc, 250 mA; suppression built in }}\n"
ONE = "supply PS1 { output 24 Vdc, 8 A }\nfuse F1 { rated 1 A }\n" + LOCK.format("ML1")
CABLES = "cable C1 { conductors 4 of 16 AWG; length 60 ft }\ncable C2 { conductors 4 of 22 AWG; length 3 ft }\n"


def source(facts: Facts, device: str = "PS1") -> Branch:
    return facts.branches("source", device)[0]


def conductors(branches: list[Branch]) -> list[str]:
    """`C1/red`, in the order that was told."""
    return [f"{b.wire.cable}/{b.wire.colour}" if b.wire and b.wire.cable else b.key for b in branches]


def guarded(facts: Facts, device: str) -> list[str]:
    (protector,) = facts.branches("protector", device)
    return conductors(facts.touch.protection.guarded(protector))


def open_runs(facts: Facts, device: str = "PS1") -> list[str]:
    return conductors(facts.touch.protection.open_runs(source(facts, device)))


def bare(facts: Facts, device: str, *fused: str) -> list[str]:
    return facts.touch.protection.bare_devices(source(facts, device), fused)


# --- behind a protector ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("one", "two"), [("1", "2"), ("2", "1")])
def test_the_run_behind_a_fuse_and_its_return(one: str, two: str) -> None:
    # Whichever way round the fuse is drawn.
    facts = drawn(
        ONE + CABLES + f"wire PS1:+ to F1:{one}\nwire F1:{two} to ML1:+ in C1/red\nwire ML1:- to PS1:- in C1/black\n"
    )
    assert guarded(facts, "F1") == ["C1/red", "C1/black"]


def test_a_run_to_the_fuse_is_not_behind_it() -> None:
    facts = drawn(ONE + CABLES + "wire PS1:+ to F1:1 in C1/red\nwire F1:2 to ML1:+ in C2/red\nwire ML1:- to PS1:-\n")
    assert guarded(facts, "F1") == ["C2/red"]
    assert open_runs(facts) == []  # there is no run back: a jumper joins lock and minus


def test_behind_contacts_in_whatever_position_down_to_the_thin_cord() -> None:
    facts = drawn(
        ONE
        + CABLES
        + """
        push-button SB1
        wire PS1:+ to F1:1
        wire F1:2 to SB1:COM in C1/red
        wire SB1:NO to ML1:+ in C2/red
        wire ML1:- to PS1:- in C1/black
        """
    )
    assert guarded(facts, "F1") == ["C1/red", "C2/red", "C1/black"]


CHAIN = (
    ONE
    + CABLES
    + """
    fuse F0 { rated 10 A }
    wire PS1:+ to F0:1
    wire F0:2 to F1:1 in C1/red
    wire F1:2 to ML1:+ in C2/red
    wire ML1:- to PS1:- in C2/black
    """
)


def test_each_of_two_in_a_row_guards_up_to_the_next() -> None:
    facts = drawn(CHAIN)
    assert guarded(facts, "F0") == ["C1/red"]
    assert guarded(facts, "F1") == ["C2/red", "C2/black"]


def test_a_fuse_in_the_minus_leg() -> None:
    facts = drawn(ONE + CABLES + "wire PS1:+ to ML1:+ in C1/red\nwire ML1:- to F1:1 in C1/black\nwire F1:2 to PS1:-\n")
    assert guarded(facts, "F1") == ["C1/red", "C1/black"]
    assert open_runs(facts) == []


def test_a_fuse_with_a_wire_past_it_guards_nothing() -> None:
    facts = drawn(
        ONE + CABLES + "wire PS1:+ to F1:1 to ML1:+\nwire F1:2 to ML1:+ in C1/red\nwire ML1:- to PS1:- in C1/black\n"
    )
    assert guarded(facts, "F1") == []


def test_the_return_of_a_neighbour_is_not_behind_it() -> None:
    # Both returns meet at the terminal block; ML2 has its own fuse and its thin pair.
    facts = drawn(
        ONE
        + CABLES
        + LOCK.format("ML2")
        + """
        fuse F2 { rated 1 A }
        terminal-block TB1 { positions 2 }
        wire PS1:+ to F1:1 to F2:1
        wire F1:2 to ML1:+ in C1/red
        wire F2:2 to ML2:+ in C2/red
        wire ML1:- to TB1:a1 in C1/black
        wire ML2:- to TB1:a1 in C2/black
        wire TB1:b1 to PS1:- in C1/green
        """
    )
    assert guarded(facts, "F1") == ["C1/red", "C1/black", "C1/green"]
    assert guarded(facts, "F2") == ["C2/red", "C2/black", "C1/green"]


def test_loads_behind_a_protector() -> None:
    facts = drawn(CHAIN + LOCK.format("ML2") + "wire F0:2 to ML2:+\nwire ML2:- to PS1:-\n")
    behind = facts.touch.protection.loads_behind
    assert [b.device for b in behind(facts.branches("protector", "F0")[0])] == ["ML2"]
    assert [b.device for b in behind(facts.branches("protector", "F1")[0])] == ["ML1"]


def test_a_board_with_a_fuse_for_each_output() -> None:
    facts = drawn(
        ONE
        + CABLES
        + """
        fused-distribution FB1 { outputs 2; rated 2 A }
        wire PS1:+ to FB1:in+
        wire PS1:- to FB1:in-
        wire FB1:out1+ to ML1:+ in C1/red
        wire ML1:- to FB1:out1- in C1/black
        """
    )
    first, second = facts.branches("protector", "FB1")
    assert conductors(facts.touch.protection.guarded(first)) == ["C1/red", "C1/black"]
    assert facts.touch.protection.guarded(second) == []
    assert open_runs(facts) == []


# --- from a source -----------------------------------------------------------------------------------------


def test_runs_with_no_protector_before_them() -> None:
    facts = drawn(
        ONE
        + CABLES
        + LOCK.format("ML2")
        + """
        wire PS1:+ to F1:1
        wire F1:2 to ML1:+ in C1/red
        wire PS1:+ to ML2:+ in C1/white
        wire ML1:- to PS1:- in C1/black
        wire ML2:- to PS1:- in C1/green
        """
    )
    assert open_runs(facts) == ["C1/white"]


def test_a_contact_or_a_diode_in_the_feed_protects_nothing() -> None:
    facts = drawn(
        ONE
        + CABLES
        + """
        key-switch KS1
        diode D1 { rated 400 V, 1 A }
        wire PS1:+ to KS1:COM
        wire KS1:NC to D1:anode
        wire D1:cathode to ML1:+ in C1/red
        wire ML1:- to PS1:- in C1/black
        """
    )
    assert open_runs(facts) == ["C1/red"]


def test_a_diode_that_suppresses_a_coil_leads_nowhere() -> None:
    facts = drawn(
        ONE
        + CABLES
        + """
        diode D1 { rated 400 V, 1 A }
        wire PS1:+ to F1:1
        wire F1:2 to ML1:+ to D1:cathode
        wire ML1:- to D1:anode
        wire ML1:- to PS1:- in C1/black
        """
    )
    assert open_runs(facts) == []


def test_both_legs_of_a_transformer() -> None:
    facts = drawn(
        CABLES
        + """
        transformer T1 { output 24 Vac, 150 VA }
        electric-strike ES1 { rated 24 Vac, 300 mA; fails secure }
        wire T1:X1 to ES1:+ in C1/red
        wire T1:X2 to ES1:- in C1/black
        """
    )
    assert open_runs(facts, "T1") == ["C1/red", "C1/black"]


IN_THE_MINUS = ONE + CABLES + "wire PS1:+ to ML1:+ in C1/red\nwire ML1:- to F1:1 in C1/black\nwire F1:2 to PS1:-\n"


def test_a_protector_in_the_minus_is_passed_by_where_that_is_earthed() -> None:
    # A fault from red to earth goes back to the minus through earth; without earth it has to come by black and F1.
    earthed = "supply PS2 { output 24 Vdc, 1 A; earthed }\nwire PS1:- to PS2:-\n"
    assert open_runs(drawn(IN_THE_MINUS)) == []
    assert open_runs(drawn(IN_THE_MINUS.replace("8 A }", "8 A; earthed }"))) == ["C1/red"]
    assert open_runs(drawn(IN_THE_MINUS + earthed)) == ["C1/red"]


def test_in_the_plus_of_an_earthed_supply_it_counts_whatever_the_minus_is() -> None:
    fused = ONE.replace("8 A }", "8 A; earthed }") + CABLES + "wire PS1:+ to F1:1\nwire F1:2 to ML1:+ in C1/red\n"
    assert open_runs(drawn(fused + "wire ML1:- to PS1:- in C1/black\n")) == []
    # a run to the fuse is bare, though nothing but a jumper leads back
    late = ONE.replace("8 A }", "8 A; earthed }") + CABLES + "wire PS1:+ to F1:1 in C1/red\nwire F1:2 to ML1:+\n"
    assert open_runs(drawn(late + "wire ML1:- to PS1:-\n")) == ["C1/red"]


# --- batteries ---------------------------------------------------------------------------------------------

CELLS = "battery B1 { rated 12 Vdc, 7 Ah }\nbattery B2 { rated 12 Vdc, 7 Ah }\nfuse F1 { rated 5 A }\n"
STRIKE = "electric-strike ES1 { rated 24 Vdc, 225 mA; fails secure }\n"
SERIES = CELLS + STRIKE + "wire B1:- to B2:+\nwire ES1:- to B2:-\n"


def test_a_fuse_anywhere_in_a_string_of_batteries_is_enough() -> None:
    facts = drawn(SERIES + "wire B1:+ to F1:1\nwire F1:2 to ES1:+\n")
    assert (bare(facts, "B1"), bare(facts, "B2")) == ([], [])


def test_a_string_without_one() -> None:
    facts = drawn(SERIES + "wire B1:+ to ES1:+\n")
    assert (bare(facts, "B1"), bare(facts, "B2")) == (["ES1"], ["ES1"])
    assert (bare(facts, "B1", "B1"), bare(facts, "B2", "B1")) == (["ES1"], [])  # B1 has one inside: it is not asked


def test_batteries_side_by_side_are_bare_to_each_other() -> None:
    facts = drawn(CELLS + STRIKE + "wire B1:+ to B2:+ to F1:1\nwire F1:2 to ES1:+\nwire ES1:- to B1:- to B2:-\n")
    assert (bare(facts, "B1"), bare(facts, "B2")) == (["B2"], ["B1"])


def test_a_charger_on_a_bare_lead() -> None:
    facts = drawn(
        CELLS.replace("battery B2 { rated 12 Vdc, 7 Ah }", "supply PS1 { output 13.6 Vdc, 2 A }")
        + "wire B1:+ to PS1:+\nwire B1:- to PS1:-\n"
    )
    assert bare(facts, "B1") == ["PS1"]


def test_a_fuse_between_a_battery_and_the_earthed_minus_counts_and_one_behind_that_does_not() -> None:
    parts = CELLS.replace("battery B2 { rated 12 Vdc, 7 Ah }", "supply PS1 { output 13.6 Vdc, 2 A; earthed }")
    parts += STRIKE + "wire B1:+ to PS1:+ to ES1:+\n"
    before = drawn(parts + "wire B1:- to F1:1\nwire F1:2 to PS1:- to ES1:-\n")
    assert bare(before, "B1") == []
    behind = drawn(parts + "wire B1:- to PS1:-\nwire ES1:- to F1:1\nwire F1:2 to PS1:-\n")
    assert bare(behind, "B1") == ["PS1", "ES1"]
