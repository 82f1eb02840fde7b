"""Words about conductors, contacts, radio links and returns: judged on drawings worked out by hand."""

from __future__ import annotations

from datetime import date

import pytest

from plancheck.circuit.facts import Facts
from plancheck.library.load import load_library
from plancheck.plan.resolve import resolve
from plancheck.rulebook.judge import judge
from plancheck.rulebook.load import load_rules
from plancheck.source import Source
from tests.rulebook.small import rule_text

PLAN = """
plan "words"
supply PS1 { output 24 Vdc, 1 A }
supply PS2 { output 24 Vdc, 1 A }
supply PS3 { output 24 Vdc, 1 A; earthed }
supply PS4 { output 24 Vdc, 1 A; earthed }
radio-receiver RX1 { channels 2; channel 2 latched; rated 24 Vdc, 60 mA; band 433.92 MHz }
radio-receiver RX2 { channels 3; channel 1 timed 5 s; channel 4 momentary }
transmitter TX1 { buttons 2; button 1 works RX1:ch1; button 2 works RX1:ch2; button 2 works RX2:ch1 }
transmitter TX2 { buttons 2 }
antenna AN1
push-button SB1
magnetic-lock ML1 { rated 24 Vdc, 250 mA }
magnetic-lock ML2 { rated 24 Vdc, 250 mA }
magnetic-lock ML3 { rated 24 Vdc, 250 mA }
cable C1 { conductors 3 of 18 AWG; length 40 ft; colours red, black, white }
cable C2 { conductors 4 of 18 AWG; length 40 ft; colours red, black }
cable C3 { conductors 4 of 18 AWG; length 40 ft }
wire AN1:feed to RX1:antenna
wire PS1:+ to RX1:power+ to RX1:COM1 in C1/red
wire RX1:NO1 to ML1:+ in C1/blue
wire ML1:- to PS1:- in C2/blue
wire RX1:power- to PS1:- in C3/blue
wire PS2:+ to ML2:+
wire ML2:- to PS2:-
wire ML1:- to ML2:-
wire PS3:+ to ML3:+
wire ML3:- to PS3:-
wire ML3:- to PS4:-
wire RX1:NO2 to RX1:NC2
"""


def subjects(rule: str, plan: str = PLAN) -> list[str]:
    """What a rule speaks of on the plan."""
    library = load_library([])
    source = Source("a.plan", plan)
    drawn, mistakes = resolve(source, library.kinds, lambda name, by: "nothing to use here")
    assert mistakes == []
    rules, mistakes = load_rules([Source("t.rules", f"pack test\n{rule_text(rule)}")], library.kinds)
    assert [f"{m.headline} {m.found}" for m in mistakes] == []
    verdicts = judge(rules, Facts(drawn), date(2026, 11, 25))
    assert verdicts.gaps == ()
    return [finding.subject for finding in verdicts.findings]


WORDS = {
    "conductors in use": ("for each cable C\nrequire C.conductors-used <= 1", ["C1"]),
    "conductors in use, at least": ("for each cable C\nrequire C.conductors-used >= 2", ["C2", "C3"]),
    "colours named": ("for each cable C\nrequire C.colours-named <= 2", ["C1"]),
    "no colours named": ("for each cable C\nrequire C.colours-named >= 1", ["C3"]),
    "a colour that is not listed, where the list is whole": (
        "for each wire W\nrequire W.colour-listed",
        ["wire RX1:NO1 to ML1:+ in C1/blue"],
    ),
    "the first in its conductor": (
        "for each wire W\nwhere W.cable is C1 and W.colour is red\nrequire not W.first-in-conductor",
        ["wire PS1:+ to RX1:power+ in C1/red"],
    ),
    "one net": (
        "for each wire W, wire O\nwhere W.colour is red and O.cable is C2\nrequire W.net is not O.net",
        [],
    ),
    "nets in a conductor": ("for each wire W\nwhere W.cable is given\nrequire W.nets-in-conductor <= 1", []),
    "a device with terminals": ("for each device D\nrequire D.terminal-count >= 1", ["TX1", "TX2"]),
    "a device that needs wires": (
        "for each device D\nwhere D.terminal-count >= 1\nrequire D.needs-wires",
        ["SB1"],
    ),
    "who is wired to whom": (
        "for each device A, device R in A.wired-to\nwhere A.remote-antenna\nrequire no\nat R",
        ["RX1"],
    ),
    "returns that meet at loads": (
        # PS3 and PS4 meet at a load as well, but both are earthed.
        "for each device P, device O in P.returns-mixed-with\nrequire no\nat P",
        ["PS2"],
    ),
    "a contact wired through": (
        "for each contact C\nrequire not C.wired-through",
        ["RX1 COM1–NO1"],
    ),
    "whose channels buttons work": ("for each device T, device R in T.works\nrequire no\nat R", ["RX1", "RX2"]),
    "how many channels": ("for each device T\nwhere T.buttons is given\nrequire T.links >= 3", ["TX2"]),
    "the highest channel": (
        "for each device R\nwhere R.channels is given\nrequire R.highest-number <= R.channels",
        ["RX2"],
    ),
    "the highest button": (
        "for each device T\nwhere T.buttons is given\nrequire T.highest-number <= 1",
        ["TX1"],
    ),
    "nobody works it": (
        "for each device R, contact C of R\nwhere R.channels is given\n"
        "require (count device T in C.worked-by) >= 1\nat C",
        ["RX2 COM2–NC2", "RX2 COM2–NO2", "RX2 COM3–NC3", "RX2 COM3–NO3"],
    ),
    "how a channel acts": (
        "for each contact C\nrequire C.mode is not latched",
        ["RX1 COM2–NC2", "RX1 COM2–NO2"],
    ),
    "how a channel acts that goes back by itself": (
        "for each contact C\nrequire not (C.mode is one of timed, momentary)",
        ["RX2 COM1–NC1", "RX2 COM1–NO1"],
    ),
    "its channel's name": (
        "for each contact C\nwhere C.channel is ch3\nrequire no",
        ["RX2 COM3–NC3", "RX2 COM3–NO3"],
    ),
    "no run stated": ("for each load X\nrequire X.run-stated", ["ML2", "ML3"]),
}


