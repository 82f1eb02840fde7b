"""What a small conductor may carry: `rules/tables/small-conductors.csv`, by metal and cross-section. SI units.

The table holds the lower figure where two sources differ, and says whose each figure is. Between two sizes of it the
figure goes with the cross-section, so that metric sizes have theirs.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from plancheck.shipped import rules_folder
from plancheck.units import quantity


@dataclass(frozen=True, slots=True)
class Carries:
    """One line of the table: `area` in m², `amps`, and where the figure comes from."""

    area: float
    amps: float
    source: str


@cache
def table() -> dict[str, tuple[Carries, ...]]:
    """The lines by metal, thinnest conductor first."""
    found: dict[str, list[Carries]] = {}
    with (rules_folder() / "tables" / "small-conductors.csv").open(encoding="utf-8", newline="") as file:
        for line in csv.DictReader(file):
            carries = Carries(_in_si(line["size"]), _in_si(line["amps"]), line["source"])
            found.setdefault(line["metal"], []).append(carries)
    return {metal: tuple(sorted(lines, key=lambda each: each.area)) for metal, lines in found.items()}


def _in_si(text: str) -> float:
    number, _, unit = text.partition(" ")
    return quantity(float(number), unit).value


def ampacity(area: float, metal: str = "copper") -> float:
    """Amperes that a conductor of a cross-section in m² may carry without end.

    Thinner than all of the table it goes with the cross-section down to nothing; thicker than all it is the table's
    last figure, which the conductor carries with ease. KeyError for a metal that is not in the table.
    """
    lines = table()[metal]
    if area <= lines[0].area:
        return lines[0].amps * area / lines[0].area
    for thin, thick in pairwise(lines):
        if area <= thick.area:
            return thin.amps + (thick.amps - thin.amps) * (area - thin.area) / (thick.area - thin.area)
    return lines[-1].amps


def least_area(amps: float, metal: str = "copper") -> float | None:
    """The least area in m², of those of the table, that may carry some amperes; None where none does."""
    return next((line.area for line in table()[metal] if line.amps >= amps), None)
