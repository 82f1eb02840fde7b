"""Mistakes seen at powered gates, each made in a sound sample: which rules of the gate family find it, and no others.

The mistakes are those that installers and inspectors tell of (common practice, no source); what is expected of each
was written down from the drawing, by hand.
"""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

import pytest

import plancheck
from plancheck.library.load import Library, load_library
from plancheck.review.review import review_text
from plancheck.source import Source

SAMPLES = Path(plancheck.__file__).parent.parent / "samples"
MAST, YARD, SLIPWAY = "mast-park", "yard-gate", "slipway"
Changes = tuple[tuple[str, str], ...]


@cache
def _library() -> Library:
    return load_library([])


def changed(sample: str, changes: Changes) -> str:
    """A sample with some of its text replaced; what is replaced by nothing before it is added at the end."""
    text = (SAMPLES / f"{sample}.plan").read_text(encoding="utf-8")
    for before, after in changes:
        if before:
            assert text.count(before) == 1, before
            text = text.replace(before, after)
        else:
            text += after + "\n"
    return text


def found(sample: str, changes: Changes) -> set[str]:
    """Ids, without the family's name, of the gate rules that find something."""
    library = _library()
    source = Source("changed.plan", changed(sample, changes))
    report = review_text(
        source, library.kinds, library.rulebook, lambda name, by: "nothing to use here", date(2026, 11, 25)
    )
    assert [m.headline for m in report.mistakes] == []
    assert [gap.reason for gap in report.not_assessed if gap.rule.startswith("gate/")] == []
    return {f.rule.partition("/")[2] for f in report.findings if f.rule.startswith("gate/")}


