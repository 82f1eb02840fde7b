"""The index over many plans, sorted in a browser by mouse and by keyboard."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from plancheck.cli.main import main
from tests.browser.conftest import Opened

SAMPLES = Path(__file__).parents[2] / "samples"


def _column(page: Any, number: int) -> list[str]:
    return [str(text) for text in page.locator(f"tbody tr > :nth-child({number})").all_text_contents()]


def test_every_column_sorts_both_ways(tmp_path: Path, opened: Opened) -> None:
    index = tmp_path / "index.html"
    assert main(["review", str(SAMPLES), "--index", str(index), "--to", str(tmp_path / "letter")]) == 1
    page = opened(index)
    before = _column(page, 5)
    errors = page.get_by_role("button", name="Errors")
    errors.click()
    assert [int(n) for n in _column(page, 5)] == sorted(map(int, before))
    assert page.locator("th[aria-sort=ascending]").count() == 1
    errors.press("Enter")
    assert [int(n) for n in _column(page, 5)] == sorted(map(int, before), reverse=True)
    page.get_by_role("button", name="File").click()
    assert _column(page, 4) == sorted(_column(page, 4))
    assert sorted(_column(page, 5)) == sorted(before)
