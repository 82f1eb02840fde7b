"""What small conductors may carry. M from memory, C common practice without a source: see each figure."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plancheck.rulebook.small_conductors import ampacity, table
from plancheck.units import awg_area

# Trade facts on small copper: where two figures are told (18 AWG 7 A, fixture wire 6 A; 16 AWG 10 A, 8 A) the lower.
# 22 AWG C; 18 and 16 NEC 402.5 (M); 14 and 12 NEC 240.4(D) (M).
SMALL_COPPER = [(22, 3.0), (18, 6.0), (16, 8.0), (14, 15.0), (12, 20.0)]

# NEC 240.4(D) 10 AWG, table 310.16 at 60 °C for the thicker ones (M).
THICKER_COPPER = [(10, 30.0), (8, 40.0), (6, 55.0), (4, 70.0)]

# NEC 240.4(D) and table 310.16, 60 °C (M).
ALUMINIUM = [(12, 15.0), (10, 25.0), (8, 35.0), (6, 40.0)]

# By area between the two gauges on either side, worked out by hand; areas by ASTM B258.
BETWEEN = [
    (0.5178, 3 + 3 * (0.5178 - 0.3255) / (0.8230 - 0.3255)),  # 20 AWG: 4.16 A
    (0.75, 3 + 3 * (0.75 - 0.3255) / (0.8230 - 0.3255)),  # 5.56 A
    (1.0, 6 + 2 * (1.0 - 0.8230) / (1.3087 - 0.8230)),  # 6.73 A
    (1.5, 8 + 7 * (1.5 - 1.3087) / (2.0809 - 1.3087)),  # 9.73 A
    (2.5, 15 + 5 * (2.5 - 2.0809) / (3.3088 - 2.0809)),  # 16.7 A
]

# IEC 60364-5-52 and flexible cords in use (M): what metric copper is given for fixed or trailing use in free air.
# Ours, for bundled signal work, is nowhere above it.
METRIC_ELSEWHERE = [(0.75, 6.0), (1.0, 10.0), (1.5, 16.0), (2.5, 20.0)]


@pytest.mark.parametrize(("gauge", "amps"), SMALL_COPPER + THICKER_COPPER)
def test_copper_by_gauge(gauge: int, amps: float) -> None:
    assert ampacity(awg_area(gauge)) == pytest.approx(amps)


@pytest.mark.parametrize(("gauge", "amps"), ALUMINIUM)
def test_aluminium_by_gauge(gauge: int, amps: float) -> None:
    assert ampacity(awg_area(gauge), "aluminium") == pytest.approx(amps)
    assert ampacity(awg_area(gauge), "aluminium") < ampacity(awg_area(gauge))


@pytest.mark.parametrize(("square_millimetres", "amps"), BETWEEN)
def test_sizes_between_go_by_area(square_millimetres: float, amps: float) -> None:
    assert ampacity(square_millimetres * 1e-6) == pytest.approx(amps, rel=1e-3)


@pytest.mark.parametrize(("square_millimetres", "amps"), METRIC_ELSEWHERE)
def test_no_metric_size_is_given_more_than_elsewhere(square_millimetres: float, amps: float) -> None:
    assert ampacity(square_millimetres * 1e-6) <= amps


def test_thinner_than_the_table_goes_down_with_the_area() -> None:
    # 24 AWG 0.2047 mm² of the 0.3255 mm² of 22 AWG: 3 A x 0.629 = 1.89 A.
    assert ampacity(awg_area(24)) == pytest.approx(1.887, abs=2e-3)


def test_thicker_than_the_table_keeps_its_last_figure() -> None:
    assert ampacity(50e-6) == 70.0


def test_a_metal_that_is_not_in_the_table() -> None:
    with pytest.raises(KeyError):
        ampacity(1e-6, "silver")


@given(st.floats(0.01, 60.0), st.floats(0.0, 10.0))
def test_more_metal_never_carries_less(square_millimetres: float, more: float) -> None:
    assert ampacity((square_millimetres + more) * 1e-6) >= ampacity(square_millimetres * 1e-6) > 0


def test_every_figure_names_its_source_and_grade() -> None:
    lines = [line for lines in table().values() for line in lines]
    assert len(lines) == len(SMALL_COPPER + THICKER_COPPER + ALUMINIUM)
    assert all(re.search(r"from memory|common practice", line.source) for line in lines)
