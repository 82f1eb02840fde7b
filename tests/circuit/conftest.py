"""Checks against the circuit simulator are collected only where it is installed."""

from __future__ import annotations

from tests.outside import has_simulator

SIMULATED = [
    "test_simulator.py", "test_samples.py", "test_generated.py", "test_transients.py", "test_starting_simulated.py",
]  # fmt: skip

collect_ignore = [] if has_simulator() else SIMULATED
