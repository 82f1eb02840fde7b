"""Rules about coils: the sums that findings show, and which of the rules speaks where several might."""

from __future__ import annotations

import pytest

from tests.rulebook.shipped import findings, steps, value, verdicts

FEED = "supply PS1 { output 12 Vdc, 2 A }\npush-button SB1 { contacts 3 A at 30 Vdc }\n"
RELAY = """
relay K1 { coil 12 Vdc, 43.6364 mA; inductance 2.29 H; contacts 5 A at 30 Vdc }
wire PS1:+ to SB1:COM
wire SB1:NO to K1:A1
wire K1:A2 to PS1:-
"""


def test_a_bare_coil_shows_its_energy_and_its_volts() -> None:
    """P, a forum, worked out again: 12 V, 275 ohm, 2.29 H: 43.6 mA, 2.18 mJ, about 212 V where cut in 0.5 ms."""
    (finding,) = findings("electrical/coil-suppression", FEED + RELAY)
    assert "about 211.9 V across the contact" in finding.found
    assert value(finding, "its current at 12 V") == pytest.approx(43.64, abs=0.005)
    assert value(finding, "½ ×") == pytest.approx(2.18, abs=0.005)
    assert value(finding, "12 V + 2.29 H") == pytest.approx(211.85, abs=0.05)


def test_a_bare_coil_of_unknown_inductance_is_found_all_the_same() -> None:
    (finding,) = findings("electrical/coil-suppression", FEED + RELAY.replace("inductance 2.29 H; ", ""))
    assert [what for what, _ in steps(finding)] == ["suppressors across K1"]


def test_the_delay_of_a_diode_step_by_step() -> None:
    """By hand: 275 ohm, 8.327 ms; 43.64 mA and, at 1.2 V, 4.364 mA; 8.327 ms × ln(12.7 / 1.9) = 15.82 ms."""
    diode = "diode D1 { rated 400 V, 1 A }\nwire D1:cathode to K1:A1\nwire D1:anode to K1:A2\n"
    assert findings("electrical/release-delay-by-diode", FEED + RELAY + diode) == ()
    slow = RELAY.replace("2.29 H", "22.9 H")
    (finding,) = findings("electrical/release-delay-by-diode", FEED + slow + diode)
    shown = [number for _, number in steps(finding)]
    assert shown == pytest.approx([275.0, 83.27, 43.64, 4.364, 0.1582], rel=1e-3)


AC = """
transformer T1 { output 24 Vac, 40 VA }
push-button SB1 { contacts 3 A at 30 Vdc }
electric-strike ES1 { rated 24 Vac, 500 mA; fails secure; inductance 200 mH }
wire T1:X1 to SB1:COM
wire SB1:NO to ES1:+
wire ES1:- to T1:X2
"""


def test_on_ac_a_coil_is_cut_at_the_crest() -> None:
    """By hand: 24 V and 500 mA × √2 = 33.94 V and 707.1 mA; ½ × 0.2 H × 0.5 A² = 50 mJ; 33.94 + 0.2 × 707.1 / 0.5."""
    (finding,) = findings("electrical/coil-suppression", AC)
    assert value(finding, "its current at") == pytest.approx(707.1, abs=0.05)
    assert value(finding, "½ ×") == pytest.approx(50.0, abs=0.05)
    assert value(finding, "33.94 V + 200 mH") == pytest.approx(316.8, abs=0.05)


def test_on_ac_a_snubber_begins_at_the_crest() -> None:
    """By hand: √(33.94² + 0.7071² × 0.15 / 0.6e-6) = 355.2 V, 7.07 V on top, and 33.94 V of the source: 396.2 V."""
    snubber = "snubber RC1 { rated 250 V; resistance 10 ohm; capacitance 0.6 uF }\nwire RC1:1 to ES1:+\n"
    text = AC.replace("200 mH", "150 mH") + snubber + "wire RC1:2 to ES1:-\n"
    (finding,) = findings("electrical/suppression-spares-contact", text)
    assert steps(finding)[-1][1] == pytest.approx(396.2, abs=0.05)


