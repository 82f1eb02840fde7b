"""A real browser for the pages that are handed over: Debian's Chromium, driven by Playwright."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.outside import FLAGS, has_chromium

collect_ignore_glob = [] if has_chromium() else ["test_*.py"]

Opened = Callable[..., Any]
"""Opens a file as a page; keywords are those of a Playwright page. Whatever a page complains of fails the test."""


# The driver keeps a loop running as long as it lives, and no test with a loop of its own can begin meanwhile: hence not
# once for the whole session.
@pytest.fixture(scope="package")
def browser() -> Iterator[Any]:
    """One browser for all tests of this folder."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        found = driver.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        yield found
        found.close()


@contextmanager
def _page(browser: Any, path: Path | None, **settings: Any) -> Iterator[Any]:
    page = browser.new_page(**settings)
    complaints = complained(page)
    page.goto(path.as_uri() if path else "about:blank")
    yield page
    page.close()
    assert complaints == []


def complained(page: Any) -> list[str]:
    """What a page will have said of faults by the end, and what it asked of a network."""
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("request", lambda request: complaints.append(request.url) if not _own(request.url) else None)
    return complaints


def _own(url: str) -> bool:
    return url.startswith(("file:", "about:", "data:"))


@pytest.fixture
def opened(browser: Any) -> Iterator[Opened]:
    """Opens pages, and closes them at the end."""
    with ExitStack() as stack:
        yield lambda path=None, **settings: stack.enter_context(_page(browser, path, **settings))
