"""The unit table against pint, symbol by symbol. What each symbol means is written here independently."""

from __future__ import annotations

import pint
import pytest

from plancheck.units import SI_UNIT, UNITS, is_unit, quantity

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()

# Symbol → (pint's own name, dimension); dc and ac behind volts say the form only.
MEANING = {
    "V": ("volt", "voltage"),
    "mV": ("millivolt", "voltage"),
    "kV": ("kilovolt", "voltage"),
    "Vdc": ("volt", "voltage"),
    "mVdc": ("millivolt", "voltage"),
    "kVdc": ("kilovolt", "voltage"),
    "Vac": ("volt", "voltage"),
    "mVac": ("millivolt", "voltage"),
    "kVac": ("kilovolt", "voltage"),
    "A": ("ampere", "current"),
    "mA": ("milliampere", "current"),
    "uA": ("microampere", "current"),
    "µA": ("microampere", "current"),
    "W": ("watt", "power"),
    "mW": ("milliwatt", "power"),
    "kW": ("kilowatt", "power"),
    "VA": ("volt * ampere", "power"),
    "Ah": ("ampere * hour", "charge"),
    "mAh": ("milliampere * hour", "charge"),
    "m": ("meter", "length"),
    "mm": ("millimeter", "length"),
    "cm": ("centimeter", "length"),
    "km": ("kilometer", "length"),
    "in": ("inch", "length"),
    "ft": ("foot", "length"),
    "kft": ("1000 * foot", "length"),
    "yd": ("yard", "length"),
    "mm2": ("millimeter ** 2", "area"),
    "mm²": ("millimeter ** 2", "area"),
    "s": ("second", "time"),
    "ms": ("millisecond", "time"),
    "min": ("minute", "time"),
    "h": ("hour", "time"),
    "day": ("day", "time"),
    "days": ("day", "time"),
    "degC": ("degC", "temperature"),
    "°C": ("degC", "temperature"),
    "degF": ("degF", "temperature"),
    "°F": ("degF", "temperature"),
    "H": ("henry", "inductance"),
    "mH": ("millihenry", "inductance"),
    "uH": ("microhenry", "inductance"),
    "µH": ("microhenry", "inductance"),
    "Hz": ("hertz", "frequency"),
    "kHz": ("kilohertz", "frequency"),
    "MHz": ("megahertz", "frequency"),
    "GHz": ("gigahertz", "frequency"),
    "ohm": ("ohm", "resistance"),
    "Ω": ("ohm", "resistance"),
    "kohm": ("kiloohm", "resistance"),
    "kΩ": ("kiloohm", "resistance"),
    "Mohm": ("megaohm", "resistance"),
    "MΩ": ("megaohm", "resistance"),
    "mohm": ("milliohm", "resistance"),
    "mΩ": ("milliohm", "resistance"),
    "F": ("farad", "capacitance"),
    "uF": ("microfarad", "capacitance"),
    "µF": ("microfarad", "capacitance"),
    "nF": ("nanofarad", "capacitance"),
    "J": ("joule", "energy"),
    "mJ": ("millijoule", "energy"),
    "N": ("newton", "force"),
    "kN": ("kilonewton", "force"),
    "lbf": ("pound_force", "force"),
    "%": ("percent", "ratio"),
}

SI = {
    "voltage": "volt",
    "current": "ampere",
    "power": "watt",
    "charge": "coulomb",
    "length": "meter",
    "area": "meter ** 2",
    "time": "second",
    "temperature": "kelvin",
    "inductance": "henry",
    "frequency": "hertz",
    "resistance": "ohm",
    "capacitance": "farad",
    "energy": "joule",
    "force": "newton",
    "ratio": "dimensionless",
    "resistance per length": "ohm / meter",
}

COMPOUNDS = {
    "ohm/km": "ohm / kilometer",
    "Ω/km": "ohm / kilometer",
    "mohm/m": "milliohm / meter",
    "ohm/m": "ohm / meter",
    "ohm/kft": "ohm / (1000 * foot)",
    "ohm/ft": "ohm / foot",
}


def in_si(number: float, name: str, dimension: str) -> float:
    """What pint says the quantity is in the SI unit."""
    if name in ("degC", "degF"):
        return float(REGISTRY.Quantity(number, name).to("kelvin").magnitude)
    return float((number * REGISTRY.parse_expression(name)).to(SI[dimension]).magnitude)


def test_every_symbol_is_checked() -> None:
    """No unit enters the table without an entry in this one."""
    assert set(UNITS) == set(MEANING)
    assert set(SI_UNIT) - {"number"} == set(SI)


@pytest.mark.parametrize("symbol", MEANING)
@pytest.mark.parametrize("number", [1.0, -40.0, 0.0, 24.0, 433.92])
def test_unit_agrees_with_pint(symbol: str, number: float) -> None:
    """Factor and offset; −40 is where the two temperature scales meet, 0 shows the offset alone."""
    name, dimension = MEANING[symbol]
    ours = quantity(number, symbol)
    assert ours.dimension == dimension
    assert ours.value == pytest.approx(in_si(number, name, dimension), rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("symbol", COMPOUNDS)
def test_quotient_agrees_with_pint(symbol: str) -> None:
    """Ohms per length, worked out by pint itself from its own names."""
    ours = quantity(6.4, symbol)
    assert ours.dimension == "resistance per length"
    assert ours.value == pytest.approx(in_si(6.4, COMPOUNDS[symbol], "resistance per length"), rel=1e-12)


@pytest.mark.parametrize("dimension", SI)
def test_si_unit_agrees_with_pint(dimension: str) -> None:
    """The unit that values are kept in is the coherent SI unit of that dimension."""
    said = SI_UNIT[dimension].replace("m2", "m ** 2") or "dimensionless"
    assert (1 * REGISTRY.parse_units(said)).to(SI[dimension]).magnitude == pytest.approx(1.0, rel=1e-15)


@pytest.mark.parametrize("symbol", ["a", "ma", "v", "amp", "ohms", "V/ft", "A/A", "degC/m", "ohm/", "/km", "", "12"])
def test_what_is_not_listed_is_not_read(symbol: str) -> None:
    """pint reads `a` as a year and `ma` as milliyears; a plan must not."""
    assert not is_unit(symbol)
    with pytest.raises(KeyError):
        quantity(1.0, symbol)


@pytest.mark.parametrize(("symbol", "form"), [("Vdc", "dc"), ("Vac", "ac"), ("V", ""), ("mVdc", "dc"), ("A", "")])
def test_volts_say_their_form(symbol: str, form: str) -> None:
    """Direct or alternating is kept beside the number, not in it."""
    assert quantity(24.0, symbol).form == form
