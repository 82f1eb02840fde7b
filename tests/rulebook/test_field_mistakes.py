"""Wiring mistakes as they are met in the field, each found by the rule that speaks of it; and its sound neighbour.

Which mistakes are made is common practice, no source. What is expected was worked out from the drawings by hand.
"""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest

from plancheck.library.load import load_library
from plancheck.review.report import PlanReport
from plancheck.review.review import review_text
from plancheck.source import Source

PARTS = """
plan "field"
revision "A" dated 2026-11-02
jurisdiction us
ambient 0 degC to 40 degC
supply PS1 { output 24 Vdc, 2 A; class 2 }
radio-receiver RX1 {
    channels 1; channel 1 timed 5 s; rated 24 Vdc, 45 mA; contacts 5 A at 30 Vdc; inductive 2 A; band 433.92 MHz
}
transmitter TX1 { buttons 1; button 1 works RX1:ch1; band 433.92 MHz }
magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
electric-strike ES1 { rated 24 Vdc, 225 mA; fails secure; suppression built in }
wire PS1:+ to RX1:power+
wire RX1:power- to PS1:-
"""
STRIKE = "wire PS1:+ to RX1:COM\nwire RX1:NO to ES1:+\nwire ES1:- to PS1:-\n"
CABLE = "cable C1 { conductors 2 of 18 AWG; length 60 ft; colours red, black }\n"
SECOND = "supply PS2 { output 24 Vdc, 2 A; class 2 }\n"

