"""The browser as a witness: what goes wrong in a page is noticed, and fails the test that opened it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.browser.conftest import Opened, complained

FAULTY = {
    "script": ("<script>nothing.there()</script>", "nothing is not defined"),
    "console": ("<script>console.error('oh dear')</script>", "error: oh dear"),
    "loading": ('<img src="missing.png" alt="">', "net::ERR_FILE_NOT_FOUND"),
    "network": ('<img src="http://127.0.0.1:9/x.png" alt="">', "http://127.0.0.1:9/x.png"),
}


def _written(folder: Path, body: str) -> Path:
    path = folder / "page.html"
    path.write_text(f'<!doctype html><html lang="en"><title>a page</title><body>{body}</body>', encoding="utf-8")
    return path


@pytest.mark.parametrize("what", FAULTY)
def test_what_goes_wrong_is_noticed(what: str, browser: Any, tmp_path: Path) -> None:
    body, said = FAULTY[what]
    page = browser.new_page()
    complaints = complained(page)
    page.goto(_written(tmp_path, body).as_uri())
    page.close()
    assert any(said in complaint for complaint in complaints), complaints


def test_a_page_that_needs_nothing_is_opened(opened: Opened, tmp_path: Path) -> None:
    page = opened(_written(tmp_path, "<h1>Tool room</h1><script>document.body.dataset.ran = 'yes'</script>"))
    assert page.get_by_role("heading").inner_text() == "Tool room"
    assert page.locator("body").get_attribute("data-ran") == "yes"
