"""What stands across coils, and how far off: by hand from small drawings."""

from __future__ import annotations

import pytest

from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.suppression import (
    amps_through,
    clamping_volts,
    coil_amps,
    coils_alongside,
    release_delay,
    run_to_suppressor,
    suppressors_alongside,
    volts_left,
    working_volts,
)
from plancheck.plan.graph import Branch
from plancheck.plan.resolve import resolve
from plancheck.source import Source
from tests.circuit.drawn import drawn, part, shipped_kinds

FEED = "supply PS1 { output 24 Vdc, 2 A }\npush-button SB1 { contacts 3 A at 30 Vdc }\nwire PS1:+ to SB1:COM\n"
STRIKE = "electric-strike ES1 { rated 24 Vdc, 240 mA; fails secure; inductance 150 mH }\n"
WIRED = "wire SB1:NO to ES1:+\nwire ES1:- to PS1:-\n"
DIODE = "diode D1 { rated 400 V, 1 A }\nwire D1:cathode to ES1:+\nwire D1:anode to ES1:-\n"


def strike(facts: Facts) -> Branch:
    return part(facts, "ES1.coil")


def test_current_and_volts_of_a_coil_on_float() -> None:
    # 24 V / 240 mA = 100 ohm; float is 27.3 V
    facts = drawn(FEED.replace("2 A }\np", "2 A; battery 7 Ah }\np") + STRIKE + WIRED)
    assert working_volts(facts, strike(facts)) == pytest.approx(27.3)
    assert coil_amps(facts, strike(facts)) == pytest.approx(0.273)


def test_a_coil_that_nothing_feeds_works_at_no_volts() -> None:
    facts = drawn(STRIKE)
    assert working_volts(facts, strike(facts)) == 0.0


def test_what_is_alongside() -> None:
    twin = STRIKE.replace("ES1", "ES2").replace("mH }", "mH; suppression built in }")
    facts = drawn(FEED + STRIKE + twin + WIRED + DIODE + "wire ES1:+ to ES2:+\nwire ES1:- to ES2:-")
    assert [c.device for c in coils_alongside(facts, strike(facts))] == ["ES1", "ES2"]
    # D1, and what ES2 has built in
    assert suppressors_alongside(facts, strike(facts)) == 2
    # ES2 has its own: D1 carries the 240 mA of ES1
    assert amps_through(facts, strike(facts)) == pytest.approx(0.24)


def test_a_diode_for_two_bare_coils_carries_both_and_two_diodes_share() -> None:
    twin = STRIKE.replace("ES1", "ES2") + "wire ES1:+ to ES2:+\nwire ES1:- to ES2:-\n"
    facts = drawn(FEED + STRIKE + twin + WIRED + DIODE)
    assert amps_through(facts, strike(facts)) == pytest.approx(0.48)
    facts = drawn(FEED + STRIKE + twin + WIRED + DIODE + DIODE.replace("D1", "D2"))
    assert amps_through(facts, strike(facts)) == pytest.approx(0.24)


# --- where it sits -----------------------------------------------------------------------------------------

FAR = """
cable C1 { conductors 2 of 18 AWG; length 30 m; colours red, black }
cable C2 { conductors 2 of 18 AWG; length 20 m; colours red, black }
terminal-block TB1 { positions 2 }
diode D1 { rated 400 V, 1 A }
wire SB1:NO to D1:cathode
wire D1:cathode to TB1:a1 in C1/red
wire TB1:b1 to ES1:+ in C2/red
wire ES1:- to TB1:b2 in C2/black
wire TB1:a2 to PS1:- in C1/black
wire D1:anode to PS1:-
"""


def test_through_two_cables_and_a_terminal_block() -> None:
    facts = drawn(FEED + STRIKE + FAR)
    assert run_to_suppressor(facts, strike(facts)) == pytest.approx(50.0)


