"""Wire gauges and resistances against the standards' figures. P published, M from memory: see each table."""

from __future__ import annotations

from fractions import Fraction

import pytest

from plancheck.plan.conductor import resistance_per_length, run_resistance
from plancheck.units import awg_area, awg_diameter, quantity

AT_20 = 273.15 + 20.0
AT_75 = 273.15 + 75.0
KILOFOOT = 304.8

# ASTM B258 (P): diameters stand in 39 equal steps of ratio between 36 AWG, 0.0050 in, and 0000, 0.4600 in.
# Where 16 AWG is printed as 1.2909 mm the last digit is one too high: the formula gives 1.290846.
# Solid copper, 20 °C, by IEC 60028 (P): gauge, mm, mm², ohm/kft.
SOLID_AT_20 = [
    (18, 1.0237, 0.8230, 6.385),
    (16, 1.2908, 1.3087, 4.016),
    (14, 1.6277, 2.0809, 2.525),
    (12, 2.0525, 3.3088, 1.588),
]
# 22, 20 and 24 AWG at 20 °C, ohm/kft: worked out by hand from the two standards above.
THIN_AT_20 = [(22, 16.14), (20, 10.15), (24, 25.67)]
# NEC chapter 9 table 8, direct current, uncoated copper, 75 °C, ohm/kft, solid and stranded (4.99 P, rest M).
TABLE_8 = [
    (18, 7.77, 7.95),
    (16, 4.89, 4.99),
    (14, 3.07, 3.14),
    (12, 1.93, 1.98),
    (10, 1.21, 1.24),
]
# NEC chapter 9 table 8, aluminium, 75 °C, solid and stranded, ohm/kft (M).
TABLE_8_ALUMINIUM = [(12, 3.18, 3.25), (10, 2.00, 2.04)]
# IEC 60228, copper, 20 °C, not more than, ohm/km: mm², classes 1 and 2, class 5 (M).
UPPER_LIMITS = [
    (0.5, 36.0, 39.0),
    (0.75, 24.5, 26.0),
    (1.0, 18.1, 19.5),
    (1.5, 12.1, 13.3),
    (2.5, 7.41, 7.98),
    (4.0, 4.61, 4.95),
]


def ohms_per_kilofoot(gauge: int, temperature: float, *, stranded: bool, material: str = "copper") -> float:
    """One thousand feet of one conductor."""
    return run_resistance(KILOFOOT, awg_area(gauge), temperature, stranded=stranded, material=material)


def test_gauge_series_by_its_definition() -> None:
    """36 AWG and 0000 (−3) are the definition's two ends; each step between is the 39th root of 92."""
    assert awg_diameter(36) == pytest.approx(0.0050 * 0.0254, rel=1e-12)
    assert awg_diameter(-3) == pytest.approx(0.4600 * 0.0254, rel=1e-12)
    for gauge in range(-3, 36):
        step = awg_diameter(gauge) / awg_diameter(gauge + 1)
        assert step**39 == pytest.approx(float(Fraction(4600, 50)), rel=1e-10)


@pytest.mark.parametrize(("gauge", "millimetres", "square", "ohms"), SOLID_AT_20)
def test_solid_copper_at_20(gauge: int, millimetres: float, square: float, ohms: float) -> None:
    """Within half of the last figure printed."""
    assert awg_diameter(gauge) * 1e3 == pytest.approx(millimetres, abs=0.00005)
    assert awg_area(gauge) * 1e6 == pytest.approx(square, abs=0.00005)
    assert quantity(gauge, "AWG").value == awg_area(gauge)
    assert ohms_per_kilofoot(gauge, AT_20, stranded=False) == pytest.approx(ohms, abs=0.0005)


@pytest.mark.parametrize(("gauge", "ohms"), THIN_AT_20)
def test_thin_copper_at_20(gauge: int, ohms: float) -> None:
    """Gauges thinner than table 8 begins with."""
    assert ohms_per_kilofoot(gauge, AT_20, stranded=False) == pytest.approx(ohms, abs=0.0051)


def test_copper_of_the_standard() -> None:
    """IEC 60028: 1 m of 1 mm² has 1/58 ohm at 20 °C, and 0.393 % more for each kelvin."""
    assert run_resistance(1.0, 1e-6, AT_20, stranded=False) == pytest.approx(0.017241, abs=5e-7)
    assert run_resistance(58.0, 1e-6, AT_20, stranded=False) == pytest.approx(1.0, rel=1e-12)
    assert run_resistance(58.0, 1e-6, AT_20 + 10, stranded=False) == pytest.approx(1.0393, rel=1e-12)
    assert run_resistance(58.0, 1e-6, AT_20 - 20, stranded=False) == pytest.approx(0.9214, rel=1e-12)


@pytest.mark.parametrize(("gauge", "solid", "stranded"), TABLE_8)
def test_table_8(gauge: int, solid: float, stranded: float) -> None:
    """Solid is the 20 °C value × 1.21615 to the table's rounding; stranded by the allowance, within 0.6 %."""
    cold = ohms_per_kilofoot(gauge, AT_20, stranded=False)
    hot = ohms_per_kilofoot(gauge, AT_75, stranded=False)
    assert hot / cold == pytest.approx(1.21615, rel=1e-9)
    assert hot == pytest.approx(solid, abs=0.0075)
    assert ohms_per_kilofoot(gauge, AT_75, stranded=True) == pytest.approx(stranded, rel=0.006)


@pytest.mark.parametrize(("gauge", "solid", "stranded"), TABLE_8_ALUMINIUM)
def test_table_8_aluminium(gauge: int, solid: float, stranded: float) -> None:
    """Aluminium by IEC 60889, against the same table."""
    found = ohms_per_kilofoot(gauge, AT_75, stranded=False, material="aluminium")
    assert found == pytest.approx(solid, abs=0.0051)
    found = ohms_per_kilofoot(gauge, AT_75, stranded=True, material="aluminium")
    assert found == pytest.approx(stranded, rel=0.006)


@pytest.mark.parametrize(("square", "most", "most_flexible"), UPPER_LIMITS)
def test_below_the_upper_limits(square: float, most: float, most_flexible: float) -> None:
    """A nominal section stays under the standard's ceiling for classes 1 and 2, and within 13 % of class 5's.

    The ceilings allow for tolerance and lay: the nominal figure is what a plan is judged by, so a flexible
    cord that is as poor as the standard lets it be loses up to an eighth more than the review says.
    """
    for stranded in (False, True):
        ohms = resistance_per_length(square * 1e-6, AT_20, stranded=stranded) * 1e3
        assert ohms <= most <= most_flexible
        assert ohms >= most_flexible * 0.86


def test_unknown_metal() -> None:
    """A metal without a figure is refused."""
    with pytest.raises(KeyError):
        run_resistance(1.0, 1e-6, AT_20, stranded=False, material="gold")
