"""Texts that no technician writes: a plain message, in good time."""

from __future__ import annotations

import time

import pytest

from plancheck.source import Source
from plancheck.syntax import read_statements
from plancheck.syntax.read import LONGEST_LINE, LONGEST_TEXT, MOST_MISTAKES
from tests.marked import said


def first(text: str) -> str:
    mistakes = read_statements(Source("t.plan", text))[1]
    return f"{mistakes[0].at.line}:{mistakes[0].at.column} {said(mistakes[0])}"


@pytest.mark.parametrize("text", ["", " \t\n\r\n", "# a note, and nothing else\n", "\ufeff\n"])
def test_an_empty_text_is_a_mistake(text: str) -> None:
    assert first(text).startswith("1:1 The text is empty; found no statement")


def test_what_is_no_text() -> None:
    assert first('plan "x"\n\0').startswith("2:1 This is not a text file; found a NUL character")
    assert "the control character U+0007" in first("\x07\n")


def test_a_line_of_ten_megabytes() -> None:
    text = "wire A:1 " + "to B:2 " * 1_500_000
    assert first(text).startswith("1:1 This statement is too long to be read; found a line of 10,500,009 characters")
    statements, mistakes = read_statements(
        Source("t.plan", "door D {\n" + "x" * LONGEST_LINE + "x\n}\nwire A:1 to B:2")
    )
    assert len(mistakes) == 1
    assert [s.node is None for s in statements] == [True, False]


def test_a_text_past_all_bounds() -> None:
    assert "is too long to be read" in first("x" * (LONGEST_TEXT + 1))


def test_a_long_statement_of_short_lines_is_read() -> None:
    body = "".join(f"    wire A{i}:1 to B{i}:2\n" for i in range(5_000))
    statements, mistakes = read_statements(Source("t.plan", f"typical t {{\n{body}}}"))
    assert mistakes == []
    assert len(getattr(statements[0].node, "body", ())) == 5_000


ERRORS = {
    "in as many statements": "wire A to B\n" * 100_000,
    "in one block": "door D1 {\n" + "    = 1\n" * 100_000 + "}\n",
    "in one typical": "typical t {\n" + "    wire A to B {}\n" * 100_000 + "}\n",
    "braces that open": "a b {\n" * 100_000,
    "braces that close": "}\n" * 100_000,
    "quotes": 'door D "\n' * 100_000,
}


@pytest.mark.parametrize("text", ERRORS.values(), ids=ERRORS.keys())
def test_a_hundred_thousand_errors(text: str) -> None:
    start = time.process_time()
    mistakes = read_statements(Source("t.plan", text))[1]
    assert time.process_time() - start < 10
    assert len(mistakes) == MOST_MISTAKES + 1
    assert mistakes[-1].headline == "The rest of the text was not read"


def test_deep_nests_do_not_overflow() -> None:
    for text in (
        "kind k { state s when " + "(" * 4_000 + "x" + ")" * 4_000 + " }",
        "kind k { state s when " + "not " * 2_000 + "x }",
        "kind k { needs a " + "[" * 4_000 + "b" + "]" * 4_000 + " }",
        "kind k {" + "\nrepeat a {" * 5_000 + "\n}" * 5_000 + "\n}",
        "a b { c {" + " d {" * 2_000,
    ):
        read_statements(Source("t.plan", text))


def test_time_grows_with_the_text() -> None:
    def seconds(lines: int) -> float:
        text = "\n".join(f"fuse F{lines}-{i} {{ rated {i} A; blows = slow }}" for i in range(lines))
        start = time.process_time()
        read_statements(Source("t.plan", text))
        return time.process_time() - start

    seconds(50)
    assert seconds(800) < 3.5 * seconds(400)
