"""What every run of the suite says at its end."""

from __future__ import annotations

import os

import pytest

from plancheck.library.pack_shelf import SETTING
from tests.faults.table import PROPERTY, lines
from tests.outside import not_run

# Nothing that a test reads is left in the cache folder of whoever runs the suite, nor taken from there.
os.environ[SETTING] = "none"


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """The table of seeded faults that were tried; then in one line each which checks this machine could not run."""
    told = [r for outcome in ("passed", "failed") for r in terminalreporter.getreports(outcome)]
    rows = [data for report in told for name, data in report.user_properties if name == PROPERTY]
    for line in lines(rows):
        terminalreporter.write_line(line)
    for line in not_run():
        terminalreporter.write_line(line, yellow=True)
