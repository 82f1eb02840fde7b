"""Schedules by hand, and what must hold of them in every sample."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from plancheck.review.schedules.every import schedules
from plancheck.review.schedules.table import Amount, Cell, Schedule
from tests.render.works import SAMPLES, document_of, name_of
from tests.review.planned import handed_over

# At 20 degC, 18 AWG stranded copper: 7.95 ohm for 1000 ft at 75 degC (NEC 2023, chapter 9 table 8, from memory) times
# 1 - 0.00323 * 55 = 0.82235, so 6.5377 ohm for 1000 ft; 0.65377 ohm for a conductor of 100 ft.
OHMS = 0.65377

TWO_LOCKS = """
supply PS1 { output 24 Vdc, 2 A; battery 7 Ah; standby 4 h }
fuse F1 { rated 1 A }
magnetic-lock ML1 { rated 24 Vdc, 250 mA }
magnetic-lock ML2 { rated 24 Vdc, 250 mA }
door D1 "Hall" { locks ML1, ML2; egress free by lever }
cable C1 { conductors 4 of 18 AWG; length 100 ft }
wire PS1:+ to F1:1
wire F1:2 to ML1:+ in C1/red
wire ML1:- to PS1:- in C1/black
wire ML1:+ to ML2:+
wire ML2:- to ML1:-
"""


def _schedule(text: str, key: str) -> Schedule:
    return next(schedule for schedule in handed_over(text).schedules if schedule.key == key)


def _value(cell: Cell) -> float:
    assert isinstance(cell, Amount)
    return cell.value


def test_current_and_drop_of_each_wire() -> None:
    """Both coils at their rated 250 mA, which is the worse of the two load models."""
    rows = {row[1:3]: row for row in _schedule(TWO_LOCKS, "wires").rows}
    assert _value(rows["F1:2", "ML1:+"][7]) == pytest.approx(0.5, rel=1e-3)
    assert _value(rows["F1:2", "ML1:+"][8]) == pytest.approx(0.5 * OHMS, rel=1e-2)
    assert _value(rows["ML1:+", "ML2:+"][7]) == pytest.approx(0.25, rel=1e-3)
    assert _value(rows["ML1:+", "ML2:+"][8]) == 0.0
    assert rows["F1:2", "ML1:+"][3:7] == ("C1", "red", "18 AWG", "100 ft")


def test_supply_load_with_its_sum() -> None:
    rows = _schedule(TWO_LOCKS, "supplies").rows
    told = {row[1]: row[3] for row in rows}
    assert _value(told["sum"]) == pytest.approx(0.5, rel=1e-3)
    assert _value(told["rated"]) == 2.0
    assert _value(told["spare"]) == pytest.approx(1.5, rel=1e-3)
    assert sum(_value(row[3]) for row in rows if str(row[1]).isdigit()) == pytest.approx(_value(told["sum"]))


def test_the_condition_of_the_most_is_told() -> None:
    """A strike that a reader opens: the most is asked of the supply while it does."""
    text = """
supply PS1 { output 12 Vdc, 1 A }
reader RD1 { rated 12 Vdc, 60 mA; contacts 1 A at 30 Vdc; holds 5 s }
electric-strike ES1 { rated 12 Vdc, 300 mA; fails secure; suppression built in }
wire PS1:+ to RD1:power+ to RD1:COM
wire RD1:NO to ES1:+ to RD1:power-
wire RD1:power- to PS1:-
""".replace("to ES1:+ to RD1:power-", "to ES1:+\nwire ES1:- to RD1:power-")
    (total,) = [row for row in _schedule(text, "supplies").rows if row[1] == "sum"]
    assert _value(total[3]) == pytest.approx(0.36, rel=1e-3)
    assert total[4] == "RD1 grants access"


def test_battery_with_its_sum() -> None:
    """0.5 A for 4 h are 2 Ah; a quarter more for ageing; at 20 degC 96 % are left: 2 * 1.25 / 0.96 = 2.604 Ah of 7."""
    told = {str(row[1]): row[3] for row in _schedule(TWO_LOCKS, "batteries").rows}
    ampere_hours = {step: _value(cell) / 3600 for step, cell in told.items()}
    assert ampere_hours["standby"] == pytest.approx(2.0, rel=1e-3)
    assert ampere_hours["margin for ageing"] == pytest.approx(2.5, rel=1e-3)
    assert ampere_hours["left at 20 degC, and as it ages"] == pytest.approx(2.5 / 0.96, rel=1e-3)
    assert ampere_hours["spare"] == pytest.approx(7 - 2.5 / 0.96, rel=1e-3)


def test_protector_cable_and_quantities() -> None:
    (row,) = _schedule(TWO_LOCKS, "protectors").rows
    assert (row[0], row[1], str(row[2]), row[5]) == ("F1", "fuse", "1 A", "ML1, ML2")
    assert _value(row[4]) == pytest.approx(0.5, rel=1e-3)
    cable, total = _schedule(TWO_LOCKS, "cables").rows
    assert cable == ("C1", "", "4 of 18 AWG", "F1, ML1, PS1", "100 ft", "2", "2")
    assert total[4] == "100 ft"
    counted = {row[0]: (row[2], row[3]) for row in _schedule(TWO_LOCKS, "quantities").rows}
    assert counted["magnetic lock"] == ("2", "ML1, ML2")


def test_what_is_not_known_is_said() -> None:
    text = TWO_LOCKS.replace("length 100 ft", "").replace("of 18 AWG;", "of 18 AWG")
    rows = {row[1:3]: row for row in _schedule(text, "wires").rows}
    assert str(rows["F1:2", "ML1:+"][8]) == "not assessed: C1 states no length"
    assert str(rows["ML1:+", "ML2:+"][8]) == "0 V"


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_everything_stands_in_its_schedule_once(path: Path) -> None:
    works = document_of(path).works
    found = {schedule.key: schedule for schedule in schedules(works, works.holders)}
    plan = works.facts.plan
    assert [row[1:3] for row in found["wires"].rows] == [(wire.a.key, wire.b.key) for wire in plan.wires]
    others = [d.name for d in plan.devices.values() if d.base not in ("door", "gate", "cable")]
    assert [row[0] for row in found["devices"].rows] == others
    assert sum(int(str(row[2])) for row in found["quantities"].rows) == len(others)
    cables = [row[0] for row in found["cables"].rows if row[0] != "in all"]
    assert cables == [cable.name for cable in plan.with_base("cable")]


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_sums_are_those_of_their_terms(path: Path) -> None:
    works = document_of(path).works
    loads = next(s for s in schedules(works, works.holders) if s.key == "supplies")
    terms: Counter[Cell] = Counter()
    for name, circuit, _, cell, _ in loads.rows:
        if isinstance(cell, Amount) and str(circuit).isdigit():
            terms[name] += cell.value  # type: ignore[assignment]
        elif circuit == "sum":
            assert _value(cell) == pytest.approx(terms[name], rel=1e-6, abs=1e-9)
