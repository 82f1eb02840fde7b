"""The two documents: what stands in them, how they fit their page, what programs and spreadsheets get."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable
from typing import Any

import jsonschema
import pytest
from syrupy.assertion import SnapshotAssertion

from plancheck.render.columns import width
from plancheck.render.csv_rows import cell, csv_text
from plancheck.render.failures_csv import failures_csv
from plancheck.render.failures_text import failures_text
from plancheck.render.layout import Page
from plancheck.render.operation_json import failures_json, failures_schema, sequence_json, sequence_schema
from plancheck.render.paint import Paint
from plancheck.render.sequence_csv import sequence_csv
from plancheck.render.sequence_text import sequence_text
from plancheck.review.document import Document
from tests.review.operating import SEAL_IN, failed, read, sample, told, too_many

NAMES = ("rear-exit", "records-room", "yard-gate")
_CODES = re.compile(r"\x1b\[[0-9;]*m")


def _sequence(document: Document, columns: int, paint: Paint | None = None) -> str:
    return sequence_text(told(document), Page(columns, paint or Paint()))


def _failures(document: Document, columns: int, paint: Paint | None = None) -> str:
    return failures_text(failed(document), Page(columns, paint or Paint()))


TEXTS = (_sequence, _failures)
Text = Callable[..., str]


@pytest.mark.parametrize("name", NAMES)
def test_sequence(name: str, snapshot: SnapshotAssertion) -> None:
    assert _sequence(sample(name), 80) == snapshot


@pytest.mark.parametrize("name", [*NAMES, "rear-exit-faulty"])
def test_failures(name: str, snapshot: SnapshotAssertion) -> None:
    assert _failures(sample(name), 80) == snapshot


def test_sequence_on_a_narrow_page(snapshot: SnapshotAssertion) -> None:
    assert _sequence(sample("yard-gate"), 60) == snapshot


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("columns", [40, 60, 100, 400])
def test_no_line_is_wider_than_the_page(columns: int, text: Text) -> None:
    for document in (sample("yard-gate"), sample("rear-exit-faulty"), read(SEAL_IN), read(too_many())):
        assert [line for line in text(document, columns).split("\n") if width(line) > columns] == []


@pytest.mark.parametrize("text", TEXTS)
def test_colour_only_repeats_what_the_words_say(text: Text) -> None:
    painted = text(sample("rear-exit"), 80, Paint(True))
    assert "\x1b[" in painted
    bare = "\n".join(line.rstrip() for line in _CODES.sub("", painted).split("\n"))
    assert bare == text(sample("rear-exit"), 80)


@pytest.mark.parametrize("text", TEXTS)
def test_documents_end_with_their_cautions_and_never_with_a_verdict(text: Text) -> None:
    for name in NAMES:
        page = " ".join(text(sample(name), 400).split())
        assert "the authority having jurisdiction decides" in page
        assert "check local code" in page
        assert re.search(r"\b(compliant|approved|safe)\b", page) is None


def test_what_was_not_covered_is_said() -> None:
    page = _failures(sample("rear-exit"), 400)
    for words in ("Two failures at once", "Mechanical failures", "Electronics that fail otherwise"):
        assert words in page


def test_names_cannot_command_a_terminal_nor_turn_a_line_round() -> None:
    document = read(SEAL_IN.replace("door D1 {", 'door D1 "Back\u202edoor\u2028" {'))
    for text in TEXTS:
        page = text(document, 80)
        assert "\u202e" not in page
        assert "\u2028" not in page
    assert "\\u202e" in _sequence(document, 80)


# --- JSON --------------------------------------------------------------------------------------------------


def test_sequence_schema(snapshot: SnapshotAssertion) -> None:
    assert json.dumps(sequence_schema(), indent=2) == snapshot


def test_failures_schema(snapshot: SnapshotAssertion) -> None:
    assert json.dumps(failures_schema(), indent=2) == snapshot


def _no_constant(name: str) -> None:
    raise AssertionError(f"{name} is no JSON")


def _json(text: str) -> Any:
    return json.loads(text, parse_constant=_no_constant)


@pytest.mark.parametrize("name", [*NAMES, "rear-exit-faulty", "upper-floor"])
def test_documents_fit_their_schemas(name: str) -> None:
    for shape, text in (
        (sequence_schema(), sequence_json(told(sample(name)))),
        (failures_schema(), failures_json(failed(sample(name)))),
    ):
        jsonschema.Draft202012Validator.check_schema(shape)
        assert list(jsonschema.Draft202012Validator(shape).iter_errors(_json(text))) == []


def test_members_are_those_of_the_contract() -> None:
    # Written out key by key and in order, apart from the models.
    whole = _json(sequence_json(told(sample("rear-exit"))))
    assert list(whole) == ["tool", "plan", "doors", "not_assessed", "assumed", "cautions"]
    assert list(whole["plan"]) == ["file", "title", "revision", "dated", "jurisdiction"]
    assert list(whole["doors"][0]) == ["name", "title", "gate", "says", "rows"]
    row = whole["doors"][0]["rows"][1]
    assert list(row) == ["section", "event", "setting", "sentence", "outcomes", "notes"]
    assert row["setting"] == {"RX1.ch1": True}
    assert list(row["outcomes"][0]) == [
        "part", "state", "volts", "always", "changed_by", "changed_together_by", "varies_with", "afterwards", "path",
        "reason",
    ]  # fmt: skip
    table = _json(failures_json(failed(sample("rear-exit"))))
    assert list(table) == [
        "tool", "plan", "concerns", "release_asked", "beforehand", "groups", "by_effect", "by_kind", "not_covered",
        "not_assessed", "assumed", "cautions",
    ]  # fmt: skip
    assert list(table["groups"][0]) == ["worst", "effects", "failures", "evidence"]


# --- CSV ---------------------------------------------------------------------------------------------------


def _rows(text: str) -> list[list[str]]:
    rows = list(csv.reader(io.StringIO(text)))
    assert len({len(row) for row in rows}) == 1
    return rows


def test_sequence_as_csv_has_a_line_for_each_row_and_part() -> None:
    rows = _rows(sequence_csv(told(sample("yard-gate"))))
    assert rows[0][:6] == ["door", "step", "section", "event", "part", "state"]
    # Eleven events for four inputs.
    assert len(rows) == 1 + 11 * 4
    assert rows[1][:6] == ["G1", "1", "normal", "in normal condition", "GO1 open input", "quiet"]


def test_failures_as_csv_hold_every_failure() -> None:
    document = sample("yard-gate")
    rows = _rows(failures_csv(failed(document)))
    assert {row[3] for row in rows[1:]} == {v.failure.what for v in document.works.facts.failures.all if v.failure}


def test_what_was_not_assessed_comes_last() -> None:
    document = read(too_many())
    for text in (sequence_csv(told(document)), failures_csv(failed(document))):
        last = _rows(text)[-1]
        assert "not assessed" in last
        assert last[-1]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "  =1", "−=", "a=1", "\x1b[2J"])
def test_no_cell_is_worked_out_by_a_spreadsheet(text: str) -> None:
    # OWASP, "CSV Injection": cells that begin with = + - @, tab or carriage return are taken for formulas.
    escaped = cell(text)
    assert not escaped.lstrip().startswith(("=", "+", "-", "@", "\t", "\r"))
    assert escaped.isprintable()
    ((value,),) = _rows(csv_text(["x"], [[text]]))[1:]
    assert value == escaped
