"""Chromium, without its own downloads: `page_of` opens a page that was written, and holds it to its word.

A page needs nothing from elsewhere and complains of nothing: what its console, its script or its loading says of a
fault, and each address that is no file, fails the test at its end.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests.outside import CHROMIUM, has_chromium

collect_ignore_glob = [] if has_chromium() else ["test_*.py"]

PHONE, DESK = (360, 740), (1280, 900)
"""Widths and heights of screens, in CSS pixels."""

PageOf = Callable[..., Page]
"""`page_of(path, size=DESK, script=True)`: an HTML file, open; without its script where that is asked for."""


# The loop of the browser's driver runs as long as the driver does: it must have ended before any test with a loop of
# its own begins, hence not once for the whole session.
@pytest.fixture(scope="package")
def chromium() -> Iterator[Browser]:
    """The browser, once for all tests of this folder."""
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"] if os.getuid() == 0 else [])
        yield browser
        browser.close()


@pytest.fixture
def page_of(chromium: Browser) -> Iterator[PageOf]:
    """Opens HTML files, each in a window of its own; at the end nothing may have gone wrong in any."""
    faults: list[str] = []
    contexts = []

    def opened(path: Path, size: tuple[int, int] = DESK, script: bool = True) -> Page:
        viewport = {"width": size[0], "height": size[1]}
        context = chromium.new_context(viewport=viewport, java_script_enabled=script)  # type: ignore[arg-type]
        contexts.append(context)
        page = context.new_page()
        watch(page, faults)
        page.goto(path.resolve().as_uri())
        return page

    yield opened
    for context in contexts:
        context.close()
    assert faults == []


def watch(page: Page, faults: list[str]) -> None:
    """Notes whatever goes wrong in a page, and whatever it asks of a network."""
    page.on("console", lambda said: faults.append(said.text) if said.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: faults.append(f"script: {error}"))
    page.on("requestfailed", lambda asked: faults.append(f"not loaded: {asked.url}"))
    page.on("request", lambda asked: None if asked.url.startswith("file:") else faults.append(f"asked: {asked.url}"))
