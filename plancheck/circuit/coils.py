"""Coils: what is stored in one, and what becomes of it when its current is broken. Sums alone, in SI.

Physics; the figures of the trade that stand behind the constants are named with them.
"""

from __future__ import annotations

import math

CUT_TIME = 0.5e-3
"""Seconds in which a small contact is taken to break a current (a worked example from a forum, published)."""

CLAMPED_AT = 2.5
"""Times its rated direct volts at which a varistor holds a surge, where the plan does not say (from memory)."""


def stored_energy(henry: float, amps: float) -> float:
    """Joules in a coil: ½ · L · I²."""
    return 0.5 * henry * amps * amps


def volts_when_cut(volts: float, henry: float, amps: float, seconds: float = CUT_TIME) -> float:
    """Volts across a contact that breaks the current evenly in some time, with nothing to limit them: V + L · I / t."""
    return volts + henry * amps / seconds


def volts_into_capacitor(volts: float, henry: float, amps: float, farad: float, ohms: float = 0.0) -> float:
    """The most volts that a coil drives a capacitor beside it to, with `ohms` in series; no more than this.

    What the coil holds goes into the capacitor, which begins at its volts: √(V² + I²·L/C), and I·R on top.
    """
    return math.sqrt(volts * volts + amps * amps * henry / farad) + amps * ohms


def release_time(henry: float, ohms: float, amps: float, drop_out: float, against: float = 0.0) -> float:
    """Seconds until the current of a coil, going on through what is across it, has fallen to its drop-out.

    `ohms` is all the resistance of that loop; `against` the volts that it loses besides, such as a diode's forward
    drop: (L / R) · ln((I₀ + V/R) / (I_d + V/R)). Infinite where nothing takes the current down to no drop-out at all.
    """
    lost = against / ohms
    if amps <= drop_out:
        return 0.0
    if drop_out + lost <= 0:
        return math.inf
    return henry / ohms * math.log((amps + lost) / (drop_out + lost))
