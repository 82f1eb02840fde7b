"""Ten thousand random changes of each sample before the server; a short slice stands in tests/editor."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest

from tests.editor.benches import SAMPLES
from tests.editor.test_edits import edited


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.plan")), ids=lambda path: path.stem)
def test_ten_thousand_changes(path: Path) -> None:
    asyncio.run(edited(path, 10_000, 250))
