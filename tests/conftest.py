"""What every run of the suite says at its end."""

from __future__ import annotations

import os

import pytest

from plancheck.cli.pack_shelf import SETTING
from tests.outside import not_run

# Nothing that a test reads is left in the cache folder of whoever runs the suite, nor taken from there.
os.environ[SETTING] = "none"


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say in one line each which checks this machine could not run."""
    for line in not_run():
        terminalreporter.write_line(line, yellow=True)
