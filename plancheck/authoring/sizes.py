"""Sizes in which conductors are sold: by gauge, and by cross-section."""

from __future__ import annotations

from plancheck.units import GAUGE, quantity

BY_GAUGE = ("26", "24", "22", "20", "18", "16", "14", "12", "10", "8", "6", "4", "2")
"""Even gauges (ASTM B258): what the trade pulls."""
BY_AREA = ("0.14", "0.25", "0.34", "0.5", "0.75", "1", "1.5", "2.5", "4", "6", "10", "16")
"""In mm²: IEC 60228 (published) from 0.5 on; below it what is sold for signals (common practice, no source)."""
SQUARE_MM = "mm2"


def next_size(number: float, unit: str, least: float) -> str | None:
    """The number, in the same unit, of the next larger size of at least an area in m²; None where none is sold so."""
    sizes = {GAUGE: BY_GAUGE, SQUARE_MM: BY_AREA}.get(unit, ())
    now = quantity(number, unit).value
    areas = ((size, quantity(float(size), unit).value) for size in sizes)
    return next((size for size, area in areas if area > now * 1.001 and area >= least * 0.999), None)
