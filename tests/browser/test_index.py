"""The index over many plans in a browser: sorted by mouse and by keyboard, on a phone, on paper, without its script."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from plancheck.cli.main import main
from plancheck.finding import Finding, Severity
from plancheck.plan.model import Plan
from plancheck.render.submittal.index_page import index_page
from plancheck.review.report import PlanReport
from plancheck.source import Source, Span
from tests.bench.doors import building
from tests.browser.conftest import Opened
from tests.outside import accessibility_checker

DAY = date(2026, 11, 25).isoformat()
PLANS = (
    ("Sail loft", "B", "2026-11-02", "2.plan", 9),
    ("boat store", "10", "", "10.plan", 110),
    ("Ödberg quay", "9", "2025-01-31", "b/1.plan", 20),
    ("", "", "2026-02-01", "a.plan", 0),
    ("Sail loft", "A", "2026-11-01", "Z.plan", 9),
)
"""Title, revision, date, file, number of errors: none of them in the order of another."""
BY_HAND = {
    "Title": ["boat store", "Ödberg quay", "Sail loft", "Sail loft", "—"],
    "Revision": ["9", "10", "A", "B", ""],
    "Date": ["2025-01-31", "2026-02-01", "2026-11-01", "2026-11-02", ""],
    "File": ["2.plan", "10.plan", "a.plan", "b/1.plan", "Z.plan"],
    "Errors": ["0", "9", "9", "20", "110"],
    "Result": ["Findings"] * 4 + ["No findings from the rules that were run"],
}
"""Letters without regard to case or accents, numbers in words as numbers, what is missing last."""


def _report(title: str, revision: str, dated: str, file: str, errors: int) -> PlanReport:
    source = Source(file, "plan")
    plan = Plan(source, title, revision, dated, "us", (), 280.0, 300.0, {}, (), ())
    one = Finding("a/b", Severity.ERROR, False, "x", "headline", "", "", "", Span(source, 0, 0))
    return PlanReport(source, plan, (one,) * errors, rules_run=("a/b",))


@pytest.fixture
def index(tmp_path: Path) -> Path:
    """The page over those plans."""
    path = tmp_path / "index.html"
    reports = [_report(*each) for each in PLANS]
    path.write_text(index_page(reports, DAY, lambda report: f"{report.source.name}.html"), encoding="utf-8")
    return path


def _column(page: Any, name: str) -> list[str]:
    heads = [re.sub(r"\W+$", "", text) for text in page.locator("thead button").all_text_contents()]
    cells = page.locator(f"tbody tr > :nth-child({heads.index(name) + 1})")
    return [str(text) for text in cells.all_text_contents()]


def _sorted_by(page: Any) -> list[tuple[str, str]]:
    return [
        (head.inner_text().strip(), head.get_attribute("aria-sort")) for head in page.locator("th[aria-sort]").all()
    ]


@pytest.mark.parametrize("name", BY_HAND)
def test_every_column_sorts_both_ways(name: str, index: Path, opened: Opened) -> None:
    page = opened(index)
    button = page.get_by_role("button", name=name)
    button.click()
    assert _column(page, name) == BY_HAND[name]
    assert _sorted_by(page) == [(name, "ascending")]
    button.click()
    missing = [word for word in BY_HAND[name] if word in ("", "—")]
    there = [word for word in BY_HAND[name] if word not in missing]
    assert _column(page, name) == there[::-1] + missing
    assert _sorted_by(page) == [(name, "descending")]
    assert page.locator("[role=status]").inner_text() == f"Sorted by {name}, descending"
    page.get_by_role("button", name="No.").click()
    assert _column(page, "File") == [file for _, _, _, file, _ in PLANS]


def test_what_is_alike_stays_in_the_order_of_the_plans(index: Path, opened: Opened) -> None:
    page = opened(index)
    for _ in range(2):
        page.get_by_role("button", name="Errors").click()
        alike = [
            file for file, errors in zip(_column(page, "File"), _column(page, "Errors"), strict=True) if errors == "9"
        ]
        assert alike == ["2.plan", "Z.plan"]


@pytest.mark.parametrize("key", ["Enter", "Space"])
def test_the_keyboard_alone_will_do(key: str, index: Path, opened: Opened) -> None:
    page = opened(index)
    for _ in range(20):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent") == "Revision":
            break
    page.keyboard.press(key)
    assert _column(page, "Revision") == BY_HAND["Revision"]
    assert page.evaluate("document.activeElement.textContent") == "Revision"
    page.keyboard.press(key)
    assert _sorted_by(page) == [("Revision", "descending")]


def test_without_its_script_the_plans_stand_in_their_order(index: Path, browser: Any) -> None:
    page = browser.new_page(java_script_enabled=False)
    page.goto(index.as_uri())
    assert _column(page, "File") == [file for _, _, _, file, _ in PLANS]
    assert _sorted_by(page) == [("No.", "ascending")]
    assert page.locator("button:enabled").count() == 0
    page.close()


def test_no_other_script_runs_than_its_own(index: Path, browser: Any) -> None:
    added = '<script>document.title = "other"</script><p onclick="document.title = 1">press</p></main>'
    index.write_text(index.read_text(encoding="utf-8").replace("</main>", added), encoding="utf-8")
    page = browser.new_page()
    page.goto(index.as_uri())
    page.get_by_text("press").click()
    assert page.title() == "Index of plans"
    page.get_by_role("button", name="Errors").click()
    assert _column(page, "Errors") == BY_HAND["Errors"]
    page.close()


def test_plans_link_to_what_there_is_of_them(index: Path, opened: Opened) -> None:
    page = opened(index)
    assert [link.get_attribute("href") for link in page.locator("tbody a").all()] == [f"{p[3]}.html" for p in PLANS]


@pytest.mark.parametrize("width", [360, 640], ids=["phone", "200 %"])
def test_only_the_table_is_wider_than_a_small_screen(width: int, index: Path, opened: Opened) -> None:
    page = opened(index, viewport={"width": width, "height": 740})
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    box = page.locator(".scroll")
    assert box.evaluate("box => box.scrollWidth > box.clientWidth")
    box.focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(300)  # it glides
    assert box.evaluate("box => box.scrollLeft") > 0


# Letter is 8.5 in wide, A4 210 mm; both sides keep 13 mm. A CSS inch has 96 pixels.
@pytest.mark.parametrize("inches", [8.5, 210 / 25.4], ids=["Letter", "A4"])
def test_it_fits_the_paper(inches: float, index: Path, opened: Opened) -> None:
    page = opened(index, viewport={"width": int((inches - 26 / 25.4) * 96), "height": 1000})
    page.emulate_media(media="print")
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    assert page.locator(".scroll").evaluate("box => box.scrollWidth <= box.clientWidth")
    assert page.locator("thead").evaluate("head => getComputedStyle(head).display") == "table-header-group"


def test_two_hundred_plans_print_on_a_few_pages(tmp_path: Path, opened: Opened) -> None:
    path = tmp_path / "index.html"
    reports = [_report(f"Shed {n}", "A", "2026-11-02", f"shed-{n}.plan", n % 7) for n in range(200)]
    path.write_text(index_page(reports, DAY), encoding="utf-8")
    printed = opened(path).pdf(format="A4")
    assert 3 <= len(re.findall(rb"/Type\s*/Page\b", printed)) <= 12


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

    def test_nothing_keeps_anybody_out(index: Path, browser: Any) -> None:
        """No finding of axe-core (from npm), which tries the success criteria of WCAG 2."""
        page = browser.new_page(bypass_csp=True)
        page.goto(index.as_uri())
        page.add_script_tag(path=checker)
        found = page.evaluate("axe.run(document).then(result => result.violations)")
        page.close()
        assert [(v["id"], v["nodes"][0]["html"]) for v in found] == []
