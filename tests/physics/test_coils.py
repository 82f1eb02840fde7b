"""Coil sums that others have printed, done again. P: read in a published source; the rest by hand from physics."""

from __future__ import annotations

import math

import pytest

from plancheck.circuit.coils import release_time, stored_energy, volts_into_capacitor, volts_when_cut


def test_a_relay_of_12_volts_without_suppression() -> None:
    """P, a forum, worked out again: 12 V, 275 ohm, 2.29 H: 43.6 mA, in 0.5 ms about 212 V, 2.18 mJ, 8.33 ms."""
    amps = 12 / 275
    assert amps == pytest.approx(43.6e-3, abs=5e-5)
    assert volts_when_cut(12.0, 2.29, amps) == pytest.approx(212, abs=0.5)
    assert stored_energy(2.29, amps) == pytest.approx(2.18e-3, abs=5e-6)
    # To a 1/e-th of its current in one time constant.
    assert release_time(2.29, 275.0, amps, amps / math.e) == pytest.approx(8.33e-3, abs=5e-6)


def test_a_relay_of_24_volts_to_half_its_current() -> None:
    """P, a maker's page: 800 ohm, 9 H: 7.80 ms with an ideal diode, 3.90 ms with 800 ohm more, 4.05 mJ.

    That page prints 4.5 mJ; ½ × 9 × 0.03² is 4.05 mJ.
    """
    assert release_time(9.0, 800.0, 30e-3, 15e-3) == pytest.approx(7.80e-3, abs=5e-6)
    assert release_time(9.0, 1600.0, 30e-3, 15e-3) == pytest.approx(3.90e-3, abs=5e-6)
    assert stored_energy(9.0, 30e-3) == pytest.approx(4.05e-3, abs=1e-9)


@pytest.mark.parametrize(("henry", "amps", "joules"), [(10e-3, 0.5, 1.25e-3), (100e-3, 2.0, 0.2)])
def test_energy(henry: float, amps: float, joules: float) -> None:
    """Worked out by hand: 10 mH at 0.5 A, 100 mH at 2 A."""
    assert stored_energy(henry, amps) == pytest.approx(joules, rel=1e-12)


def test_the_diode_takes_a_little_off() -> None:
    """By hand: 0.7 V over 800 ohm is 0.875 mA; 11.25 ms × ln(30.875 / 15.875) = 7.484 ms."""
    assert release_time(9.0, 800.0, 30e-3, 15e-3, against=0.7) == pytest.approx(7.484e-3, abs=5e-6)


def test_against_many_volts_it_is_quick() -> None:
    """By hand: against 48 V, 60 mA: 11.25 ms × ln(90 / 75) = 2.051 ms, a good quarter of the diode's."""
    assert release_time(9.0, 800.0, 30e-3, 15e-3, against=48.0) == pytest.approx(2.051e-3, abs=5e-6)


def test_what_has_let_go_takes_no_time_and_what_never_does_for_ever() -> None:
    assert release_time(1.0, 100.0, 10e-3, 10e-3) == 0.0
    assert release_time(1.0, 100.0, 10e-3, 0.0) == math.inf
    assert release_time(1.0, 100.0, 10e-3, 0.0, against=0.7) < 0.1


def test_into_a_capacitor() -> None:
    """By hand: 150 mH at 225 mA into 0.22 µF that stands at 24 V: √(576 + 34517) = 187.3 V; by 24 ohm 5.4 V more."""
    assert volts_into_capacitor(24.0, 0.15, 0.225, 0.22e-6) == pytest.approx(187.3, abs=0.05)
    assert volts_into_capacitor(24.0, 0.15, 0.225, 0.22e-6, 24.0) == pytest.approx(192.7, abs=0.05)
    # The energy is the same before and after.
    volts = volts_into_capacitor(24.0, 0.15, 0.225, 0.22e-6)
    before = stored_energy(0.15, 0.225) + 0.5 * 0.22e-6 * 24.0**2
    assert 0.5 * 0.22e-6 * volts**2 == pytest.approx(before, rel=1e-12)
