"""Units of the trade, to and from SI. The factor table is checked against pint by the tests.

Only units listed here are read: pint alone would take `1 a` for a year and `3 ma` for milliyears.
pint itself is asked for compound units only (`ohm/km`), and imported only then.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Any


@dataclass(frozen=True, slots=True)
class Unit:
    """SI value = number × factor + offset. `form` is dc or ac for volts that say so."""

    symbol: str
    dimension: str
    factor: float
    offset: float = 0.0
    form: str = ""
    pint_name: str = ""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit: `value` in the SI unit of `dimension`, `text` as it was written."""

    value: float
    dimension: str
    text: str
    form: str = ""


SI_UNIT = {
    "voltage": "V", "current": "A", "power": "W", "charge": "C", "length": "m", "area": "m2",
    "time": "s", "temperature": "K", "inductance": "H", "frequency": "Hz", "resistance": "ohm",
    "capacitance": "F", "energy": "J", "force": "N", "ratio": "", "number": "",
    "resistance per length": "ohm/m",
}  # fmt: skip

EXAMPLE = {
    "voltage": "24 Vdc", "current": "250 mA", "power": "6 W", "charge": "7 Ah", "length": "12 ft",
    "area": "18 AWG", "time": "30 s", "temperature": "40 degC", "inductance": "180 mH",
    "frequency": "433.92 MHz", "resistance": "1 kohm", "capacitance": "1 uF", "energy": "2 mJ",
    "force": "600 lbf", "ratio": "5 %", "resistance per length": "6.4 ohm/km",
}  # fmt: skip


def _units() -> dict[str, Unit]:
    rows: list[tuple[str, str, float, float, str, str]] = []

    def add(dimension: str, pint_name: str, factor: float, *symbols: str, offset: float = 0.0, form: str = "") -> None:
        rows.extend((s, dimension, factor, offset, form, pint_name) for s in symbols)

    for form, ending in (("", ""), ("dc", "dc"), ("ac", "ac")):
        add("voltage", "volt", 1.0, f"V{ending}", form=form)
        add("voltage", "millivolt", 1e-3, f"mV{ending}", form=form)
        add("voltage", "kilovolt", 1e3, f"kV{ending}", form=form)
    add("current", "ampere", 1.0, "A")
    add("current", "milliampere", 1e-3, "mA")
    add("current", "microampere", 1e-6, "uA", "µA")
    add("power", "watt", 1.0, "W")
    add("power", "milliwatt", 1e-3, "mW")
    add("power", "kilowatt", 1e3, "kW")
    add("power", "volt_ampere", 1.0, "VA")
    add("charge", "ampere_hour", 3600.0, "Ah")
    add("charge", "milliampere_hour", 3.6, "mAh")
    add("length", "meter", 1.0, "m")
    add("length", "millimeter", 1e-3, "mm")
    add("length", "centimeter", 1e-2, "cm")
    add("length", "kilometer", 1e3, "km")
    add("length", "inch", 0.0254, "in")
    add("length", "foot", 0.3048, "ft")
    add("length", "kilofoot", 304.8, "kft")
    add("length", "yard", 0.9144, "yd")
    add("area", "millimeter**2", 1e-6, "mm2", "mm²")
    add("time", "second", 1.0, "s")
    add("time", "millisecond", 1e-3, "ms")
    add("time", "minute", 60.0, "min")
    add("time", "hour", 3600.0, "h")
    add("time", "day", 86400.0, "days", "day")
    add("temperature", "degC", 1.0, "degC", "°C", offset=273.15)
    add("temperature", "degF", 5 / 9, "degF", "°F", offset=273.15 - 32 * 5 / 9)
    add("inductance", "henry", 1.0, "H")
    add("inductance", "millihenry", 1e-3, "mH")
    add("inductance", "microhenry", 1e-6, "uH", "µH")
    add("frequency", "hertz", 1.0, "Hz")
    add("frequency", "kilohertz", 1e3, "kHz")
    add("frequency", "megahertz", 1e6, "MHz")
    add("frequency", "gigahertz", 1e9, "GHz")
    add("resistance", "ohm", 1.0, "ohm", "Ω")
    add("resistance", "kiloohm", 1e3, "kohm", "kΩ")
    add("resistance", "megaohm", 1e6, "Mohm", "MΩ")
    add("resistance", "milliohm", 1e-3, "mohm", "mΩ")
    add("capacitance", "farad", 1.0, "F")
    add("capacitance", "microfarad", 1e-6, "uF", "µF")
    add("capacitance", "nanofarad", 1e-9, "nF")
    add("energy", "joule", 1.0, "J")
    add("energy", "millijoule", 1e-3, "mJ")
    add("force", "newton", 1.0, "N")
    add("force", "kilonewton", 1e3, "kN")
    add("force", "pound_force", 4.4482216152605, "lbf")
    add("ratio", "percent", 0.01, "%")
    return {row[0]: Unit(*row) for row in rows}


UNITS = _units()
GAUGE = "AWG"
"""American wire gauge is no factor: the number n stands for a cross-section (ASTM B258)."""

_COMPOUND = re.compile(r"([A-Za-zΩµ°%²]+\d?)/([A-Za-zΩµ°%²]+\d?)")


