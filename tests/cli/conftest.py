"""The command at hand."""

from __future__ import annotations

import pytest

from tests.cli.calling import Caller
from tests.cli.shelved import anew, kept, review

__all__ = ["anew", "kept", "review"]  # fixtures of packs that are kept


@pytest.fixture
def plancheck(capsys: pytest.CaptureFixture[str]) -> Caller:
    """The command, run in this process."""
    return Caller(capsys)
