"""Ratings and protection by the shipped rules: each mistake of the field has one finding, and sound oddities have none.

The mistakes and the sound things that look wrong are those that installers tell of; the sums stand beside them.
"""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest

from plancheck.library.load import Library, load_library
from plancheck.review.report import PlanReport
from plancheck.review.review import review_text
from plancheck.source import Source

HEAD = 'plan "Small"\nrevision "A" dated 2026-11-02\njurisdiction us\nambient 20 degC to 20 degC\n'


@cache
def _library() -> Library:
    found = load_library([])
    assert found.broken == ()
    return found


def report(text: str) -> PlanReport:
    library = _library()
    source = Source("small.plan", HEAD + text)
    found = review_text(source, library.kinds, library.rulebook, lambda name, at: "no files", date(2026, 11, 25))
    assert found.mistakes == ()
    return found


def told(text: str) -> list[tuple[str, str]]:
    """Which electrical rule speaks of what, suppression apart."""
    found = [(f.rule.removeprefix("electrical/"), f.subject) for f in report(text).findings]
    return sorted((rule, subject) for rule, subject in found if "/" not in rule and "suppression" not in rule)


def magnet(name: str, rating: str = "24 Vdc, 250 mA") -> str:
    return f"magnetic-lock {name} {{ rated {rating}; suppression built in }}\n"


PAIR = "wire PS1:+ to ML1:+\nwire ML1:- to PS1:-\n"
RUN = "cable C1 {{ conductors 2 of {} }}\n"