MISTAKES = {
    "a magnet on NO": (
        "wire PS1:+ to RX1:COM\nwire RX1:NO to ML1:+\nwire ML1:- to PS1:-",
        "wiring/contact-inverted",
    ),
    "a fail-secure strike on NC": (
        "wire PS1:+ to RX1:COM\nwire RX1:NC to ES1:+\nwire ES1:- to PS1:-",
        "wiring/contact-inverted",
    ),
    "COM and NO exchanged, where COM and NC were meant": (
        "wire PS1:+ to RX1:NO\nwire RX1:COM to ML1:+\nwire ML1:- to PS1:-",
        "wiring/contact-inverted",
    ),
    "COM left unwired, a dry relay taken for a wet one": (
        "wire RX1:NO to ES1:+\nwire ES1:- to PS1:-",
        "wiring/terminal-unwired",
    ),
    "the return left unconnected": ("wire PS1:+ to RX1:COM\nwire RX1:NO to ES1:+", "wiring/terminal-unwired"),
    "NO and NC both to the lock": (
        "wire PS1:+ to RX1:COM\nwire RX1:NO to RX1:NC to ML1:+\nwire ML1:- to PS1:-",
        "wiring/contact-without-effect",
    ),
    "a wet output tied to another supply": (
        SECOND + STRIKE + "wire PS2:+ to ES1:+\nwire PS2:- to PS1:-",
        "electrical/back-feed",
    ),
    "the alarm contact breaks one return of two that are joined": (
        "fire-alarm-relay FA1 { contacts 2 A at 30 Vdc; inductive 1 A; latches until reset }\n"
        "wire PS1:+ to ML1:+\nwire ML1:- to FA1:COM\nwire FA1:NC to PS1:-\nwire ML1:- to ES1:-\nwire ES1:- to PS1:-\n"
        "wire PS1:+ to RX1:COM\nwire RX1:NO to ES1:+",
        "wiring/contact-without-effect",
    ),
    "a splice to the wrong colour": (
        CABLE + "cable C2 { conductors 2 of 18 AWG; length 10 ft; colours red, black }\n"
        "terminal-block TB1 { positions 2 }\nwire PS1:+ to RX1:COM\nwire RX1:NO to TB1:a1 in C1/red\n"
        "wire TB1:b1 to ES1:+ in C2/black\nwire ES1:- to TB1:b2 in C2/red\nwire TB1:a2 to PS1:- in C1/black",
        "wiring/colour-changed",
    ),
    "one conductor for two circuits": (
        CABLE + "wire PS1:+ to RX1:COM\nwire RX1:NO to ES1:+ in C1/red\nwire ES1:- to PS1:- in C1/red",
        "wiring/conductor-used-twice",
    ),
    "four wires in a two-conductor cable": (
        "cable C1 { conductors 2 of 18 AWG; length 60 ft }\nwire PS1:+ to RX1:COM\nwire RX1:NO to ES1:+ in C1/red\n"
        "wire ES1:- to PS1:- in C1/black\nwire RX1:COM to ML1:+ in C1/white\nwire ML1:- to PS1:- in C1/green",
        "wiring/more-conductors-than-cable",
    ),
    "remote and receiver on two bands": (
        STRIKE + "transmitter TX2 { buttons 1; button 1 works RX1:ch1; band 868.3 MHz }",
        "wiring/band-mismatch",
    ),
    "a button paired to no channel": (STRIKE + "transmitter TX2 { buttons 2 }", "wiring/transmitter-unpaired"),
    "a channel that nobody works": (
        "radio-receiver RX2 { channels 1; rated 24 Vdc, 45 mA; contacts 5 A at 30 Vdc; inductive 2 A }\n"
        "wire PS1:+ to RX2:power+ to RX2:COM\nwire RX2:NO to ES1:+\nwire ES1:- to RX2:power- to PS1:-",
        "wiring/channel-unworked",
    ),
    "a remote antenna, the own link left": (
        STRIKE + "antenna AN1\nwire AN1:feed to RX1:antenna",
        "wiring/antenna-link-not-opened",
    ),
    "a latched channel on a strike": (
        "radio-receiver RX2 { channels 1; channel 1 latched; rated 24 Vdc, 45 mA; contacts 5 A at 30 Vdc }\n"
        "wire PS1:+ to RX2:power+ to RX2:COM\nwire RX2:NO to ES1:+\nwire ES1:- to RX2:power- to PS1:-",
        "wiring/latched-channel",
    ),
    "drop reckoned one way only: 4 % out is 8 % out and back": (
        # 18 AWG stranded at 40 degC 7.02 ohm/kft; 275 ft one way 1.93 ohm; 0.5 A: 0.97 V, 4.0 % of 24 V.
        "cable C1 { conductors 2 of 18 AWG; length 275 ft }\n"
        "magnetic-lock ML2 { rated 24 Vdc, 500 mA; suppression built in }\n"
        "wire PS1:+ to ML2:+ in C1/red\nwire ML2:- to PS1:- in C1/black",
        "electrical/loop-drop",
    ),
    "locks in a chain, the last one weak": (
        # One lock loses 3.4 % of 24 V in 120 ft. In a chain the first leg carries three locks, the second two.
        "cable C1 { conductors 2 of 18 AWG; length 120 ft }\ncable C2 { conductors 2 of 18 AWG; length 120 ft }\n"
        "cable C3 { conductors 2 of 18 AWG; length 120 ft }\n"
        "magnetic-lock ML2 { rated 24 Vdc, 500 mA; suppression built in }\n"
        "magnetic-lock ML3 { rated 24 Vdc, 500 mA; suppression built in }\n"
        "magnetic-lock ML4 { rated 24 Vdc, 500 mA; suppression built in }\n"
        "wire PS1:+ to ML2:+ in C1/red\nwire ML2:+ to ML3:+ in C2/red\nwire ML3:+ to ML4:+ in C3/red\n"
        "wire ML4:- to ML3:- in C3/black\nwire ML3:- to ML2:- in C2/black\nwire ML2:- to PS1:- in C1/black",
        "electrical/least-volts-at-load",
    ),
    "millimetres for a gauge": (
        "cable C1 { conductors 2 of 18 mm2; length 60 ft }\nwire PS1:+ to RX1:COM\nwire RX1:NO to ES1:+ in C1/red\n"
        "wire ES1:- to PS1:- in C1/black",
        "wiring/run-implausible",
    ),
    "a button with nothing behind it": (STRIKE + "push-button SB1 { contacts 3 A at 30 Vdc }", "wiring/device-unused"),
    "two returns joined at the frame": (
        SECOND + "wire PS1:+ to RX1:COM\nwire RX1:NO to ES1:+\nwire ES1:- to PS1:-\nwire PS2:+ to ML1:+\n"
        "wire ML1:- to PS2:-\nwire ML1:- to ES1:-",
        "wiring/return-shared-between-supplies",
    ),
}
SOUND = {
    "a strike on NO": STRIKE,
    "a magnet on NC": "wire PS1:+ to RX1:COM\nwire RX1:NC to ML1:+\nwire ML1:- to PS1:-",
    "a strike in its cable": CABLE
    + "wire PS1:+ to RX1:COM\nwire RX1:NO to ES1:+ in C1/red\nwire ES1:- to PS1:- in C1/black",
    "a magnet on NC and a strike on NO of one contact": STRIKE + "wire RX1:NC to ML1:+\nwire ML1:- to PS1:-",
    "two supplies bonded, each with its lock": SECOND
    + STRIKE
    + "key-switch KS1 { action maintained; contacts 3 A at 30 Vdc; inductive 1.5 A }\nwire PS2:+ to KS1:COM\n"
    "wire KS1:NC to ML1:+\nwire ML1:- to PS2:-\nwire PS1:- to PS2:-",
}


