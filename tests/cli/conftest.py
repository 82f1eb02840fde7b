"""The command at hand."""

from __future__ import annotations

import pytest

from tests.cli.calling import Caller


@pytest.fixture
def plancheck(capsys: pytest.CaptureFixture[str]) -> Caller:
    """The command, run in this process."""
    return Caller(capsys)
