"""The acceptance test sheet, by hand and over every sample."""

from __future__ import annotations

from pathlib import Path

import pytest

from plancheck.review.acceptance import CAUTIONS, METER, SHARE, Step, acceptance
from plancheck.review.document import sequence
from tests.render.works import SAMPLES, document_of, name_of
from tests.review.planned import handed_over

ONE_LOCK = """
supply PS1 { output 24 Vdc, 2 A }
exit-button EB1 { contacts 3 A at 30 Vdc }
magnetic-lock ML1 { rated 24 Vdc, 250 mA }
door D1 { locks ML1; button EB1; on exit path; egress sensor release }
cable C1 { conductors 2 of 18 AWG; length 100 ft }
wire PS1:+ to EB1:COM in C1/red
wire EB1:NC to ML1:+
wire ML1:- to PS1:- in C1/black
"""

# 24 V across 96 ohm of coil and 2 x 0.65377 ohm of cable (see test_schedules): 96 / 97.30754 of them at the lock.
AT_THE_LOCK = 24 * 96 / 97.30754


def _steps(text: str) -> dict[str, Step]:
    return {step.event: step for step in handed_over(text).acceptance.steps if step.door}


def test_volts_and_tolerance_by_hand() -> None:
    steps = _steps(ONE_LOCK)
    (reading,) = steps["in normal condition"].readings
    assert (reading.plus, reading.minus, reading.mode) == ("ML1:+", "ML1:-", "dc")
    assert reading.volts == pytest.approx(AT_THE_LOCK, rel=1e-4)
    # The least by the worse load model: 24 V less 0.25 A through the cable. The most: next to nothing drawn.
    least, most = 24 - 0.25 * 1.30754, 24.0
    assert reading.least == pytest.approx(least * (1 - SHARE) - METER, rel=1e-3)
    assert reading.most == pytest.approx(most * (1 + SHARE) + METER, rel=2e-3)
    assert steps["in normal condition"].must == (("ML1", "held"),)
    pressed = steps["EB1 pressed"]
    assert pressed.must == (("ML1", "released"),)
    assert (pressed.readings[0].volts, pressed.readings[0].most) == (0.0, pytest.approx(METER))
    assert pressed.setting == {"EB1.pressed": True}


def test_cautions_come_first_and_the_supply_is_read() -> None:
    sheet = handed_over(ONE_LOCK).acceptance
    assert sheet.cautions == CAUTIONS
    words = " ".join(sheet.cautions).lower()
    for owed in (
        "prove dead",
        "entrapment protection",
        "clear of the gate",
        "test egress before leaving",
        "local code",
    ):
        assert owed in words
    first = sheet.steps[0]
    assert [(r.plus, r.minus, r.volts) for r in first.readings] == [("PS1:+", "PS1:-", 24.0)]


def test_what_could_not_be_worked_out_is_said_and_not_guessed() -> None:
    steps = _steps(ONE_LOCK.replace("rated 24 Vdc, 250 mA", ""))
    assert all(r.why for step in steps.values() for r in step.readings)
    assert all("observe" in state for step in steps.values() for _, state in step.must)


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_expected_volts_lie_within_their_tolerance(path: Path) -> None:
    document = document_of(path)
    holders = document.works.holders
    sheet = acceptance(document.works, sequence(document, holders), holders)
    readings = [reading for step in sheet.steps for reading in step.readings if not reading.why]
    assert readings
    assert all(reading.least <= reading.volts <= reading.most for reading in readings)
    numbers = [step.number for step in sheet.steps]
    assert len(set(numbers)) == len(numbers)
