"""Worked voltage-drop examples that others have printed, done again with this program's resistances.

P: read in a published source. Where a source uses another resistivity the difference is named.
"""

from __future__ import annotations

import pytest

from plancheck.plan.conductor import run_resistance
from plancheck.units import awg_area, quantity

AT_20 = 273.15 + 20.0
AT_75 = 273.15 + 75.0
FOOT = 0.3048


def loop(feet: float, gauge: int, temperature: float = AT_20, *, stranded: bool = False) -> float:
    """Ohms out and back."""
    return 2 * run_resistance(feet * FOOT, awg_area(gauge), temperature, stranded=stranded)


def test_sixteen_gauge_pair() -> None:
    """P, an electrician's training page on NEC chapter 9: 100 ft at 4.99 ohm/kft, 4 A: 4.0 V, 16.7 %."""
    given = 2 * quantity(100, "ft").value * quantity(4.99, "ohm/kft").value * 4.0
    assert given == pytest.approx(3.992, abs=1e-9)
    assert given / 24.0 == pytest.approx(0.167, abs=0.001)
    # The same run from gauge, stranding and 75 °C.
    assert loop(100, 16, AT_75, stranded=True) * 4.0 == pytest.approx(given, rel=0.006)


def test_eighteen_gauge_pair() -> None:
    """P, a chart page: 18 AWG pair, 100 ft, 1 A: 1.27 V, 1.27 W (cut off from 1.277)."""
    volts = loop(100, 18) * 1.0
    assert volts == pytest.approx(1.277, abs=0.0005)
    assert volts * 1.0 == pytest.approx(1.27, abs=0.01)


def test_metric_constant_of_another_page() -> None:
    """P, a UK extra-low-voltage page: V = 0.0164 × A × m / mm², m being out and back.

    0.0164 ohm·mm²/m is 4.9 % less than the standard's copper at 20 °C (copper at about 7.5 °C), so that page
    promises more volts at the lock than there will be.
    """
    theirs = 0.0164 * 2.0 * 60.0 / 1.5
    ours = run_resistance(60.0, 1.5e-6, AT_20, stranded=False) * 2.0
    assert theirs / ours == pytest.approx(1 - 0.049, abs=0.0005)
    assert run_resistance(60.0, 1.5e-6, AT_20 - 12.42, stranded=False) * 2.0 == pytest.approx(theirs, rel=1e-3)


def test_twenty_metre_run() -> None:
    """P, a solar hobbyist's page of 2010: 20 m one way, 1 A, 1.3 mm² at 0.01785: 0.549 V, 4.58 % of 12 V.

    0.01785 ohm·mm²/m is 3.5 % above copper at 20 °C: copper at 29 °C.
    """
    theirs = 2 * 20 * 0.01785 / 1.3 * 1.0
    assert theirs == pytest.approx(0.549, abs=0.0005)
    assert theirs / 12 == pytest.approx(0.0458, abs=0.00005)
    cold = 2 * run_resistance(20.0, 1.3e-6, AT_20, stranded=False)
    assert theirs / cold == pytest.approx(1.0353, abs=0.0005)
    assert 2 * run_resistance(20.0, 1.3e-6, AT_20 + 9, stranded=False) == pytest.approx(theirs, rel=1e-3)


def test_magnet_on_alarm_cable() -> None:
    """P, a trade magazine's column: 0.5 A, 30 m, 0.09 ohm/m, 13.6 V: 2.7 V lost, 10.9 V left of 11.5 needed.

    2.7 V follows where 0.09 ohm/m is one core (out and back 5.4 ohm), as of a 0.2 mm² core, which the
    standard's copper puts at 0.0862 ohm/m. Taken as the loop it would be 1.35 V.
    """
    per_core = quantity(0.09, "ohm/m").value
    lost = 2 * 30.0 * per_core * 0.5
    assert lost == pytest.approx(2.7, abs=1e-9)
    assert 13.6 - lost == pytest.approx(10.9, abs=1e-9)
    assert 13.6 - lost < 11.5
    assert run_resistance(1.0, 0.2e-6, AT_20, stranded=True) == pytest.approx(per_core, rel=0.03)


def test_charts_are_no_oracles() -> None:
    """P: three locks of 0.28 A as 1 A, 100 ft of 18 AWG, 12 V: 1.28 V at 20 °C, 1.59 V stranded at 75 °C."""
    cool, warm = loop(100, 18), loop(100, 18, AT_75, stranded=True)
    assert cool == pytest.approx(1.28, abs=0.005)
    assert cool / 12 == pytest.approx(0.106, abs=0.0005)
    assert warm == pytest.approx(1.59, abs=0.01)
    assert warm / 12 == pytest.approx(0.1325, abs=0.001)


def test_two_models_of_a_load() -> None:
    """Worked out by hand: 12 V, 500 mA on 200 ft of 22 AWG: 6.456 ohm; 0.394 A and 9.46 V, or 8.77 V."""
    wire, coil = loop(200, 22), 12 / 0.5
    assert wire == pytest.approx(6.456, abs=0.002)
    assert 12 / (coil + wire) == pytest.approx(0.394, abs=0.0005)
    assert 12 * coil / (coil + wire) == pytest.approx(9.46, abs=0.005)
    assert 12 - 0.5 * wire == pytest.approx(8.77, abs=0.005)