@cache
def found(text: str) -> frozenset[str]:
    report = reviewed(text)
    return frozenset(finding.rule for finding in report.findings)


def reviewed(text: str) -> PlanReport:
    library = load_library([])
    source = Source("a.plan", PARTS + text + "\n")
    return review_text(source, library.kinds, library.rulebook, lambda name, by: "nothing to use", date(2026, 11, 25))


@pytest.mark.parametrize(("text", "rule"), MISTAKES.values(), ids=MISTAKES)
def test_the_mistake_is_found(text: str, rule: str) -> None:
    assert rule in found(text)
    assert "file/reading" not in found(text)


@pytest.mark.parametrize("text", SOUND.values(), ids=SOUND)
def test_its_sound_neighbour_is_not(text: str) -> None:
    # A lock that is drawn and not wired is told by its terminals; nor has it a door here; nothing else is told.
    assert found(text) <= {"wiring/terminal-unwired", "egress/lock-of-no-door"}
    unwired = {finding.subject for finding in reviewed(text).findings}
    assert {subject.partition(":")[0] for subject in unwired} <= {"ML1", "ES1"}


@pytest.mark.parametrize("rule", sorted({rule for _, rule in MISTAKES.values() if rule.startswith("wiring/")}))
def test_each_rule_is_found_by_its_own_mistake_and_not_by_the_sound_ones(rule: str) -> None:
    if rule != "wiring/terminal-unwired":
        assert all(rule not in found(text) for text in SOUND.values())


def test_thirty_awg_is_the_thinnest() -> None:
    # ASTM B258: d = 0.127 mm x 92^((36 - n) / 39) (published); a quarter of pi times its square.
    area = 3.141592653589793 / 4 * (0.127 * 92 ** ((36 - 30) / 39)) ** 2
    library = load_library([])
    (rule,) = (rule for rule in library.rulebook.rules if rule.id == "wiring/run-implausible")
    assert area == pytest.approx(0.0509, abs=1e-4)
    text = (
        "cable C1 { conductors 2 of %d AWG; length 60 ft }\nwire PS1:+ to RX1:COM\n"
        "wire RX1:NO to ES1:+ in C1/red\nwire ES1:- to PS1:- in C1/black"
    )
    assert rule.id not in found(text % 30)
    assert rule.id in found(text % 31)