MISTAKES = {
    "a 24 V lock on 12 V": (
        "supply PS1 { output 12 Vdc, 2 A }\n" + magnet("ML1") + PAIR,
        [("voltage-mismatch", "ML1")],
    ),
    "a 12 V lock on 24 V": (
        "supply PS1 { output 24 Vdc, 2 A }\n" + magnet("ML1", "12 Vdc, 500 mA") + PAIR,
        [("voltage-mismatch", "ML1")],
    ),
    "a 12 V lock on 24 V with a battery": (
        "supply PS1 { output 24 Vdc, 2 A; battery 7 Ah; standby 1 h }\n" + magnet("ML1", "12 Vdc, 500 mA") + PAIR,
        [("voltage-mismatch", "ML1")],
    ),
    "a supply at 100 %": (
        "supply PS1 { output 24 Vdc, 250 mA }\n" + magnet("ML1") + PAIR,
        [("supply-headroom", "PS1")],
    ),
    "a supply at 120 %": (
        # 300 mA of 250 mA
        "supply PS1 { output 24 Vdc, 250 mA }\n" + magnet("ML1", "24 Vdc, 300 mA") + PAIR,
        [("overload", "PS1")],
    ),
    "inrush of four latches at once": (
        # 4 x 16 A = 64 A of 10 A
        "supply PS1 { output 24 Vdc, 10 A }\n"
        + "".join(
            f"electrified-latch EL{i} {{ rated 24 Vdc, 500 mA; inrush 16 A for 300 ms; suppression built in }}\n"
            f"wire PS1:+ to EL{i}:+\nwire EL{i}:- to PS1:-\n"
            for i in range(1, 5)
        ),
        [("inrush-headroom", "PS1")],
    ),
    "a fuse larger than the wire carries": (
        # 18 AWG carries 6 A
        "supply PS1 { output 24 Vdc, 12 A }\nfuse F1 { rated 10 A }\n"
        + magnet("ML1")
        + RUN.format("18 AWG; length 20 ft")
        + "wire PS1:+ to F1:1\nwire F1:2 to ML1:+ in C1/red\nwire ML1:- to PS1:- in C1/black\n",
        [("protector-size", "F1")],
    ),
    "a thin cord at the hinge in a thick run": (
        # 16 AWG carries 8 A, 22 AWG 3 A
        "supply PS1 { output 24 Vdc, 8 A }\nfuse F1 { rated 8 A }\nterminal-block TB1 { positions 2 }\n"
        + magnet("ML1")
        + RUN.format("16 AWG; length 20 ft")
        + "cable C2 { conductors 2 of 22 AWG; length 2 ft }\nwire PS1:+ to F1:1\n"
        + "wire F1:2 to TB1:a1 in C1/red\nwire TB1:b1 to ML1:+ in C2/red\n"
        + "wire ML1:- to TB1:b2 in C2/black\nwire TB1:a2 to PS1:- in C1/black\n",
        [("protector-size", "F1")],
    ),
    "no fuse in an output": (
        "supply PS1 { output 24 Vdc, 10 A }\n"
        + magnet("ML1")
        + RUN.format("18 AWG; length 20 ft")
        + "wire PS1:+ to ML1:+ in C1/red\nwire ML1:- to PS1:- in C1/black\n",
        [("protector-present", "PS1")],
    ),
    "a battery without a fuse": (
        "supply PS1 { output 27 Vdc, 2 A; class 2 }\nbattery B1 { rated 24 Vdc, 7 Ah }\n"
        + "magnetic-lock ML1 { rated 24 Vdc, 250 mA; tolerates 20 Vdc to 28.5 Vdc; suppression built in }\n"
        + "wire PS1:+ to B1:+ to ML1:+\nwire ML1:- to B1:- to PS1:-\n",
        [("protector-present", "B1")],
    ),
    "one fuse for all doors": (
        "supply PS1 { output 24 Vdc, 2 A }\nfuse F1 { rated 1 A }\n"
        + magnet("ML1")
        + magnet("ML2")
        + "door D1 { egress none; locks ML1 }\ndoor D2 { egress none; locks ML2 }\n"
        + "wire PS1:+ to F1:1\nwire F1:2 to ML1:+ to ML2:+\nwire ML1:- to ML2:- to PS1:-\n",
        [("protector-shared", "F1")],
    ),
    "a relay contact of 1 A that switches 3 A": (
        "supply PS1 { output 24 Vdc, 5 A }\nkey-switch KS1 { contacts 1 A at 30 Vdc; inductive 500 mA }\n"
        + magnet("ML1", "24 Vdc, 3 A")
        + "wire PS1:+ to KS1:COM\nwire KS1:NC to ML1:+\nwire ML1:- to PS1:-\n",
        [("contact-rating", "KS1 COM–NC")],
    ),
    "lock current through a reader's board": (
        # 1.5 A of coil: within 2 A resistive, beyond 1 A inductive
        "supply PS1 { output 24 Vdc, 5 A }\nreader RD1 { rated 24 Vdc, 80 mA; contacts 2 A at 30 Vdc; inductive 1 A }\n"
        + magnet("ML1", "24 Vdc, 1.5 A")
        + "wire PS1:+ to RD1:power+ to RD1:COM\nwire RD1:NC to ML1:+\nwire ML1:- to RD1:power- to PS1:-\n",
        [("contact-inductive-rating", "RD1 COM–NC")],
    ),
    "two supplies in parallel": (
        "supply PS1 { output 24 Vdc, 2 A }\nsupply PS2 { output 24 Vdc, 2 A }\n"
        + magnet("ML1")
        + PAIR
        + "wire PS2:+ to PS1:+\nwire PS2:- to PS1:-\n",
        [("paralleled-sources", "PS1")],
    ),
    "batteries in parallel for 24 V": (
        "battery B1 { rated 12 Vdc, 7 Ah; own fuse 5 A }\nbattery B2 { rated 12 Vdc, 7 Ah; own fuse 5 A }\n"
        + magnet("ML1")
        + "wire B1:+ to B2:+ to ML1:+\nwire ML1:- to B1:- to B2:-\n",
        [("paralleled-sources", "B1"), ("voltage-mismatch", "ML1")],
    ),
    "24 V 5 A called class 2": (
        # 120 VA of 100 VA
        "supply PS1 { output 24 Vdc, 5 A; class 2 }\n" + magnet("ML1") + PAIR,
        [("class-2-limits", "PS1")],
    ),
    "accessories over the operator's output": (
        # 4 x 60 mA = 240 mA of 200 mA
        "gate-operator GO1 { safety inputs 0; accessories 24 Vdc, 200 mA }\n"
        + "".join(f"buzzer BZ{i} {{ rated 24 Vdc, 60 mA }}\n" for i in range(1, 5))
        + "wire GO1:acc+ to BZ1:+ to BZ2:+ to BZ3:+ to BZ4:+\nwire GO1:acc- to BZ1:- to BZ2:- to BZ3:- to BZ4:-\n",
        [("overload", "GO1")],
    ),
    "more current than the wire carries": (
        # 4 x 1 A of 3 A in 22 AWG, over a foot of it, so that next to no volts are lost
        "supply PS1 { output 24 Vdc, 2 A; class 2; limits itself to 2 A }\nsupply PS2 { output 24 Vdc, 6 A }\n"
        + "fuse F1 { rated 5 A }\n"
        + "".join(magnet(f"ML{i}", "24 Vdc, 1 A") for i in range(1, 5))
        + RUN.format("22 AWG; length 1 ft")
        + "wire PS2:+ to F1:1\nwire F1:2 to ML1:+ in C1/red\nwire ML1:+ to ML2:+ to ML3:+ to ML4:+\n"
        + "wire ML4:- to ML3:- to ML2:- to ML1:-\nwire ML1:- to PS2:- in C1/black\n",
        [("conductor-ampacity", "C1"), ("protector-size", "F1")],
    ),
}


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_is_told_once(mistake: str) -> None:
    text, expected = MISTAKES[mistake]
    assert told(text) == expected


