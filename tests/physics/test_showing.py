"""Quantities as the trade would say them; expectations written down by hand."""

from __future__ import annotations

import pytest

from plancheck.units import show


@pytest.mark.parametrize(
    ("value", "dimension", "said"),
    [
        (0.25, "current", "250 mA"),
        (2.5, "current", "2.5 A"),
        (23.8456, "voltage", "23.85 V"),
        (0.05, "ratio", "5 %"),
        (0.1117, "ratio", "11.17 %"),
        (25200.0, "charge", "7 Ah"),
        (0.18, "inductance", "180 mH"),
        (433.92e6, "frequency", "433.9 MHz"),
        (313.15, "temperature", "40 degC"),
        (1.5e-6, "area", "1.5 mm2"),
        (5.0, "time", "5 s"),
        (0.0078, "time", "7.8 ms"),
        (150.0, "time", "150 s"),
        (180.0, "time", "3 min"),
        (5400.0, "time", "90 min"),
        (14400.0, "time", "4 h"),
        (0.0, "current", "0 A"),
    ],
)
def test_said_as_the_trade_would(value: float, dimension: str, said: str) -> None:
    assert show(value, dimension) == said