def test_the_nearest_suppressor_and_its_longer_leg_count() -> None:
    near = "diode D2 { rated 400 V, 1 A }\nwire D2:cathode to ES1:+ { length 2 m }\nwire D2:anode to ES1:-\n"
    facts = drawn(FEED + STRIKE + FAR + near)
    assert run_to_suppressor(facts, strike(facts)) == pytest.approx(2.0)


def test_the_shorter_of_two_ways_counts() -> None:
    around = "wire TB1:a1 to ES1:+ { length 5 m }\nwire TB1:a2 to ES1:- { length 5 m }\n"
    facts = drawn(FEED + STRIKE + FAR + around)
    assert run_to_suppressor(facts, strike(facts)) == pytest.approx(35.0)


def test_a_cable_of_no_stated_length_is_not_assessed() -> None:
    text = FEED + STRIKE + FAR.replace("; length 20 m", "")
    plan, mistakes = resolve(Source("a.plan", text), shipped_kinds(), lambda name, source: "no files here")
    assert "length" in mistakes[0].headline + mistakes[0].found + mistakes[0].expected
    facts = Facts(plan)
    with pytest.raises(NotAssessed, match="states no length"):
        run_to_suppressor(facts, strike(facts))


def test_without_a_suppressor_there_is_no_run() -> None:
    facts = drawn(FEED + STRIKE + WIRED)
    assert run_to_suppressor(facts, strike(facts)) is None


# --- what it does ------------------------------------------------------------------------------------------


def test_release_delay_by_hand() -> None:
    # 150 mH / 100 ohm = 1.5 ms; from 24 V to 2.4 V, 0.7 V added to both: 1.5 ms × ln(24.7 / 3.1) = 3.113 ms
    facts = drawn(FEED + STRIKE + WIRED + DIODE)
    assert release_delay(facts, strike(facts)) == pytest.approx(3.113e-3, abs=1e-6)


@pytest.mark.parametrize(
    "text",
    [FEED + STRIKE + WIRED, FEED + STRIKE.replace("; inductance 150 mH", "") + WIRED + DIODE],
    ids=["no diode", "no inductance"],
)
def test_no_delay_can_be_told(text: str) -> None:
    facts = drawn(text)
    assert release_delay(facts, strike(facts)) is None


def across(suppressor: str, kind_end: str = "1 2") -> float | None:
    one, two = kind_end.split()
    name = suppressor.split()[1]
    facts = drawn(FEED + STRIKE + WIRED + f"{suppressor}\nwire {name}:{one} to ES1:+\nwire {name}:{two} to ES1:-\n")
    return volts_left(facts, strike(facts))


def test_what_suppressors_leave() -> None:
    assert across("clamp MV1 { rated 38 Vdc }") == pytest.approx(95.0)  # two and a half times
    assert across("clamp MV1 { rated 38 Vdc; clamps at 77 V }") == pytest.approx(77.0)
    assert across("diode D1 { rated 400 V, 1 A }", "cathode anode") == pytest.approx(0.7)
    # √(24² + 0.24² × 0.15 / 1e-6) + 0.24 × 10 = 96 + 2.4
    assert across("snubber RC1 { rated 250 V; resistance 10 ohm; capacitance 1 uF }") == pytest.approx(98.4, abs=0.05)
    assert across("snubber RC1 { rated 250 V }") is None


def test_the_one_that_leaves_least_counts_and_what_does_not_clamp_has_no_clamping_volts() -> None:
    both = "clamp MV1 { rated 38 Vdc }\nwire MV1:1 to ES1:+\nwire MV1:2 to ES1:-\n"
    facts = drawn(FEED + STRIKE + WIRED + DIODE + both)
    assert volts_left(facts, strike(facts)) == pytest.approx(0.7)
    assert [clamping_volts(u) for u in facts.across(strike(facts))] == [None, 95.0]


def test_a_coil_of_no_current_is_not_assessed() -> None:
    facts = drawn(FEED + STRIKE.replace("240 mA", "0 mA") + WIRED)
    with pytest.raises(NotAssessed, match="rated 24 V and 0 A"):
        coil_amps(facts, strike(facts))
