"""Worked voltage-drop examples that others have printed, drawn as plans: from gauge and length to volts at the lock.

P: read in a published source; the sums themselves stand in tests/physics/test_worked_drops.py.
"""

from __future__ import annotations

from functools import cache

import pytest

from plancheck.circuit.facts import Facts
from plancheck.library.load import load_library
from plancheck.plan.kinds import Kinds
from plancheck.plan.resolve import resolve
from plancheck.source import Source

PLAN = """\
plan "One lock on one cable"
ambient {ambient} to {ambient}
supply PS1 {{ output {supply}, 10 A }}
magnetic-lock ML1 {{ rated {lock} }}
cable C1 {{ conductors 2 of {cable} }}
wire PS1:+ to ML1:+ in C1/red
wire ML1:- to PS1:- in C1/black
"""


@cache
def _kinds() -> Kinds:
    return load_library([]).kinds


def lock_volts(supply: str, lock: str, cable: str, ambient: str = "20 degC") -> tuple[float, float, float]:
    """Volts at the lock as a resistance; the least of the two models; and the volts lost, by the worse."""
    text = PLAN.format(supply=supply, lock=lock, cable=cable, ambient=ambient)
    plan, mistakes = resolve(Source("one.plan", text), _kinds(), lambda name, source: "no such file")
    assert mistakes == []
    facts = Facts(plan)
    (load,) = facts.branches("load")
    on = 1  # the one signal, mains, is on
    return facts.volts(load).at(on), facts.least_volts(load).at(on), facts.drop_volts(load).at(on)


def test_two_models_of_a_load() -> None:
    """Worked out by hand: 12 V, 500 mA on 200 ft of 22 AWG: 9.46 V as 24 ohm, 8.77 V at constant current."""
    ohmic, least, lost = lock_volts("12 Vdc", "12 Vdc, 500 mA", "22 AWG; length 200 ft; solid")
    assert ohmic == pytest.approx(9.46, abs=0.005)
    assert least == pytest.approx(8.77, abs=0.005)
    assert lost == pytest.approx(12 - 8.77, abs=0.005)


def test_sixteen_gauge_pair() -> None:
    """P, an electrician's training page: 100 ft at 4.99 ohm/kft, 4 A: 4.0 V of 24 V."""
    cable = "16 AWG; length 100 ft; resistance 4.99 ohm/kft"
    assert lock_volts("24 Vdc", "24 Vdc, 4 A", cable)[2] == pytest.approx(3.992, abs=1e-3)
    # The same from gauge, stranding and 75 °C, which the table is for; stranding is the coarser figure.
    assert lock_volts("24 Vdc", "24 Vdc, 4 A", "16 AWG; length 100 ft", "75 degC")[2] == pytest.approx(3.992, rel=0.006)


def test_eighteen_gauge_pair() -> None:
    """P, a chart page: 18 AWG pair, 100 ft, 1 A: 1.27 V (1.277 cut off)."""
    lost = lock_volts("12 Vdc", "12 Vdc, 1 A", "18 AWG; length 100 ft; solid")[2]
    assert lost == pytest.approx(1.277, abs=1e-3)


def test_charts_are_no_oracles() -> None:
    """P: 1 A on 100 ft of 18 AWG at 12 V: 13.3 % lost, stranded at 75 °C."""
    lost = lock_volts("12 Vdc", "12 Vdc, 1 A", "18 AWG; length 100 ft", "75 degC")[2]
    assert lost / 12 == pytest.approx(0.1325, abs=0.001)


def test_twenty_metre_run() -> None:
    """P, a solar hobbyist's page: 20 m one way, 1 A, 1.3 mm²: 0.549 V at 0.01785 ohm·mm²/m, copper at 29 °C."""
    lost = lock_volts("12 Vdc", "12 Vdc, 1 A", "1.3 mm2; length 20 m; solid", "29 degC")[2]
    assert lost == pytest.approx(0.549, abs=0.001)


def test_magnet_on_alarm_cable() -> None:
    """P, a trade magazine's column: 0.5 A, 30 m of 0.09 ohm/m a core, 13.6 V: 2.7 V lost, 10.9 V left."""
    cable = "0.2 mm2; length 30 m; resistance 0.09 ohm/m"
    _, least, lost = lock_volts("13.6 Vdc", "12 Vdc, 500 mA", cable)
    assert lost == pytest.approx(2.7, abs=1e-3)
    assert least == pytest.approx(10.9, abs=1e-3)
