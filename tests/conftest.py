"""What every run of the suite says at its end."""

from __future__ import annotations

import pytest

from tests.outside import not_run


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say in one line each which checks this machine could not run."""
    for line in not_run():
        terminalreporter.write_line(line, yellow=True)