SOUND = {
    "a supply at 79 %": "supply PS1 { output 24 Vdc, 1 A }\n" + magnet("ML1", "24 Vdc, 790 mA") + PAIR,
    "a dual-voltage lock strapped for 12 V": (
        "supply PS1 { output 12 Vdc, 2 A }\n"
        "magnetic-lock ML1 { rated 24 Vdc, 250 mA; strapped 12 Vdc, 500 mA; suppression built in }\n" + PAIR
    ),
    "a fuse at exactly what the wire carries": (
        "supply PS1 { output 24 Vdc, 8 A }\nfuse F1 { rated 6 A }\n"
        + magnet("ML1")
        + RUN.format("18 AWG; length 20 ft")
        + "wire PS1:+ to F1:1\nwire F1:2 to ML1:+ in C1/red\nwire ML1:- to PS1:- in C1/black\n"
    ),
    "two fuses for a double-pole feed": (
        "supply PS1 { output 24 Vdc, 8 A }\nfuse F1 { rated 1 A }\nfuse F2 { rated 1 A }\n"
        + magnet("ML1")
        + RUN.format("18 AWG; length 20 ft")
        + "wire PS1:+ to F1:1\nwire F1:2 to ML1:+ in C1/red\nwire ML1:- to F2:1 in C1/black\nwire F2:2 to PS1:-\n"
    ),
    "redundant supplies behind diodes": (
        "supply PS1 { output 24 Vdc, 1 A }\nsupply PS2 { output 24 Vdc, 1 A }\n"
        + magnet("ML1")
        + "diode D1 { rated 400 V, 1 A }\ndiode D2 { rated 400 V, 1 A }\n"
        + "wire PS1:+ to D1:anode\nwire PS2:+ to D2:anode\nwire D1:cathode to D2:cathode to ML1:+\n"
        + "wire ML1:- to PS1:- to PS2:-\n"
    ),
    "a class 2 supply of 96 VA without a fuse": (
        "supply PS1 { output 24 Vdc, 4 A; class 2 }\n"
        + magnet("ML1")
        + RUN.format("18 AWG; length 20 ft")
        + "wire PS1:+ to ML1:+ in C1/red\nwire ML1:- to PS1:- in C1/black\n"
    ),
    "a supply that limits itself": (
        "supply PS1 { output 24 Vdc, 4 A; battery 7 Ah; standby 1 h; float 24.5 Vdc; limits itself to 5 A }\n"
        + magnet("ML1")
        + RUN.format("18 AWG; length 20 ft")
        + "wire PS1:+ to ML1:+ in C1/red\nwire ML1:- to PS1:- in C1/black\n"
    ),
    "two locks with one release, within the contact's inductive rating": (
        "supply PS1 { output 24 Vdc, 1 A }\nkey-switch KS1 { contacts 1 A at 30 Vdc; inductive 500 mA }\n"
        + magnet("ML1")
        + magnet("ML2")
        + "wire PS1:+ to KS1:COM\nwire KS1:NC to ML1:+ to ML2:+\nwire ML1:- to ML2:- to PS1:-\n"
    ),
    "a trigger supply whose relay carries all that it gives": (
        "fire-trigger-supply PS1 { output 24 Vdc, 1 A; class 2 }\nfire-alarm-relay FA1\n"
        + magnet("ML1", "24 Vdc, 700 mA")
        + PAIR
        + "wire PS1:trigger to FA1:COM\nwire FA1:NC to PS1:trigger-com\n"
    ),
    "reader and strike with their inrush, and a supply that gives it": (
        # 400 mA + 300 mA of 2 A
        "supply PS1 { output 24 Vdc, 2 A }\n"
        "reader RD1 { rated 24 Vdc, 80 mA; inrush 300 mA for 20 ms; contacts 2 A at 30 Vdc }\n"
        "electric-strike ES1 { rated 24 Vdc, 225 mA; inrush 400 mA for 50 ms; fails secure; suppression built in }\n"
        "wire PS1:+ to RD1:power+ to RD1:COM\nwire RD1:NO to ES1:+\nwire ES1:- to RD1:power- to PS1:-\n"
    ),
}