@pytest.mark.parametrize(("rule", "expected"), WORDS.values(), ids=WORDS)
def test_a_word_says_what_the_drawing_shows(rule: str, expected: list[str]) -> None:
    assert sorted(subjects(rule)) == sorted(expected)


THROWS = """
plan "throws"
supply PS1 { output 24 Vdc, 1 A }
exit-button EB1
magnetic-lock ML1 { rated 24 Vdc, 250 mA }
wire ML1:- to PS1:-
wire PS1:+ to EB1:COM
"""


@pytest.mark.parametrize(
    ("wires", "told"),
    [
        ("wire EB1:NC to EB1:NO to ML1:+", ["EB1 COM–NC"]),
        ("wire EB1:NC to ML1:+", []),
        ("wire EB1:NC to EB1:NO to EB1:COM\nwire EB1:NC to ML1:+", []),
        ("wire EB1:NC to ML1:+\nwire EB1:COM2 to PS1:+\nwire EB1:NO2 to ML1:+", []),
    ],
    ids=["both throws", "one", "all three joined", "another common"],
)
def test_both_throws_of_a_contact(wires: str, told: list[str]) -> None:
    assert subjects("for each contact C, contact K in C.both-throws\nrequire no\nat C", THROWS + wires) == told


def test_a_bridged_contact_tells_the_way_around() -> None:
    plan = THROWS + "wire EB1:NC to ML1:+\nwire PS1:+ to ML1:+"
    assert subjects("for each contact C\nrequire not C.bridged", plan) == ["EB1 COM–NC"]
    assert subjects("for each contact C\nrequire not C.idle", plan) == ["EB1 COM–NC"]
    library = load_library([])
    (word,) = (w for w in library.rulebook.vocabulary.words.values() if (w.of, w.name) == ("contact", "way-around"))
    assert word.type.form == "text"


FEEDS = """
plan "returns"
supply PS1 { output 24 Vdc, 1 A }
supply PS2 { output 24 Vdc, 1 A }
terminal-block TB1 { positions 1 }
diode D1 { rated 400 V, 1 A }
diode D2 { rated 400 V, 1 A }
magnetic-lock ML1 { rated 24 Vdc, 250 mA }
magnetic-lock ML2 { rated 24 Vdc, 250 mA }
"""
RETURNS = {
    "apart": ("wire PS1:+ to ML1:+\nwire ML1:- to PS1:-\nwire PS2:+ to ML2:+\nwire ML2:- to PS2:-", []),
    "joined at the loads": (
        "wire PS1:+ to ML1:+\nwire ML1:- to PS1:-\nwire PS2:+ to ML2:+\nwire ML2:- to PS2:-\nwire ML1:- to ML2:-",
        ["PS2"],
    ),
    "joined at the loads, and bonded": (
        "wire PS1:+ to ML1:+\nwire ML1:- to PS1:-\nwire PS2:+ to ML2:+\nwire ML2:- to PS2:-\nwire ML1:- to ML2:-\n"
        "wire PS1:- to PS2:-",
        [],
    ),
    "bonded on a rail": (
        "wire PS1:+ to ML1:+\nwire ML1:- to TB1:a\nwire PS2:+ to ML2:+\nwire ML2:- to TB1:a\n"
        "wire PS1:- to TB1:b\nwire PS2:- to TB1:b",
        [],
    ),
    "one load fed by both": (
        "wire PS1:+ to D1:anode\nwire PS2:+ to D2:anode\nwire D1:cathode to ML1:+\nwire D2:cathode to ML1:+\n"
        "wire ML1:- to PS1:-\nwire ML1:- to PS2:-",
        [],
    ),
}


@pytest.mark.parametrize(("wires", "told"), RETURNS.values(), ids=RETURNS)
def test_returns_that_meet(wires: str, told: list[str]) -> None:
    rule = "for each device P, device O in P.returns-mixed-with\nrequire no\nat P"
    assert subjects(rule, FEEDS + wires) == told
