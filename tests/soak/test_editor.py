"""Ten thousand random changes of each sample before the server; a short slice stands in tests/editor."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest

from tests.authoring.of_rules.ours import OURS
from tests.editor import test_rules
from tests.editor.benches import SAMPLES
from tests.editor.test_edits import edited


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.plan")), ids=lambda path: path.stem)
def test_ten_thousand_changes(path: Path) -> None:
    asyncio.run(edited(path, 10_000, 250))


def test_ten_thousand_changes_of_rules(tmp_path: Path) -> None:
    path = tmp_path / "ours" / "ours.rules"
    path.parent.mkdir()
    path.write_text(OURS, encoding="utf-8")
    asyncio.run(test_rules.edited(path, OURS, 10_000, 250))