@pytest.mark.parametrize("case", SOUND)
def test_sound_things_that_look_wrong_stay_unsaid(case: str) -> None:
    assert told(SOUND[case]) == []


def test_nothing_is_left_unjudged() -> None:
    texts = [*SOUND.values(), *(text for text, _ in MISTAKES.values())]
    assert [gap for text in texts for gap in report(text).not_assessed] == []


def test_a_run_whose_gauge_is_missing_is_not_assessed() -> None:
    found = report(
        "supply PS1 { output 24 Vdc, 8 A }\nfuse F1 { rated 6 A }\n"
        + magnet("ML1")
        + "wire PS1:+ to F1:1\nwire F1:2 to ML1:+ { length 20 ft; resistance 20 ohm/km }\nwire ML1:- to PS1:-\n"
    )
    assert any("protector-size" in gap and "states no gauge" in gap for gap in found.not_assessed), found.not_assessed


def test_the_sum_of_a_start_can_be_done_again() -> None:
    text, _ = MISTAKES["inrush of four latches at once"]
    (finding,) = [f for f in report(text).findings if f.rule == "electrical/inrush-headroom"]
    (line,) = finding.evidence
    assert (line.what, line.value, line.unit, line.limit) == ("4 × 16 A", 64.0, "A", "at most 10 A")


def test_three_supplies_side_by_side_are_one_finding() -> None:
    supplies = "".join(f"supply PS{i} {{ output 24 Vdc, 1 A }}\n" for i in (1, 2, 3))
    joined = "wire PS1:+ to PS2:+ to PS3:+\nwire PS1:- to PS2:- to PS3:-\n"
    (finding,) = [f for f in report(supplies + magnet("ML1") + PAIR + joined).findings if "paralleled" in f.rule]
    assert finding.headline == "PS1 is joined pole to pole with PS2, PS3"


# NEC chapter 9 table 11, from memory: up to 20 V 5 A, over 20 V 100/V amperes, DC to 60 V (11(B)), AC to 30 V.
CLASS_2 = [
    ("12 Vdc, 5 A", True),
    ("12 Vdc, 5.1 A", False),
    ("20 Vdc, 5 A", True),
    ("24 Vdc, 4.16 A", True),
    ("24 Vdc, 4.2 A", False),
    ("28 Vdc, 3.5 A", True),
    ("28 Vdc, 3.6 A", False),
    ("30 Vdc, 3.3 A", True),
    ("36 Vdc, 1 A", True),
    ("48 Vdc, 2.08 A", True),
    ("48 Vdc, 2.1 A", False),
    ("60 Vdc, 1.6 A", True),
    ("61 Vdc, 1 A", False),
]


@pytest.mark.parametrize(("output", "within"), CLASS_2)
def test_class_2(output: str, within: bool) -> None:
    volts = output.split(",", maxsplit=1)[0]
    text = f"supply PS1 {{ output {output}; class 2 }}\nbuzzer BZ1 {{ rated {volts}, 100 mA }}\n"
    found = told(text + "wire PS1:+ to BZ1:+\nwire PS1:- to BZ1:-\n")
    assert found == ([] if within else [("class-2-limits", "PS1")])