TO_OPEN = "wire RX3:NO to GO3:OPEN\n"
UNMONITORED = ("; monitored by its operator }\nsafety-edge", " }\nsafety-edge")
MISTAKES: dict[str, tuple[str, Changes, set[str]]] = {
    "the receiver's COM jumpered to plus": (
        MAST, (("wire RX3:COM to GO3:COM", "wire RX3:COM to GO3:acc+"),), {"dry-input-fed"},
    ),
    "the receiver across the photo-eye's input": (
        MAST, ((TO_OPEN, "wire RX3:NO to GO3:SAFE1\n"),), {"safety-input-untouched"},
    ),
    "the photo-eye's input bridged": (MAST, (("", "wire GO3:SAFE1 to GO3:COM"),), {"safety-input-untouched"}),
    "the photo-eye's input bridged, its contact taken off": (
        MAST,
        (("wire GO3:SAFE1 to PE31:NO in C3/white", "wire GO3:SAFE1 to GO3:COM"),),
        {"protection-connected"},
    ),
    "the strip's resistor shorted at the terminals": (
        MAST, (("", "wire RE31:1 to RE31:2"),), {"safety-input-suits-device"},
    ),
    "the receiver's NC used": (MAST, ((TO_OPEN, "wire RX3:NC to GO3:OPEN\n"),), {"open-input-held"}),
    "the receiver on the close input": (MAST, ((TO_OPEN, "wire RX3:NO to GO3:CLOSE\n"),), {"wrong-input"}),
    "the receiver on the reset input": (MAST, ((TO_OPEN, "wire RX3:NO to GO3:RESET\n"),), {"wrong-input"}),
    "the receiver on the stop input": (
        MAST, ((TO_OPEN, "wire RX3:NO to GO3:STOP\n"),), {"wrong-input", "stop-not-bridged"},
    ),
    "an eye that is not monitored": (
        YARD,
        (UNMONITORED,),
        {"protection-monitored"},
    ),
    "one protection for two directions": (
        MAST,
        (("opening protected by PE32", "opening protected by PE31"),),
        {"protection-in-two-zones"},
    ),
    "no protection for one direction": (
        MAST, ((" opening protected by PE32", " opening"),), {"entrapment-protection-present"},
    ),
    "one direction forgotten": (
        MAST, (('    zone "yard side" opening protected by PE32\n', ""),), {"protection-unstated"},
    ),
    "a control within reach of the gate": (
        MAST, (("control SB32 10 ft away", "control SB32 3 ft away"),), {"control-out-of-reach"},
    ),
    "people on foot pass through": (
        YARD, (("pedestrians separate way", "pedestrians through gate"),), {"pedestrian-way-separate"},
    ),
    "a latched channel": (MAST, (("channel 1 momentary", "channel 1 latched"),), {"open-input-held"}),
    "the other contact of the photo-eye": (
        MAST, (("GO3:SAFE1 to PE31:NO", "GO3:SAFE1 to PE31:NC"),), {"safety-input-suits-device"},
    ),
    "a strip with a resistor on a plain safety input": (
        SLIPWAY,
        (
            ("wire GO2:SAFE to PE2:NO\nwire PE2:COM to GO2:COM\n", "wire GO2:SAFE to RE2:1\nwire RE2:2 to GO2:COM\n"),
            ("closing protected by PE2", "closing protected by RE2"),
            ("opening protected by PE2", "opening protected by RE2"),
            ("", "resistive-edge RE2 { end resistor 8.2 kohm; monitored by its operator }"),
        ),
        {"safety-input-suits-device"},
    ),
    "free exit and photo-eye exchanged": (
        YARD,
        (("VL1:NO to GO1:OPEN", "VL1:NO to GO1:SAFE1"), ("GO1:SAFE1 to TB1:a3", "GO1:OPEN to TB1:a3")),
        {"safety-input-untouched", "wrong-input", "open-input-held", "protection-connected"},
    ),
    "the stop input jumpered": (MAST, (("", "wire GO3:STOP to GO3:COM"),), {"stop-not-bridged"}),
    "the stop button's NO": (MAST, (("GO3:STOP to SB32:NC", "GO3:STOP to SB32:NO"),), {"stop-not-bridged"}),
    "one button opens and resets": (
        MAST, (("GO3:RESET to SB33:NO", "GO3:RESET to SB31:NO"),), {"reset-does-not-start", "wrong-input"},
    ),
    "the magnet past the lock output": (
        MAST, (("wire GO3:LOCK-NC to ML3:+", "wire GO3:acc+ to ML3:+"),), {"lock-releases-before-drive"},
    ),
    "the magnet on the NO of the lock output": (
        MAST, (("wire GO3:LOCK-NC to ML3:+", "wire GO3:LOCK-NO to ML3:+"),), {"lock-releases-before-drive"},
    ),
    "the stop button in the office": (
        MAST, (("control SB32 10 ft away, seen", "control SB32 90 ft away, unseen"),), {"control-in-sight"},
    ),
    "a residential operator": (
        SLIPWAY,
        (("    class II\n    inherent", "    class I\n    inherent"),),
        {"operator-suits-class"},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_is_found_by_its_rules_and_by_no_others(name: str) -> None:
    sample, changes, rules = MISTAKES[name]
    assert found(sample, changes) == rules


SOUND: dict[str, tuple[str, Changes]] = {
    "as drawn": (MAST, ()),
    "a second stop in a row": (
        MAST,
        (
            ("wire GO3:STOP to SB32:NC in C1/white", "wire GO3:STOP to SB34:NC in C1/white\nwire SB34:COM to SB32:NC"),
            ("    pedestrians", "    control SB34 12 ft away, seen\n    pedestrians"),
            ("", 'push-button SB34 { contacts 3 A at 30 Vdc; marked "STOP" }'),
        ),
    ),
    "the fire alarm opens, and a loop beside it": (
        MAST,
        (
            ("", "fire-alarm-relay FA1 { contacts 2 A at 30 Vdc; latches until reset }"),
            ("", "wire FA1:NO to GO3:OPEN\nwire FA1:COM to GO3:COM"),
        ),
    ),
    "both eyes in a row on one input": (
        MAST,
        (
            ("    safety inputs 2\n", "    safety inputs 1\n"),
            ("wire GO3:SAFE1 to PE31:NO", "wire GO3:SAFE to PE31:NO"),
            ("wire PE31:COM to GO3:COM in C3/green\n", "wire PE31:COM to PE32:NO in C3/green\n"),
            ("wire GO3:SAFE2 to PE32:NO in C4/white\n", ""),
        ),
    ),
    "inputs that act when their loops close, with the eyes' other contacts": (
        MAST,
        (
            ("    safety inputs 2\n", "    safety inputs 2\n    acts on closed safety loop\n"),
            ("GO3:SAFE1 to PE31:NO", "GO3:SAFE1 to PE31:NC"),
            ("GO3:SAFE2 to PE32:NO", "GO3:SAFE2 to PE32:NC"),
        ),
    ),
    "backed by a battery": (MAST, (("    reset input\n", "    reset input\n    battery backed\n"),)),
    "constant pressure, and nothing monitored": (
        YARD,
        (
            ("    monitors safety inputs\n", "    constant pressure only\n"),
            UNMONITORED,
        ),
    ),
    "a button that closes, in sight": (
        YARD,
        (
            ("    pedestrians", "    control SB2 4 m away, seen\n    pedestrians"),
            ("", 'push-button SB2 { contacts 3 A at 30 Vdc; marked "CLOSE" }'),
            ("", "wire GO1:CLOSE to SB2:NO\nwire SB2:COM to GO1:COM"),
        ),
    ),
    "a keypad that opens": (
        YARD,
        (
            ("    pedestrians", "    control KP1 2 m away, seen\n    pedestrians"),
            ("", "keypad KP1 { rated 24 Vdc, 80 mA; contacts 2 A at 30 Vdc }"),
            ("", "wire GO1:acc+ to KP1:power+\nwire GO1:acc- to KP1:power-"),
            ("", "wire GO1:OPEN to KP1:NO\nwire KP1:COM to GO1:COM"),
        ),
    ),
    "a timed channel": (MAST, (("channel 1 momentary", "channel 1 timed 2 s"),)),
}  # fmt: skip


@pytest.mark.parametrize("name", SOUND)
def test_what_is_sound_is_not_found(name: str) -> None:
    assert found(*SOUND[name]) == set()
