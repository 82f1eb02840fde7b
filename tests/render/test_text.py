"""The correction list: what stands in it, how it fits its page, that nothing in it commands a terminal."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from syrupy.assertion import SnapshotAssertion

from plancheck.finding import Finding
from plancheck.render.columns import width
from plancheck.render.layout import Page
from plancheck.render.paint import Paint
from plancheck.render.text import letter, plain
from plancheck.review.report import PlanReport
from plancheck.source import Source, Span
from tests.render.reports import (
    adopted_report,
    clinic_report,
    drop_warning,
    held_on_alarm,
    misread_report,
    missing_report,
    plan_of,
    quiet_report,
)

ALL = [clinic_report, quiet_report, adopted_report, misread_report, missing_report]
_CODES = re.compile(r"\x1b\[[0-9;]*m")


@pytest.mark.parametrize("columns", [100, 60])
def test_letter_of_several_plans(columns: int, snapshot: SnapshotAssertion) -> None:
    assert letter([report() for report in ALL], Page(columns)) == snapshot


@pytest.mark.parametrize("columns", [40, 60, 72, 100, 140])
def test_no_line_is_wider_than_the_page(columns: int) -> None:
    text = letter([report() for report in ALL], Page(columns))
    assert [line for line in text.split("\n") if width(line) > columns] == []


def test_colour_only_repeats_what_the_words_say() -> None:
    reports = [report() for report in ALL]
    painted = letter(reports, Page(80, Paint(True)))
    assert "\x1b[" in painted
    # Trailing blanks inside a painted stretch are the only difference.
    bare = "\n".join(line.rstrip() for line in _CODES.sub("", painted).split("\n"))
    assert bare == letter(reports, Page(80))


def test_without_findings_it_says_no_more_than_that() -> None:
    text = letter([quiet_report()], Page(80))
    assert "No findings from the rules that were run." in text
    assert "1 of egress" in text
    assert "fire-alarm-release" in letter([quiet_report()], Page(80, full=True))
    assert "authority having jurisdiction decides" in text


def test_life_safety_says_check_local_code() -> None:
    text = letter([clinic_report()], Page(400))
    assert "7.2.1.6.2 (from memory) — check local code" in text
    # The finding without life safety does not say it: two of the three do, and the caution once.
    assert text.count("check local code") == 3


def _marked(finding: Finding, columns: int) -> tuple[str, str]:
    source = finding.at.source
    report = PlanReport(source, plan_of(source), (finding,))
    lines = letter([report], Page(columns)).split("\n")
    below = next(i for i, line in enumerate(lines) if line.strip() and set(line.strip()) == {"▔"})
    return lines[below - 1], lines[below]


def _at(text: str, words: str, columns: int = 80) -> tuple[str, str]:
    source = Source("a.plan", text)
    start = text.index(words)
    finding = drop_warning(Source("x", "C1/red"), at=None, evidence=())
    return _marked(replace(finding, at=Span(source, start, start + len(words))), columns)


def _columns_marked(line: str, marks: str) -> str:
    """The part of the line that stands over the marks, by columns."""
    taken, out = 0, ""
    begin, end = len(marks) - len(marks.lstrip()), len(marks)
    for character in line:
        if begin <= taken < end:
            out += character
        taken += width(character)
    return out


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("wire A:1 to ML1:+ in C1/red\n", "ML1:+"),
        ("door D1 {\r\n\tlocks ML1, ML2\r\n}\r\n", "ML2"),
        ("\t\twire 電源:+ to 錠前:+ in C1/red", "錠前:+"),
        ("wire e\u0301clair:+ to ML1:+", "ML1:+"),
        ("a\tb\tML1", "ML1"),
        ("x" * 3_000 + " ML1 " + "y" * 3_000, "ML1"),
        ("x" * 3_000_000 + " ML1 " + "y" * 3_000_000, "ML1"),
        ("ML1 " + "y" * 500, "ML1"),
        ("y" * 500 + " ML1", "ML1"),
        (
            "locks " + "左" * 27 + " ML1 " + "右" * 21,
            "ML1",
        ),
    ],
)
@pytest.mark.parametrize("columns", [60, 80])
def test_marks_stand_under_the_words(text: str, words: str, columns: int) -> None:
    line, marks = _at(text, words, columns)
    assert _columns_marked(line, marks) == words
    assert max(width(line), width(marks)) <= columns


def test_a_mark_where_something_is_missing_takes_one_column() -> None:
    source = Source("a.plan", "wire A:1 to\n")
    line, marks = _marked(drop_warning(Source("x", "C1/red"), at=Span(source, 11, 11), evidence=()), 80)
    # Indent 4, label column 13, eleven characters of the line: the mark is the next one.
    assert line.endswith("wire A:1 to")
    assert marks == " " * (4 + 13 + 11) + "▔"


def test_a_span_over_lines_is_marked_to_the_end_of_its_first() -> None:
    line, marks = _at("door D1 {\n  locks L\n}\n", "D1 {\n  locks L\n}")
    assert _columns_marked(line, marks) == "D1 {"


@pytest.mark.parametrize(
    ("name", "escaped"),
    [
        ("\x1b[31mred", "\\x1b[31mred"),
        ("\x9b2J", "\\x9b2J"),
        ("a\u202eb", "a\\u202eb"),
        ("a\u2028b", "a\\u2028b"),
        ("bell\x07", "bell\\x07"),
        ("a\rb", "a\\x0db"),
        ("a\x7f", "a\\x7f"),
    ],
)
def test_nothing_in_a_name_reaches_the_terminal_as_a_command(name: str, escaped: str) -> None:
    source = Source(f"{name}.plan", f"lock {name} {{ }}\n")
    finding = held_on_alarm(
        Source("x", "ML1:+ RX1:COM"),
        subject=name,
        headline=f"{name} is held",
        found=name,
        path=(name,),
        at=Span(source, 0, 4),
        also_at=(),
    )
    report = PlanReport(source, plan_of(source, title=name, revision=name), (finding,), not_assessed=(name,))
    text = letter([report], Page(120))
    assert name not in text
    assert escaped in text
    assert all(c == "\n" or ord(c) >= 0x20 for c in text)


def test_places_in_another_file_are_told_with_it() -> None:
    home = Source("site/main.plan", "wire A:1 to B:1\n")
    other = Source("site/typicals/door.plan", "x\nlock ML1 { }\n")
    finding = drop_warning(Source("x", "C1/red"), at=Span(other, 7, 10), also_at=(Span(home, 5, 8),), evidence=())
    text = letter([PlanReport(home, plan_of(home), (finding,))], Page(80))
    assert "in site/typicals/door.plan" in text
    assert "line 2 " in text
    assert "also line 1" in text


def test_own_signs_have_a_plain_form() -> None:
    assert plain("a → b · “c” ─▔ 5 × 2 ÷ 3 − 1 ≤ 4").isascii()
