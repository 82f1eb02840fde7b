"""Storage: what a battery has to give, and what a load takes from it. Sums alone, in SI: coulombs, amperes, seconds.

Nameplate charge is what a battery gives when it is emptied in its rated hours, new and at room temperature.
Sources: Peukert's law, in the form that starts from the rated hours (published); 80 % at 0 °C (from memory).
"""

from __future__ import annotations

HOUR = 3600.0
RATED_TIME = 20 * HOUR
"""Seconds over which the nameplate charge is taken, where the plan does not say (common practice for lead-acid)."""

ROOM = 298.15
COLD_LOSS = 0.008
"""Share of its charge that lead-acid loses for each kelvin below 25 °C: 80 % are left at 0 °C (from memory)."""
LEAST_LEFT = 0.1
"""Nothing below this share is reckoned with: so cold, an electrolyte may freeze, and no straight line holds."""


def share_when_cold(kelvin: float) -> float:
    """Share of the nameplate charge that is left at a temperature; never more than all of it."""
    return min(1.0, max(LEAST_LEFT, 1.0 - COLD_LOSS * (ROOM - kelvin)))


def charge_taken(
    amps: float, seconds: float, nameplate: float, exponent: float = 1.0, rated_time: float = RATED_TIME
) -> float:
    """Coulombs of the nameplate that a steady current takes, by Peukert's law.

    Drawn faster than over the rated time, a battery gives less: each ampere-second counts (I·H / C)^(k − 1) times.
    Drawn more slowly it is held to its nameplate, since nobody warrants more. With an exponent of 1 it is I · t.
    """
    taken = amps * seconds
    faster = amps * rated_time / nameplate if nameplate > 0 else 1.0
    return taken if faster <= 1.0 else taken * float(faster ** (exponent - 1.0))
