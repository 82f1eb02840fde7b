"""The browser's own witness: what goes wrong in a page is noticed."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import PageOf, watch

FAULTY = {
    "script": ("<script>nothing.there()</script>", "nothing is not defined"),
    "console": ("<script>console.error('oh dear')</script>", "oh dear"),
    "loading": ('<img src="missing.png" alt="">', "missing.png"),
    "network": ('<img src="http://127.0.0.1:9/x.png" alt="">', "asked: http://127.0.0.1:9/x.png"),
}


def _written(folder: Path, body: str) -> Path:
    path = folder / "page.html"
    path.write_text(f'<!doctype html><html lang="en"><title>a page</title><body>{body}</body>', encoding="utf-8")
    return path


@pytest.mark.parametrize("what", FAULTY)
def test_what_goes_wrong_is_noticed(what: str, chromium: Browser, tmp_path: Path) -> None:
    body, said = FAULTY[what]
    faults: list[str] = []
    page = chromium.new_page()
    watch(page, faults)
    page.goto(_written(tmp_path, body).as_uri())
    page.close()
    assert any(said in fault for fault in faults), faults


def test_a_page_that_needs_nothing_is_opened(page_of: PageOf, tmp_path: Path) -> None:
    page = page_of(_written(tmp_path, "<h1>Tool room</h1><script>document.body.dataset.ran = 'yes'</script>"))
    assert page.get_by_role("heading").inner_text() == "Tool room"
    assert page.locator("body").get_attribute("data-ran") == "yes"


def test_without_its_script_a_page_stays_as_written(page_of: PageOf, tmp_path: Path) -> None:
    path = _written(tmp_path, "<h1>Tool room</h1><script>document.body.remove()</script>")
    assert page_of(path, script=False).get_by_role("heading").inner_text() == "Tool room"
