"""The command at hand."""

from __future__ import annotations

import pytest

from tests.cli.calling import Caller
from tests.cli.shelved import anew, kept, review

__all__ = ["anew", "kept", "review"]  # fixtures of packs that are kept


@pytest.fixture
def plancheck(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Caller:
    """The command, run in this process, and by no other: what a test puts in the place of a function is only here."""
    monkeypatch.setattr("plancheck.cli.reviewing.cores", lambda: 1)
    return Caller(capsys)
