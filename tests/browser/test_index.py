"""The index over many plans, sorted in a browser by mouse and by keyboard."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from plancheck.cli.main import main
from tests.bench.doors import building
from tests.browser.conftest import Opened
from tests.outside import accessibility_checker

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


def test_pages_of_many_doors_open(tmp_path: Path, opened: Opened) -> None:
    """Every page of a plan that is parted, followed by its links; conditions can be chosen where doors are drawn."""
    plan, to = tmp_path / "many.plan", tmp_path / "out"
    plan.write_text(building(30), encoding="utf-8")
    assert main(["submittal", str(plan), "--to", str(to)]) == 0
    page = opened(to / "many.html")
    for link in page.locator("nav a[href$='.html']").all():
        other = opened(to / str(link.get_attribute("href")))
        if other.locator("#picker").count():
            other.locator("#situation").select_option("fire alarm")
            assert "released" in other.locator("#standing").inner_text()


if (checker := accessibility_checker()) is not None:

    def test_the_index_keeps_nobody_out(tmp_path: Path, opened: Opened) -> None:
        index = tmp_path / "index.html"
        assert main(["review", str(SAMPLES), "--index", str(index), "--to", str(tmp_path / "letter")]) == 1
        page = opened(index)
        page.add_script_tag(path=checker)
        found = page.evaluate("axe.run(document).then(result => result.violations)")
        assert [v["id"] for v in found if v["impact"] in ("serious", "critical")] == []
