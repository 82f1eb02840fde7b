"""Every kind of real mistake, made at every place of the sound samples: what is faulty is found where it is."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from plancheck.plan.resolve import resolve
from plancheck.source import Source
from tests.faults.draft import Draft
from tests.faults.families import FAULTS
from tests.faults.fault import Fault, Mutant
from tests.faults.flat import flat
from tests.faults.standing import Standing, library
from tests.faults.table import PROPERTY, as_data
from tests.faults.trying import SAMPLE_FILES, SAMPLES, Row, attempt, reviewed, tried


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_a_fault_is_found_wherever_it_is(fault: Fault, record_property: Callable[[str, object], None]) -> None:
    row = tried(fault)
    record_property(PROPERTY, as_data(row))
    assert row.missed == []
    assert row.false_alarms == []
    assert row.found >= 1
    assert row.found + sum(row.harmless.values()) == row.tried


def test_every_rule_expected_of_a_fault_is_there() -> None:
    assert {rule for fault in FAULTS for rule in fault.rules} - set(library().rulebook.by_id) == set()


def test_there_are_many_kinds_of_fault() -> None:
    assert len(FAULTS) >= 60
    assert len({fault.name for fault in FAULTS}) == len(FAULTS)


@pytest.mark.parametrize("path", SAMPLE_FILES, ids=lambda path: path.stem)
def test_a_draft_is_the_plan(path: object) -> None:
    """Flattened, a sample has the same devices, values and wires: what is found in a mutant comes of its mistake."""
    file = SAMPLES / f"{path.stem}.plan"

    def include(wanted: str, by: Source) -> Source:
        return Source(wanted, (SAMPLES / wanted).read_text(encoding="utf-8"))

    drawn, mistakes = resolve(Source(file.name, file.read_text(encoding="utf-8")), library().kinds, include)
    assert mistakes == []
    flattened = Standing(flat(file)).plan
    assert _said(drawn.devices) == _said(flattened.devices)
    assert [(w.a.key, w.b.key, w.cable, w.colour) for w in drawn.wires] == [
        (w.a.key, w.b.key, w.cable, w.colour) for w in flattened.wires
    ]


def _said(devices: object) -> list[object]:
    assert hasattr(devices, "values")
    plain = []
    for device in devices.values():
        values = {slot: str(getattr(value, "text", value)) for slot, value in device.values.items()}
        sightings = {
            slot for slot, value in device.values.items() if isinstance(value, tuple) and "Sighting" in str(value)
        }
        plain.append((device.name, device.kind, device.title, {k: v for k, v in values.items() if k not in sightings}))
    return plain


# --- the trial itself: it must be able to fail --------------------------------------------------------------

STRIKE = Draft(
    "strike",
    ('plan "Slip shed"', 'revision "A" dated 2026-11-02', "jurisdiction us"),
    (),
    (),
).with_part("supply", "PS1", "output 24 Vdc, 1 A").with_part("magnetic-lock", "ML1", "rated 24 Vdc, 250 mA").with_run(
    "PS1:+", "ML1:+"
).with_run("ML1:-", "PS1:-")  # fmt: skip
POLARITY = Fault("told", ("electrical/dead-short",), lambda plan: iter(()))


def test_what_no_rule_speaks_of_is_missed() -> None:
    row = Row("nothing wrong")
    attempt(row, POLARITY, SAMPLE_FILES[0], Mutant(STRIKE, frozenset({"ML1"}), "ML1"))
    assert (row.tried, row.found, len(row.missed)) == (1, 0, 1)


def test_what_is_said_elsewhere_is_missed() -> None:
    row = Row("short")
    attempt(row, POLARITY, SAMPLE_FILES[0], Mutant(STRIKE.with_run("PS1:+", "PS1:-"), frozenset({"ML1"}), "ML1"))
    assert len(row.missed) == 1
    assert "told elsewhere" in row.missed[0]


def test_what_is_said_of_a_harmless_one_is_a_false_alarm() -> None:
    row = Row("short")
    shorted = STRIKE.with_run("PS1:+", "PS1:-")
    attempt(row, POLARITY, SAMPLE_FILES[0], Mutant(shorted, frozenset({"PS1"}), "PS1", harmless="so they say"))
    assert len(row.false_alarms) == 1
    assert sum(row.harmless.values()) == 1


def test_a_part_taken_out_leaves_its_wires_joined() -> None:
    fused = STRIKE.with_part("fuse", "F1", "rated 1 A").renamed({"PS1:+": "F1:2"}).with_run("PS1:+", "F1:1")
    without = fused.bridged("F1:1", "F1:2").without_part("F1")
    assert Standing(without).joined("PS1:+", "ML1:+")
    assert "F1" not in without.text()
    assert reviewed(without, ("electrical/dead-short",)).mistakes == ()
