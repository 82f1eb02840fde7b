"""Resistance of a wire run, from its metal, cross-section, length and temperature. SI units throughout."""

from __future__ import annotations

from dataclasses import dataclass

from plancheck.plan.model import Device

REFERENCE_TEMPERATURE = 293.15
"""20 °C in kelvin: the temperature at which the standards state resistivity."""

STRANDING_ALLOWANCE = 1.02
"""Factor by which a stranded conductor resists more than a solid one of the same cross-section.

Its wires run in a helix and are longer than the conductor: 2 % by ASTM B8 (from memory), and the quotient of
the columns "stranded" and "solid" of NEC chapter 9 table 8 (1.020 to 1.026, rounding included).
"""


@dataclass(frozen=True, slots=True)
class Material:
    """`resistivity` in ohm·m at 20 °C; `coefficient` of resistance with temperature in 1/K, from 20 °C."""

    resistivity: float
    coefficient: float


MATERIALS = {
    "copper": Material(1 / 58e6, 0.00393),  # IEC 60028: 1/58 ohm·mm²/m, annealed (published)
    "aluminium": Material(28.264e-9, 0.00403),  # IEC 60889: hard-drawn wire, 61 % IACS (from memory)
}
"""Metals that a plan may name."""


def resistance_per_length(area: float, temperature: float, *, stranded: bool, material: str = "copper") -> float:
    """Ohms per metre of one conductor: `area` in m² (a gauge's by `units.awg_area`), `temperature` in K.

    KeyError for a metal that is not in MATERIALS.
    """
    metal = MATERIALS[material]
    warmth = 1.0 + metal.coefficient * (temperature - REFERENCE_TEMPERATURE)
    return metal.resistivity * warmth * (STRANDING_ALLOWANCE if stranded else 1.0) / area


def run_resistance(
    length: float, area: float, temperature: float, *, stranded: bool, material: str = "copper"
) -> float:
    """Ohms of one conductor of a run, one way: `length` in m, `area` in m², `temperature` in K.

    Where a plan gives ohms per metre outright, the run is `length` times that, with no correction for
    temperature or stranding: the figure is taken to hold as installed.
    """
    return length * resistance_per_length(area, temperature, stranded=stranded, material=material)


def colours_of(cable: Device) -> list[str]:
    """The colours that a cable is said to have; none where the plan does not say."""
    listed = cable.get("colours")
    return [str(colour) for colour in listed] if isinstance(listed, tuple) else []
