"""Coils switched off, worked out step by step in time by ngspice: an independent witness for the closed sums."""

from __future__ import annotations

import re
import subprocess

import pytest

from plancheck.circuit.coils import release_time, volts_into_capacitor, volts_when_cut

OPTIONS = ".options reltol=1e-6 gmin=1e-12\n.model sharp D(IS=1e-12 N=5e-4)"
"""The simulator's own diode, so sharp that it drops next to nothing: the forward volts are a source of their own."""


def measured(*cards: str, span: float, measure: str) -> float:
    """One measurement of a transient of `span` seconds that begins with what the parts are said to hold."""
    step = span / 20_000
    deck = ["transient", *cards, OPTIONS, f".tran {step!r} {span!r} 0 {step!r} uic", f".meas tran found {measure}"]
    text = "\n".join([*deck, ".end", ""])
    run = subprocess.run(["ngspice", "-b", "/dev/stdin"], input=text, capture_output=True, text=True, check=False)
    match = re.search(r"^found\s*=\s*([-+.\de]+)", run.stdout, re.MULTILINE)
    assert match is not None, run.stdout + run.stderr
    return float(match[1])


@pytest.mark.parametrize(
    ("henry", "ohms", "volts", "drop_out", "forward"),
    [
        (9.0, 800.0, 24.0, 12.0, 0.0),  # a maker's page: 7.80 ms
        (9.0, 1600.0, 48.0, 24.0, 0.0),  # with 800 ohm more: 3.90 ms
        (9.0, 800.0, 24.0, 12.0, 0.7),
        (2.29, 275.0, 12.0, 1.2, 0.7),
        (0.15, 24 / 0.225, 27.3, 2.4, 0.7),  # a strike on float
        (3.0, 40.0, 24.0, 2.4, 0.7),
        (3.0, 40.0, 24.0, 2.4, 93.0),  # against a clamp
    ],
)
def test_release_through_a_diode(henry: float, ohms: float, volts: float, drop_out: float, forward: float) -> None:
    """The coil's current goes round through its own resistance, a diode and the diode's forward volts."""
    expected = release_time(henry, ohms, volts / ohms, drop_out / ohms, forward)
    found = measured(
        f"L1 c n1 {henry!r} IC={volts / ohms!r}",
        f"R1 n1 0 {ohms!r}",
        "D1 0 k sharp",
        f"Vf k c {forward!r}",
        span=2 * expected,
        measure=f"WHEN i(L1)={drop_out / ohms!r} FALL=1",
    )
    assert found == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("henry", "ohms", "farad", "series", "slack"),
    [
        # Next to no resistance: all that the coil holds goes into the capacitor.
        (0.15, 0.01, 0.22e-6, 0.0, 0.001),
        # A strike and a snubber as they are: never more than the sum says; what resists takes up to a fifth off.
        (0.15, 24 / 0.225, 0.22e-6, 24.0, 0.2),
        (0.15, 24 / 0.225, 1e-8, 24.0, 0.2),
        (9.0, 800.0, 0.1e-6, 100.0, 0.2),
    ],
)
def test_a_snubber_sees_no_more_than_the_sum(
    henry: float, ohms: float, farad: float, series: float, slack: float
) -> None:
    """Volts across the coil, with the capacitor behind its resistor beside it, begun at 24 V."""
    amps = 0.225 if ohms < 200 else 24.0 / ohms
    most = volts_into_capacitor(24.0, henry, amps, farad, series)
    found = measured(
        f"L1 c n1 {henry!r} IC={amps!r}",
        f"R1 n1 0 {ohms!r}",
        f"C1 c m {farad!r} IC=24",
        f"R2 m 0 {series or 1e-6!r}",
        span=6 * (henry * farad) ** 0.5,
        measure="MIN v(c)",
    )
    assert most * (1 - slack) <= -found <= most * (1 + 1e-3)


def test_a_current_that_is_cut_evenly() -> None:
    """12 V, 275 ohm, 2.29 H, to nothing in 0.5 ms: the contact sees the most as the current reaches nothing."""
    amps = 12 / 275
    found = measured(
        "V1 p 0 12",
        f"L1 p n1 2.29 IC={amps!r}",
        "R1 n1 c 275",
        f"I1 c 0 PWL(0 {amps!r} 0.5m 0)",
        span=0.5e-3,
        measure="MAX v(c)",
    )
    assert found == pytest.approx(volts_when_cut(12.0, 2.29, amps), rel=2e-3)
