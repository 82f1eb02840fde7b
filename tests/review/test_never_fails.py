"""Whatever is drawn, every rule can be asked about it: relays that hold themselves in, races, shorts, sneak paths."""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest

from plancheck.library.load import Library, load_library
from plancheck.review.report import PlanReport
from plancheck.review.review import review_text
from plancheck.source import Source
from tests.circuit.test_cutting import jumbled
from tests.proof.circuits import drawing

HEAD = 'plan "Drawn at random"\nrevision "A" dated 2026-01-01\njurisdiction us\n'


@cache
def library() -> Library:
    return load_library([])


def reviewed(text: str) -> PlanReport:
    locks = [line.split()[1] for line in text.splitlines() if line.startswith("magnetic-lock")]
    door = f"door WAY-OUT {{ on exit path; egress sensor release; locks {', '.join(locks)} }}\n" if locks else ""
    source = Source("drawn.plan", HEAD + text + door)
    return review_text(source, library().kinds, library().rulebook, lambda name, by: "no files", date(2026, 11, 25))


@pytest.mark.parametrize("seed", range(40))
def test_circuits_drawn_at_random_are_reviewed(seed: int) -> None:
    # Each has a lock on an exit and names no sensor: that at least is always said.
    for text in (jumbled(seed), drawing(seed).text):
        if "magnetic-lock" in text:
            rules = {finding.rule for finding in reviewed(text).findings}
            assert "egress/sensor-present" in rules
            assert "file/reading" not in rules


def test_a_contact_of_a_relay_that_holds_itself_in_can_be_asked_how_it_rests() -> None:
    # Once pressed the strike stays released: at rest, with nothing pressed before, K1:COM2-NO2 is open.
    report = reviewed(
        "supply PS1 { output 24 Vdc, 2 A }\npush-button SB1 { contacts 3 A at 30 Vdc }\n"
        "relay K1 { coil 24 Vdc, 20 mA; poles 2; contacts 5 A at 30 Vdc; suppression built in }\n"
        "electric-strike ES1 { rated 24 Vdc, 225 mA; fails secure; suppression built in }\n"
        "door S1 { interior; egress free by lever; locks ES1 }\n"
        "wire PS1:+ to SB1:COM to K1:COM1 to K1:COM2\nwire SB1:NO to K1:A1\nwire K1:NO1 to K1:A1\n"
        "wire K1:A2 to PS1:-\nwire K1:NO2 to ES1:+ { size 18 AWG; length 60 ft }\nwire ES1:- to PS1:-\n"
    )
    assert [finding.rule for finding in report.findings] == []
    assert report.not_assessed == ()
