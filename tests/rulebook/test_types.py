"""The algebra of dimensions, against pint as the outside witness."""

from __future__ import annotations

from itertools import product as pairs
from typing import Any

import pytest

from plancheck.rulebook import types
from plancheck.units import SI_UNIT, registry

NAMED = sorted(types.VECTORS)


BASES = [f"[{base}]" for base in ("length", "mass", "time", "current", "temperature")]


def unit_of(dimension: str) -> Any:
    return registry().Unit((SI_UNIT[dimension] or "dimensionless").replace("m2", "m**2"))


def exponents(unit: Any) -> tuple[float, ...]:
    return tuple(unit.dimensionality.get(base, 0) for base in BASES)


@pytest.mark.parametrize("dimension", NAMED)
def test_each_named_dimension_is_that_of_its_unit(dimension: str) -> None:
    assert types.VECTORS[dimension] == exponents(unit_of(dimension))


def test_every_dimension_of_the_unit_table_is_known() -> None:
    assert set(types.VECTORS) == set(SI_UNIT)


@pytest.mark.parametrize(("a", "b"), list(pairs(NAMED, repeat=2)))
def test_products_and_quotients(a: str, b: str) -> None:
    left, right = types.quantity(a), types.quantity(b)
    assert types.product(left, right).vector == exponents(unit_of(a) * unit_of(b))
    assert types.quotient(left, right).vector == exponents(unit_of(a) / unit_of(b))


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (types.product(types.VOLTAGE, types.CURRENT), "a power"),
        (types.quotient(types.VOLTAGE, types.CURRENT), "a resistance"),
        (types.quotient(types.VOLTAGE, types.VOLTAGE), "a ratio"),
        (types.product(types.RATIO, types.VOLTAGE), "a voltage"),
        (types.product(types.VOLTAGE, types.RATIO), "a voltage"),
        (types.quotient(types.NUMBER, types.NUMBER), "a number"),
        (types.product(types.CURRENT, types.quantity("time")), "a charge"),
        (types.product(types.LENGTH, types.LENGTH), "an area"),
        (types.product(types.CURRENT, types.CURRENT), "an A2"),
    ],
)
def test_what_a_dimension_is_called(made: types.Type, said: str) -> None:
    assert str(made) == said


@pytest.mark.parametrize(
    ("value", "dimension", "text"),
    [(6.0, "voltage", "6 V"), (0.25, "current", "250 mA"), (0.05, "ratio", "5 %"), (4.0, "A2", "4 A2")],
)
def test_how_a_number_is_shown(value: float, dimension: str, text: str) -> None:
    assert types.shown(value, dimension) == text
    assert types.shown(float("nan"), dimension) == "unknown"
