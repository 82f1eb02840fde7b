"""What is handed over, opened in a browser: nothing complains, what can be chosen can be seen, it prints."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from plancheck.review.submittal import Submittal
from tests.browser.conftest import Opened
from tests.outside import accessibility_checker
from tests.render.works import SAMPLES, name_of, submittal_of_sample, written_page

CLICKED = """buttons => [...document.querySelectorAll(buttons)].map(button => {
    button.click();
    const feet = [...document.querySelectorAll('.sheet .foot')].map(t => [t.dataset.foot, t.textContent]);
    return [document.getElementById('standing').textContent, Object.fromEntries(feet)];
})"""
"""Clicks buttons one after another: what is told then, and what stands at the feet of boxes."""

FOOT = """name => [...document.querySelectorAll('.sheet .foot')].filter(t => t.dataset.foot === name)[0]?.textContent"""


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("pages")


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_every_page_opens_and_its_parts_can_be_chosen(path: Path, folder: Path, opened: Opened) -> None:
    submittal = submittal_of_sample(path, date(2026, 11, 26))
    page = opened(written_page(submittal, path, folder))
    _sequence_is_what_the_drawing_shows(page, submittal)
    assert all(standing for standing, _ in page.evaluate(CLICKED, "button.show"))
    page.locator("button[type=reset]").click()
    assert page.locator("#standing").inner_text().startswith("Normal condition.")


def _sequence_is_what_the_drawing_shows(page: Any, submittal: Submittal) -> None:
    """Each row of the sequence, chosen by its button: the locks stand at their boxes as the engine says."""
    rows = [row for door in submittal.sequence.doors for row in door.rows]
    clicked = page.evaluate(CLICKED, "#operation button.show")
    locks = {d.name for d in submittal.plan.with_base("lock")}
    for row, (_, feet) in zip(rows, clicked, strict=True):
        for outcome in row.outcomes:
            if outcome.part in locks and outcome.state in ("held", "released") and row.section != "after":
                assert feet[outcome.part].startswith(outcome.state), (row.event, outcome.part)


def _findings(submittal: Submittal) -> Iterator[tuple[int, str, float]]:
    """Findings that say of a lock at how many volts it is held, with nothing failed."""
    for number, finding in enumerate(submittal.report.findings, 1):
        said = re.match(r"(\S+) is held at ([\d.]+) V on fire alarm", finding.headline)
        if said and not finding.failure:
            yield number, said[1], float(said[2])


def test_a_finding_shows_its_counterexample(folder: Path, opened: Opened) -> None:
    path = next(path for path in SAMPLES if path.stem == "rear-exit-faulty")
    submittal = submittal_of_sample(path, date(2026, 11, 26))
    page = opened(written_page(submittal, path, folder))
    found = list(_findings(submittal))
    assert found
    for number, lock, volts in found:
        page.locator(f"#finding-{number} button.show").click()
        word, _, told = page.evaluate(FOOT, lock).partition(", ")
        assert word == "held"
        assert float(told.removesuffix(" V")) == pytest.approx(volts, abs=0.06)
        assert "fire alarm on" in page.locator("#standing").inner_text()
        assert page.locator(f'.sheet .marked[data-device="{lock}"]').count() >= 1


def test_a_condition_is_chosen_with_the_keyboard_alone(folder: Path, opened: Opened) -> None:
    path = next(path for path in SAMPLES if path.stem == "quay-house")
    page = opened(written_page(submittal_of_sample(path, date(2026, 11, 26)), path, folder))
    assert page.evaluate(FOOT, "ML302").startswith("held")
    for _ in range(80):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.id") == "situation":
            break
    page.keyboard.type("fire")
    assert page.evaluate(FOOT, "ML302").startswith("released")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "failure"


def test_without_a_script_the_normal_condition_shows(folder: Path, browser: Any) -> None:
    path = next(path for path in SAMPLES if path.stem == "quay-house")
    submittal = submittal_of_sample(path, date(2026, 11, 26))
    file = written_page(submittal, path, folder)
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(file.as_uri())
    assert page.locator("#picker").is_hidden()
    assert page.locator("#shown").inner_text() == "Shown: Normal condition"
    told = page.locator('.sheet .foot[data-foot="ML302"]').first.text_content()
    still = _drawing(page)
    context.close()
    # 24 V less 140 ft of 18 AWG at 35 degC, 6.90 ohm for 1000 ft (NEC chapter 9 table 8, from memory), x 250 mA.
    assert told == "held, 23.8 V"
    # What Python has drawn is what the script draws.
    with_script = browser.new_page()
    with_script.goto(file.as_uri())
    moved = _drawing(with_script)
    with_script.close()
    assert moved == still


def _drawing(page: Any) -> list[tuple[str, str]]:
    marks = page.locator(".sheet .wire, .sheet .contact, .sheet .volts, .sheet .foot").all()
    return [
        (" ".join(sorted((mark.get_attribute("class") or "").split())), mark.text_content() or "") for mark in marks
    ]


@pytest.mark.parametrize("width", [390, 640], ids=["phone", "200 %"])
def test_no_page_is_wider_than_a_small_screen(width: int, folder: Path, opened: Opened) -> None:
    for path in SAMPLES[:6]:
        file = written_page(submittal_of_sample(path, date(2026, 11, 26)), path, folder)
        page = opened(file, viewport={"width": width, "height": 800})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_it_prints(paper: str, folder: Path, opened: Opened) -> None:
    """Cover, corrections, overview, drawings, sequence, failures, schedules and test sheet each begin a page."""
    path = next(path for path in SAMPLES if path.stem == "records-room")
    page = opened(written_page(submittal_of_sample(path, date(2026, 11, 26)), path, folder))
    printed = page.pdf(format=paper)
    count = len(re.findall(rb"/Type\s*/Page\b", printed))
    assert 8 <= count <= 14


if (checker := accessibility_checker()) is not None:

    @pytest.mark.parametrize("path", SAMPLES, ids=name_of)
    def test_nothing_keeps_anybody_out(path: Path, folder: Path, opened: Opened) -> None:
        """No serious finding of axe-core (from npm), which tries the success criteria of WCAG 2."""
        page = opened(written_page(submittal_of_sample(path, date(2026, 11, 26)), path, folder))
        page.add_script_tag(path=checker)
        found = page.evaluate("axe.run(document).then(result => result.violations)")
        serious = [v for v in found if v["impact"] in ("serious", "critical")]
        assert [(v["id"], v["nodes"][0]["html"]) for v in serious] == []
