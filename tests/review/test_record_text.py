"""The text of a record: it comes back as it was written, and a wrong line is told with its place."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plancheck.finding import Severity
from plancheck.review.existing import PlanRecord, Record, Recorded, RecordedSum
from plancheck.review.record_text import is_record, plan_place, read_record, record_text
from plancheck.source import Source

POLARITY = Recorded("0123456789abcdef", Severity.ERROR, "electrical/polarity", "XS1", "XS1 is fed the wrong way round")
DROP = Recorded(
    "00000000000000ff",
    Severity.WARNING,
    "electrical/loop-drop",
    "ML1",
    "6.2 % of the voltage is lost",
    (RecordedSum("volts lost", 6.2, "%", "at most 5 %"), RecordedSum("gauge", "22 AWG", "", "")),
    "1.5 V of 24 V",
    ("C1",),
)
RECORD = Record(
    "2026-11-25", {"b.plan": PlanRecord("b.plan", "B", (POLARITY, DROP)), "a.plan": PlanRecord("a.plan", "A", ())}
)

TEXT = """\
existing findings of plancheck, form 1
recorded 2026-11-25

plan "a.plan" titled "A"
error 0123456789abcdef electrical/polarity on "XS1" "XS1 is fed the wrong way round"
warning 00000000000000ff electrical/loop-drop on "ML1" "6.2 % of the voltage is lost"
  sum "volts lost" 6.2 "%" "at most 5 %"
  step "gauge" "22 AWG" ""
  found "1.5 V of 24 V"
  about "C1"
