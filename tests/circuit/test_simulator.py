"""The harness itself: networks small enough to be worked out on paper: is the simulator asked rightly?"""

from __future__ import annotations

import math

import pytest

from tests.simulator import Electronic, OneWay, Part, Resistor, Source, Steady, operating_points


def one(*parts: Part) -> dict[str, float]:
    """Volts across each part."""
    (point,) = operating_points([parts])
    return {part.name: point.across(part) for part in parts}


def test_divider() -> None:
    """24 V over 1 ohm and 3 ohm: 6 A, 18 V on the larger."""
    parts: list[Part] = [
        Source("s", "p", "n", 24.0, 10.0),
        Resistor("w", "p", "q", 1.0),
        Resistor("r", "q", "n", 3.0),
    ]
    (point,) = operating_points([parts])
    assert point.across(parts[2]) == pytest.approx(18.0, abs=1e-3)
    assert point.amps["r"] == pytest.approx(6.0, abs=1e-3)
    assert point.amps["s"] == pytest.approx(-6.0, abs=1e-3)


def test_current_limit() -> None:
    """The same with 2 A at most: 6 V on the larger, 8 V at the source."""
    volts = one(Source("s", "p", "n", 24.0, 2.0), Resistor("w", "p", "q", 1.0), Resistor("r", "q", "n", 3.0))
    assert volts["r"] == pytest.approx(6.0, abs=1e-3)
    assert volts["s"] == pytest.approx(8.0, abs=1e-3)


def test_constant_power() -> None:
    """12 W behind 2 ohm from 24 V: V² − 24 V + 24 = 0, V = 12 + √120 = 22.954."""
    volts = one(Source("s", "p", "n", 24.0, 10.0), Resistor("w", "p", "q", 2.0), Electronic("e", "q", "n", 24.0, 12.0))
    assert volts["e"] == pytest.approx(12 + math.sqrt(120), abs=1e-3)


def test_starved_electronics() -> None:
    """Rated 24 V, 12 W: below 12 V it is 12 ohm. Behind 36 ohm from 24 V that leaves 6 V."""
    volts = one(
        Source("s", "p", "n", 24.0, 10.0),
        Resistor("w", "p", "q", 36.0),
        Electronic("e", "q", "n", 24.0, 12.0),
    )
    assert volts["e"] == pytest.approx(6.0, abs=1e-3)


@pytest.mark.parametrize(("polarised", "expected"), [(True, -24.0), (False, -12 - math.sqrt(120))])
def test_reversed_electronics(polarised: bool, expected: float) -> None:
    """Turned round it takes nothing where it is polarised, and the same power where it is not."""
    volts = one(
        Source("s", "p", "n", 24.0, 10.0),
        Resistor("w", "p", "q", 2.0),
        Electronic("e", "n", "q", 24.0, 12.0, polarised),
    )
    assert volts["e"] == pytest.approx(expected, abs=1e-3)


def test_diodes() -> None:
    """Forward it drops its volts, reversed it blocks, across the poles it holds the source at its limit."""
    source, wire = Source("s", "p", "n", 24.0, 2.0), Resistor("w", "p", "q", 1.0)
    forward = one(source, wire, OneWay("d", "q", "r", 0.7), Resistor("r", "r", "n", 22.3))
    assert forward["r"] == pytest.approx(22.3, abs=1e-3)
    blocked = one(source, wire, OneWay("d", "r", "q", 0.7), Resistor("r", "r", "n", 22.3))
    assert blocked["r"] == pytest.approx(0.0, abs=1e-3)
    shorted = one(source, wire, OneWay("d", "q", "n", 0.7), Resistor("r", "q", "n", 100.0))
    assert shorted["r"] == pytest.approx(0.7, abs=1e-3)
    assert shorted["s"] == pytest.approx(0.7 + 2.0, abs=1e-3)


def test_steady_current() -> None:
    """12 V, 500 mA through 6.456 ohm: 8.77 V (worked out in the trade example of 200 ft of 22 AWG)."""
    volts = one(Source("s", "p", "n", 12.0, 5.0), Resistor("w", "p", "q", 6.456), Steady("e", "q", "n", 12.0, 0.5))
    assert volts["e"] == pytest.approx(8.772, abs=1e-3)


def test_two_sources() -> None:
    """The higher of two carries the load where the lower cannot take current; else it feeds the lower too."""
    high, low = Source("h", "p", "n", 24.0, 10.0), Source("l", "q", "n", 12.0, 10.0)
    wires = (Resistor("a", "p", "x", 1.0), Resistor("b", "q", "x", 1.0), Resistor("r", "x", "n", 23.0))
    assert one(high, low, *wires)["r"] == pytest.approx(23.0, abs=1e-3)
    taking = Source("l", "q", "n", 12.0, 10.0, takes=True)
    # Node x: (24 − V) + (12 − V) = V/23, V = 36 · 23 / 47.
    assert one(high, taking, *wires)["r"] == pytest.approx(36 * 23 / 47, abs=1e-3)


def test_many_networks_in_one_process() -> None:
    """Two pieces without a common node stand in one network; four hundred networks run at once."""
    pieces: list[Part] = [
        Source("s", "p", "n", 24.0, 2.0),
        Resistor("r", "p", "n", 24.0),
        Resistor("lone", "x", "y", 5.0),
    ]
    points = operating_points([pieces] * 400)
    assert all(point.across(pieces[1]) == pytest.approx(24.0, abs=1e-3) for point in points)
    assert all(point.across(pieces[2]) == pytest.approx(0.0, abs=1e-3) for point in points)
