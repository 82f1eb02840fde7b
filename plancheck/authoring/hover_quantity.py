"""A quantity in other units."""

from __future__ import annotations

from plancheck.authoring.markdown import paragraphs, plain
from plancheck.units import GAUGE, UNITS, awg_area, quantity, significant

LIKENESS = 1e-4, 1e5
"""Numbers in which nobody says a thing are left out: below the one, above the other."""


def quantity_told(number: float, symbol: str) -> str:
    """`18 AWG` in mm², `24 Vdc` in mV; empty for a unit that is not known."""
    try:
        found = quantity(number, symbol)
    except (KeyError, OverflowError):
        return ""
    seen: set[str] = set()
    told = []
    for unit in UNITS.values():
        fits = unit.dimension == found.dimension and unit.form == found.form and unit.symbol != symbol
        if not fits or unit.pint_name in seen:
            continue
        value = (found.value - unit.offset) / unit.factor
        if value == 0 or unit.offset or LIKENESS[0] <= abs(value) <= LIKENESS[1]:
            seen.add(unit.pint_name)
            told.append(f"{significant(value)} {unit.symbol}")
    if found.dimension == "area" and symbol != GAUGE:
        told.append(_gauge(found.value))
    return paragraphs([plain(found.text), plain(" · ".join(told))])


def _gauge(area: float) -> str:
    """The gauge nearest to a cross-section, and whether it is smaller or larger."""
    gauge = min(range(41), key=lambda n: abs(awg_area(n) - area))
    same = abs(awg_area(gauge) - area) < 0.005 * area
    return f"{'' if same else 'about '}{gauge} {GAUGE}"