"""


def _read(text: str) -> Record:
    record, mistakes = read_record(Source("site.existing", text))
    assert mistakes == []
    return record


def test_plans_stand_by_file_and_findings_by_rule() -> None:
    lines = [line for line in record_text(RECORD).splitlines() if not line.startswith("#")]
    assert lines == [
        "existing findings of plancheck, form 1",
        "recorded 2026-11-25",
        "",
        'plan "a.plan" titled "A"',
        "",
        'plan "b.plan" titled "B"',
        'warning 00000000000000ff electrical/loop-drop on "ML1" "6.2 % of the voltage is lost"',
        '  found "1.5 V of 24 V"',
        '  about "C1"',
        '  sum "volts lost" 6.2 "%" "at most 5 %"',
        '  step "gauge" "22 AWG" ""',
        'error 0123456789abcdef electrical/polarity on "XS1" "XS1 is fed the wrong way round"',
    ]


def test_a_record_written_by_hand_is_read() -> None:
    assert _read(TEXT) == Record("2026-11-25", {"a.plan": PlanRecord("a.plan", "A", (POLARITY, DROP))})


def test_what_is_written_comes_back() -> None:
    assert record_text(_read(record_text(RECORD))) == record_text(RECORD)


@given(
    texts=st.tuples(*[st.text(st.characters(exclude_categories=["Cs"]), max_size=30)] * 6),
    value=st.floats(allow_nan=False, allow_infinity=False),
)
def test_any_text_comes_back(texts: tuple[str, ...], value: float) -> None:
    file, title, subject, headline, what, unit = texts
    sums = (RecordedSum(what, value, unit, "at most 5 %"), RecordedSum(what, unit, "", headline))
    found = Recorded(
        "0123456789abcdef", Severity.NOTE, "house/run-gauge", subject, headline, sums, what, (unit, subject)
    )
    file = file or "a.plan"
    record = Record("2026-11-25", {file: PlanRecord(file, title, (found,))})
    text = record_text(record)
    assert _read(text) == record
    assert plan_place(Source("r", text), file).text.startswith("plan ")
    # One finding, one line: nothing in it may begin another.
    assert len(text.splitlines()) == len(text.split("\n")) - 1


@pytest.mark.parametrize("ends", ["\r\n", "\r", "\n"])
def test_line_ends_do_not_matter(ends: str) -> None:
    assert _read(TEXT.replace("\n", ends)) == _read(TEXT)


@pytest.mark.parametrize(
    ("old", "new", "line", "column", "headline"),
    [
        ("existing findings of plancheck, form 1", "{", 1, 1, "This is no record of existing findings"),
        ("form 1", "form 2", 1, 38, "This record has a form that this plancheck does not read"),
        ("form 1", "form 1 ", 1, 0, ""),
        ("2026-11-25", "2026-02-30", 2, 10, "This line of the record cannot be read"),
        ("2026-11-25", "20261125", 2, 10, "This line of the record cannot be read"),
        ("recorded 2026-11-25\n", "", 1, 1, "This record does not say when it was made"),
        ("\nplan", "recorded 2026-11-26\nplan", 3, 1, "The day of a record is said once"),
        ("plan \"a", "paln \"a", 4, 1, "This line of the record cannot be read"),
        ('titled "A"', 'titled "A', 4, 22, "This line of the record cannot be read"),
        ('titled "A"', "titled A", 4, 22, "This line of the record cannot be read"),
        ('titled "A"', 'titled "\\q"', 4, 22, "This text is not written as it should be"),
        ('titled "A"', 'titled "A" "B"', 4, 26, "This line of the record holds too much"),
        ("error 0", "fatal 0", 5, 1, "This line of the record cannot be read"),
        ("0123456789abcdef", "0123456789ABCDEF", 5, 7, "This line of the record cannot be read"),
        ("0123456789abcdef", "0123456789abcde", 5, 7, "This line of the record cannot be read"),
        ("electrical/polarity", "polarity", 5, 24, "This line of the record cannot be read"),
        ("wrong way round\"\n", "wrong way round\n", 5, 53, "This line of the record cannot be read"),
        ("00000000000000ff", "0123456789abcdef", 6, 9, "This finding stands in the record twice"),
        ("6.2 \"%\"", "6,2 \"%\"", 7, 20, "This line of the record cannot be read"),
        ("6.2 \"%\"", "nan \"%\"", 7, 20, "This line of the record cannot be read"),
        ("plan \"a.plan\" titled \"A\"\n", "", 4, 1, "This finding is of no plan"),
        ("\n  sum", "\nplan \"a.plan\" titled \"A\"\n  sum", 7, 6, "This plan stands in the record twice"),
        ("\nerror", "\n  sum \"x\" 1 \"\" \"\"\nerror", 5, 3, "This sum is of no finding"),
        ("\nerror", "\n  about \"x\"\nerror", 5, 3, "This line is of no finding"),
        ("  found", "  found \"x\"\n  found", 10, 3, "What a finding found is said once"),
        ("  step", "  stop", 8, 3, "This line of the record cannot be read"),
        ("\nplan", "\n<<<<<<< one side\nplan", 4, 1, "This line of the record cannot be read"),
    ],
)  # fmt: skip
def test_a_wrong_line_is_told_with_its_place(old: str, new: str, line: int, column: int, headline: str) -> None:
    assert TEXT.count(old) == 1
    record, mistakes = read_record(Source("site.existing", TEXT.replace(old, new)))
    if not headline:  # a blank more does no harm
        assert mistakes == []
        return
    assert (mistakes[0].at.line, mistakes[0].at.column, mistakes[0].headline) == (line, column, headline)
    assert record.plans == {}, "a record that is wrong anywhere counts for nothing"


def test_a_misread_plan_is_told_once() -> None:
    _, mistakes = read_record(Source("r", TEXT.replace("titled", "called")))
    assert [mistake.at.line for mistake in mistakes] == [4]


def test_rubbish_is_not_told_without_end() -> None:
    _, mistakes = read_record(Source("r", TEXT + "rubbish\n" * 10_000))
    assert len(mistakes) == 20


@given(st.text())
def test_nothing_makes_it_raise(tail: str) -> None:
    read_record(Source("r", tail))
    read_record(Source("r", TEXT + tail))


def test_a_record_is_known_by_its_first_words() -> None:
    assert is_record(TEXT)
    assert is_record(TEXT.replace("form 1", "form 9"))
    assert not is_record('plan "a"\n')
