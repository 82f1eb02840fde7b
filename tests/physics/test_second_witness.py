"""Wire gauges by GNU units' own `awg()`: a second witness, collected only where that program is installed."""

from __future__ import annotations

import math
import subprocess

import pytest

from plancheck.units import awg_area, awg_diameter


def converted(number: str, unit: str) -> float:
    """What the converter prints, tersely, with twelve digits."""
    command = ["units", "-t", "-o", "%.12g", number, unit]
    return float(subprocess.run(command, capture_output=True, text=True, check=True).stdout)


@pytest.mark.parametrize("gauge", range(4, 37))
def test_gauge(gauge: int) -> None:
    """Diameter in metres, and the area of a circle of that diameter."""
    diameter = converted(f"awg({gauge})", "m")
    assert awg_diameter(gauge) == pytest.approx(diameter, rel=1e-9)
    assert awg_area(gauge) == pytest.approx(math.pi / 4 * diameter**2, rel=1e-9)
