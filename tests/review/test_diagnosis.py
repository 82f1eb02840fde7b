"""Fault finding: the fault that was put in is told first, with volts worked out by hand and over the samples."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from random import Random

import pytest

from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.review.acceptance import acceptance
from plancheck.review.diagnosis import Diagnosis, diagnosis
from plancheck.review.document import sequence
from plancheck.review.explaining import Candidate, Read
from tests.render.works import SAMPLES, document_of, name_of
from tests.review.planned import reviewed
from tests.review.test_acceptance import AT_THE_LOCK, ONE_LOCK

AT_REST: Mapping[str, bool] = {}
PRESSED = {"EB1.pressed": True}


def _found(*volts: tuple[str, str, float, Mapping[str, bool]]) -> Diagnosis:
    facts: Facts = reviewed(ONE_LOCK).facts
    return diagnosis(facts, [Read(*each) for each in volts])


def _lock(at_rest: float, pressed: float) -> list[tuple[str, str, float, Mapping[str, bool]]]:
    return [("ML1:+", "ML1:-", at_rest, AT_REST), ("ML1:+", "ML1:-", pressed, PRESSED)]


def _told(found: Diagnosis) -> list[set[str]]:
    return [{each.what, *each.alike} for each in found.explanations]


def test_readings_as_the_plan_has_them_need_no_explanation() -> None:
    found = _found(*_lock(AT_THE_LOCK, 0.0))
    assert (found.as_drawn, found.outside, found.explanations) == (2, (), ())


def test_a_welded_contact() -> None:
    found = _found(*_lock(AT_THE_LOCK, AT_THE_LOCK))
    assert len(found.outside) == 1
    assert _told(found)[0] == {"EB1:COM–NC welded"}
    assert (found.explanations[0].explained, found.explanations[0].misfit) == (2, 0.0)


def test_a_broken_wire_is_not_to_be_told_from_others_and_the_next_reading_parts_them() -> None:
    found = _found(*_lock(0.0, 0.0))
    first = _told(found)[0]
    assert {"C1/red (PS1:+ to EB1:COM) open", "wire EB1:NC to ML1:+ open", "EB1:COM–NC stuck open"} <= first
    # With the return broken the whole lock stands at 24 V; with the feed broken it stands at nothing.
    following = found.next_reading
    assert following is not None
    by_name = {name: volts for volts, names in following.outcomes for name in names}
    assert len(set(by_name.values())) > 1
    if following.plus == "ML1:-":
        assert by_name["C1/black (ML1:- to PS1:-) open"] == pytest.approx(24, abs=0.1)
        assert by_name["wire EB1:NC to ML1:+ open"] == pytest.approx(0, abs=0.1)


def test_wires_exchanged_at_the_lock() -> None:
    """Plus and minus turned round: the same volts the other way, and none when the button opens."""
    found = _found(*_lock(-AT_THE_LOCK, 0.0))
    first = _told(found)[0]
    assert "C1/black and wire EB1:NC to ML1:+ exchanged at ML1" in first or (
        "wire EB1:NC to ML1:+ and C1/black exchanged at ML1" in first
    )


def test_what_nothing_explains() -> None:
    found = _found(("ML1:+", "ML1:-", 11.0, AT_REST))
    assert (len(found.outside), found.explanations) == (1, ())
    assert found.tried > 5


@pytest.mark.parametrize("path", [path for path in SAMPLES if "faulty" not in path.stem][:6], ids=name_of)
def test_a_failure_put_in_is_among_the_first(path: Path) -> None:
    """Readings as some failure would give them: it is in the first group, if any reading is outside at all."""
    document = document_of(path)
    facts, holders = document.works.facts, document.works.holders
    sheet = acceptance(document.works, sequence(document, holders), holders)
    rng = Random(path.stem)
    for variation in rng.sample(facts.failures.all, 5):
        assert variation.failure is not None
        there = Candidate("", facts, variation)
        reads = []
        for step in sheet.steps:
            for each in step.readings:
                try:
                    volts = there.volts(each.plus, each.minus, step.setting)
                except NotAssessed:
                    continue
                reads.append(Read(each.plus, each.minus, volts, step.setting))
        found = diagnosis(facts, reads)
        if found.outside:
            assert variation.failure.what in _told(found)[0]
