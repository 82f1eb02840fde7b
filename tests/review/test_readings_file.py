"""Odd sheets: what is wrong is told with line and column."""

from __future__ import annotations

import pytest

from plancheck.library.readings_file import Measured, read_readings
from plancheck.source import Source
from tests.review.planned import reviewed
from tests.review.test_acceptance import ONE_LOCK

HEAD = "condition,from,to,reading V\n"


def _read(text: str) -> tuple[list[Measured], list[tuple[int, int, str]]]:
    plan = reviewed(ONE_LOCK).report.plan
    assert plan is not None
    found, mistakes = read_readings(Source("filled.csv", text), plan)
    return found, [(m.at.line, m.at.column, m.headline) for m in mistakes]


@pytest.mark.parametrize(
    "text",
    [
        HEAD + "EB1.pressed on,ML1:+,ML1:-,0.1 V\n",
        "to;reading V;from;condition\nML1:-;0.1;ML1:+;EB1.pressed on\n",
        "note\tcondition\tfrom\tto\treading v\nx\tEB1.pressed on\tML1:+\tML1:-\t0.1\n",
        HEAD.replace("\n", "\r\n") + '"EB1.pressed on",ML1:+,ML1:-,"0.1"\r\n\r\n',
        HEAD + ",ML1:+,ML1:-,\nEB1.pressed on,ML1:+,ML1:-,0.1 Vdc\n",
    ],
    ids=["plain", "semicolons", "tabs", "quoted, CRLF", "a line not filled in"],
)
def test_columns_are_found_by_their_name(text: str) -> None:
    found, mistakes = _read(text)
    assert mistakes == []
    assert [(m.plus, m.minus, m.volts, m.setting) for m in found] == [("ML1:+", "ML1:-", 0.1, {"EB1.pressed": True})]


@pytest.mark.parametrize(
    ("text", "line", "column", "headline"),
    [
        ("", 1, 1, "The sheet is empty"),
        ("from,to,reading V\n", 1, 1, "The sheet has no column “condition”"),
        (HEAD, 1, 1, "No reading is filled in"),
        (HEAD + ",ML1:+,ML1:-,high\n", 2, 14, "“high” is no reading"),
        (HEAD + ',ML1:+,ML1:-,"23,8"\n', 2, 14, "“23,8” is no reading"),
        (HEAD + ",ML9:+,ML1:-,1\n", 2, 2, "The plan has no terminal “ML9:+”"),
        (HEAD + "\nEB9.pressed on,ML1:+,ML1:-,1\n", 3, 1, "The plan has no signal “EB9.pressed”"),
        (HEAD + "EB1.pressed,ML1:+,ML1:-,1\n", 2, 1, "“EB1.pressed” is no condition"),
        ("reading V,condition,from,to\n1,,ML1:+\n", 2, 4, "This line has too few cells"),
        (HEAD + ",ML1:+,ML1:-,1\n,ML1:+,ML1:-,2\n", 3, 14, "The same is read twice, with different volts"),
        (HEAD + ",ML1:+,ML1:-,nan\n", 2, 14, "“nan” is no reading"),
        (HEAD + ",ML1:+,ML1:-,1e400\n", 2, 14, "“1e400” is no reading"),
    ],
)
def test_what_is_wrong_has_a_line_and_a_column(text: str, line: int, column: int, headline: str) -> None:
    assert _read(text)[1] == [(line, column, headline)]


def test_the_mark_against_formulas_is_taken_off() -> None:
    found, mistakes = _read(HEAD + ",ML1:+,ML1:-,'-23.7\n")
    assert (mistakes, [m.volts for m in found]) == ([], [-23.7])