MAGNET = """
supply PS1 { output 24 Vdc, 2 A }
exit-button EB1 { contacts 3 A at 30 Vdc }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; inductance 90 H }
diode D1 { rated 400 V, 1 A }
wire PS1:+ to EB1:COM
wire EB1:NC to ML1:+ to D1:cathode
wire ML1:- to D1:anode to PS1:-
"""


def test_of_a_magnet_no_delay_is_told() -> None:
    """90 H over 96 ohm would be a time constant of a second: what a magnet does does not follow from it."""
    assert findings("electrical/release-delay-by-diode", MAGNET) == ()
    (finding,) = findings("electrical/suppression-suits-magnet", MAGNET)
    assert finding.subject == "D1"


def test_a_jumper_has_no_length() -> None:
    text = """
    supply PS1 { output 24 Vdc, 2 A }
    push-button SB1 { contacts 3 A at 30 Vdc }
    electric-strike ES1 { rated 24 Vdc, 225 mA; fails secure }
    diode D1 { rated 400 V, 1 A }
    wire PS1:+ to SB1:COM
    wire SB1:NO to D1:cathode
    wire D1:cathode to ES1:+ { size 18 AWG }
    wire ES1:- to D1:anode { size 18 AWG }
    wire D1:anode to PS1:-
    """
    assert findings("electrical/suppression-at-the-coil", text) == ()


def test_each_of_two_rules_tells_of_a_return_of_its_own() -> None:
    """The lock of the way out is told as life safety, the strike beside it as a warning; neither twice."""
    text = """
    supply PS1 { output 24 Vdc, 2 A; earthed }
    exit-button EB1 { contacts 3 A at 30 Vdc }
    push-button SB1 { contacts 3 A at 30 Vdc }
    magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
    electric-strike ES1 { rated 24 Vdc, 225 mA; fails secure; suppression built in }
    door D1 { on exit path; egress sensor release; locks ML1; button EB1 }
    door D2 { interior; egress free by lever; locks ES1 }
    wire PS1:+ to ML1:+ to ES1:+
    wire ML1:- to EB1:COM
    wire EB1:NC to PS1:-
    wire ES1:- to SB1:COM
    wire SB1:NO to PS1:-
    """
    (held,) = findings("electrical/return-switched-release", text)
    (switched,) = findings("electrical/return-switched", text)
    assert (held.subject, held.life_safety) == ("ML1", True)
    assert (switched.subject, switched.life_safety) == ("ES1", False)


def test_a_snubber_of_unknown_capacitance_is_not_asked_what_it_leaves() -> None:
    text = FEED + RELAY + "snubber RC1 { rated 250 V }\nwire RC1:1 to K1:A1\nwire RC1:2 to K1:A2\n"
    found = verdicts("electrical/suppression-spares-contact", text)
    assert (found.findings, found.gaps) == ((), ())


def test_clamp_energy_on_float() -> None:
    """By hand: 24 V and 2 A are 12 ohm; 27.3 V drive 2.275 A; ½ × 100 mH × 2.275² = 258.8 mJ, of 200 mJ."""
    text = """
    supply PS1 { output 24 Vdc, 5 A; battery 7 Ah }
    push-button SB1 { contacts 3 A at 30 Vdc }
    electric-bolt BT1 { rated 24 Vdc, 2 A; tolerates 20 Vdc to 28 Vdc; fails secure; inductance 100 mH }
    clamp MV1 { rated 38 Vdc; absorbs 200 mJ }
    wire PS1:+ to SB1:COM
    wire SB1:NO to BT1:+ to MV1:1
    wire BT1:- to MV1:2 to PS1:-
    """
    (finding,) = findings("electrical/clamp-suits-volts", text)
    assert value(finding, "½ × 100 mH") == pytest.approx(258.8, abs=0.05)