def awg_diameter(gauge: float) -> float:
    """Diameter in metres of a solid conductor: 0.127 mm × 92^((36 − n)/39), ASTM B258."""
    return 0.127e-3 * math.pow(92.0, (36.0 - gauge) / 39.0)


def awg_area(gauge: float) -> float:
    """Cross-section in m² of a solid conductor of that gauge."""
    return math.pi / 4.0 * awg_diameter(gauge) * awg_diameter(gauge)


def is_unit(symbol: str) -> bool:
    """Whether a quantity may be written in it."""
    return symbol in UNITS or symbol == GAUGE or _compound(symbol) is not None


_SPELT = {"feet": "foot", "inches": "inch", "amp": "ampere", "amps": "ampere"}
"""Names that are no plain plural of the unit's own."""


def symbol_of(word: str) -> str:
    """The symbol of a unit that somebody wrote out, `Volts` for instance; empty where it is none."""
    spelt = word.casefold()
    name = _SPELT.get(spelt, spelt.removesuffix("s"))
    return next((symbol for symbol, unit in UNITS.items() if unit.pint_name == name), "")


def quantity(number: float, symbol: str, number_text: str = "") -> Quantity:
    """The quantity `number symbol`. Raises KeyError for a unit that is not listed."""
    text = f"{number_text or f'{number:g}'} {symbol}"
    if symbol == GAUGE:
        return Quantity(awg_area(number), "area", text)
    unit = UNITS.get(symbol) or _compound(symbol)
    if unit is None:
        raise KeyError(symbol)
    return Quantity(number * unit.factor + unit.offset, unit.dimension, text, unit.form)


@cache
def registry() -> Any:
    """The one pint registry; importing pint takes a quarter of a second, so it is made when first asked for."""
    import pint

    return pint.UnitRegistry()


@cache
def _compound(symbol: str) -> Unit | None:
    """A quotient of two listed units that has a named dimension, such as ohm/km."""
    match = _COMPOUND.fullmatch(symbol)
    if match is None or not all(part in UNITS and not UNITS[part].offset for part in match.groups()):
        return None
    over, under = (registry().Unit(UNITS[part].pint_name) for part in match.groups())
    for dimension, si in SI_UNIT.items():
        if "/" in si and (over / under).is_compatible_with(si):
            return Unit(symbol, dimension, float(registry().Quantity(1, over / under).to(si).magnitude))
    return None


_SHOWN = {
    "voltage": "V", "power": "W", "resistance": "ohm", "inductance": "H", "frequency": "Hz",
    "current": "A", "capacitance": "F", "energy": "J", "force": "N",
}  # fmt: skip
_PREFIXES = {"current": ((1.0, "A"), (1e-3, "mA"), (1e-6, "µA")),
             "inductance": ((1.0, "H"), (1e-3, "mH"), (1e-6, "µH")),
             "energy": ((1.0, "J"), (1e-3, "mJ")),
             "frequency": ((1e9, "GHz"), (1e6, "MHz"), (1e3, "kHz"), (1.0, "Hz"))}  # fmt: skip


def in_trade_unit(value: float, dimension: str) -> tuple[float, str]:
    """The number and unit in which the trade would say an SI value."""
    if dimension == "ratio":
        return value * 100.0, "%"
    if dimension == "area":
        return value * 1e6, "mm2"
    if dimension == "charge":
        return value / 3600.0, "Ah"
    if dimension == "temperature":
        return value - 273.15, "degC"
    if dimension == "time":
        return _time_in_trade_unit(value)
    if dimension == "resistance per length":
        return value * 1e3, "ohm/km"
    for factor, symbol in _PREFIXES.get(dimension, ()):
        if abs(value) >= factor * 0.9995:
            return value / factor, symbol
    if dimension in _PREFIXES:
        return (
            (value, _SHOWN[dimension])
            if value == 0
            else (value / _PREFIXES[dimension][-1][0], _PREFIXES[dimension][-1][1])
        )
    return value, _SHOWN.get(dimension, SI_UNIT.get(dimension, ""))


def _time_in_trade_unit(seconds: float) -> tuple[float, str]:
    """Hours from two on, whole minutes from two on (a fire door is rated 90 min), seconds, milliseconds."""
    if seconds >= 7200.0:
        return seconds / 3600.0, "h"
    if seconds >= 120.0 and seconds % 60.0 == 0.0:
        return seconds / 60.0, "min"
    return (seconds, "s") if seconds >= 0.1 else (seconds * 1e3, "ms")


def show(value: float, dimension: str) -> str:
    """An SI value as the trade would write it, to about four figures: `23.10 V`, `250 mA`, `5.2 %`."""
    number, unit = in_trade_unit(value, dimension)
    return f"{significant(number)} {unit}".rstrip()


def significant(number: float) -> str:
    """Four figures at most and no exponent below a million; trailing zeros dropped."""
    if not math.isfinite(number):
        return "no limit" if number > 0 else str(number)
    if number == 0 or abs(number) < 5e-7:
        return "0"
    decimals = max(0, 3 - math.floor(math.log10(abs(number))))
    text = f"{number:.{min(decimals, 6)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
