"""What an author of rules is told, and what is done for him. Expected values are read off the file by hand."""

from __future__ import annotations

from itertools import pairwise

import pytest

from plancheck.authoring.edit import applied
from plancheck.authoring.of_rules.author import RulesAuthor
from plancheck.authoring.rename import Refusal
from plancheck.source import Span
from tests.authoring.of_rules.ours import OURS, author_of
from tests.authoring.views import marked


def _at(author: RulesAuthor, words: str, behind: int = 0) -> int:
    return author.source.text.index(words) + behind


def _lines(spans: list[Span]) -> list[tuple[int, str]]:
    return [(span.line, span.text) for span in spans]


# --- hover -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "behind", "told"),
    [
        ("L.fails-safe", 0, "**L**: a lock"),
        ("L.fails-safe", 2, "without power it is not secured"),
        ("X.volts", 2, "volts across it, plus to minus"),
        ("D.egress", 2, "one of"),
        ("door D,", 0, "**door**"),
        ("least =", 0, "20 V"),
        ("20 V", 0, "20000 mV"),
        ("sensor-release\n", 0, "clauses"),
        ("electrical/loop-drop", 12, "Little is lost in the run"),
        ("{L} gets", 1, "**L**: a lock"),
        ("{X.volts},", 3, "volts across it"),
        ("require ", 0, "what must be so"),
        ("severity", 0, "error, warning or note"),
        ("feed-cables", 0, "cables in the way of its current"),
        ("magnetic-lock", 0, "holds while powered"),
        ("suppression", 0, "**suppression**"),
    ],
)
def test_hover_tells_of_what_stands_there(words: str, behind: int, told: str) -> None:
    author = author_of(OURS)
    found = author.hover(_at(author, words, behind))
    assert found is not None
    assert told.casefold() in found.text.casefold()


def test_hover_in_an_example_tells_volts_that_were_worked_out() -> None:
    """24 V at the magnet: its wires are jumpers. The span is one of the rules file."""
    author = author_of(OURS)
    found = author.hover(_at(author, "ML1 {"))
    assert found is not None
    assert found.at == Span(author.source, _at(author, "ML1 {"), _at(author, "ML1 {", 3))
    assert "24 V" in found.text


@pytest.mark.parametrize("words", ["# What", "Only what"])
def test_hover_is_silent_where_there_is_nothing_to_tell(words: str) -> None:
    author = author_of(OURS)
    assert author.hover(_at(author, words, 2)) is None


# --- names -------------------------------------------------------------------------------------------------


def test_a_variable_is_found_in_expressions_and_texts_of_its_group_alone() -> None:
    author = author_of(OURS + OURS[OURS.index("rule ") :].replace("held-at-night", "another").partition("\nchange")[0])
    lines = _lines(author.references(_at(author, "lock L", 5), True))
    assert lines == [(line, "L") for line in (14, 14, 15, 17, 18, 19, 21)]
    assert _lines(author.definition(_at(author, "{L} gets", 1))) == [(14, "L")]


def test_the_definition_of_a_fact_is_the_kinds_that_declare_it() -> None:
    author = author_of(OURS)
    found = author.definition(_at(author, "D.egress", 2))
    assert [span.text for span in found] == ["door"]
    assert found[0].source.name.endswith("doors.plan")
    assert author.definition(_at(author, "X.volts", 2)) == []


def test_a_situation_has_its_places_in_all_files() -> None:
    other = OURS.replace("held-at-night", "other").replace("situation night watch {\n    mains on\n}", "")
    author = author_of(OURS, other)
    assert _lines(author.references(_at(author, "with night watch", 5), True)) == [
        (4, "night watch"), (16, "night watch"), (14, "night watch"),
    ]  # fmt: skip
    edits = author.rename(_at(author, "night watch"), "after hours")
    assert not isinstance(edits, Refusal)
    assert {edit.at.source.name for edit in edits} == {"0.rules", "1.rules"}


def test_a_limit_renamed_is_renamed_in_expressions_texts_and_evidence() -> None:
    author = author_of(OURS)
    edits = author.rename(_at(author, "least ="), "enough")
    assert not isinstance(edits, Refusal)
    renamed = applied(OURS, edits)
    assert 'limit     enough = 20 V source "house rule"' in renamed
    assert "X.volts >= enough" in renamed
    assert '"{enough} at {L}"' in renamed
    assert "against at least enough" in renamed


@pytest.mark.parametrize(
    ("words", "behind", "new", "reason"),
    [
        ("lock L", 5, "D", "there is “D” already"),
        ("lock L", 5, "least", "there is “least” already"),
        ("lock L", 5, "9", "is not a name"),
        ("L.fails-safe", 2, "x", "not a name that these rules give"),
        ("electrical/loop-drop", 12, "x", "not a name that these rules give"),
        ("sensor-release\n", 1, "x", "not a name that these rules give"),
        ("# What", 3, "x", "not a name that these rules give"),
    ],
)
def test_a_name_is_refused_with_the_reason(words: str, behind: int, new: str, reason: str) -> None:
    author = author_of(OURS)
    refusal = author.rename(_at(author, words, behind), new)
    assert isinstance(refusal, Refusal)
    assert reason in refusal.reason


def test_a_device_of_an_example_is_renamed_in_that_example_alone() -> None:
    author = author_of(OURS)
    edits = author.rename(_at(author, "ML1 {"), "LOCK")
    assert not isinstance(edits, Refusal)
    renamed = applied(OURS, edits)
    assert renamed.count("LOCK") == 4
    assert "locks LOCK" in renamed.partition('fails "')[0]
    assert "LOCK" not in renamed[renamed.index('fails "') :]


# --- outline, selection, tokens ----------------------------------------------------------------------------


def test_the_outline_has_rules_with_limits_and_examples() -> None:
    found = author_of(OURS).outline()
    assert [(symbol.name, symbol.detail) for symbol in found] == [
        ("ours", "Ours"),
        ("night watch", "situation"),
        ("held-at-night", "A lock holds at night"),
        ("electrical/loop-drop", "change"),
    ]
    inner = [(symbol.name, symbol.detail) for symbol in found[2].within]
    assert inner == [("least", "20 V"), ("a magnet on 24 V", "passes"), ("and on 12 V", "fails")]


def test_a_selection_widens_from_the_word_to_the_text() -> None:
    author = author_of(OURS)
    texts = [span.text for span in author.widening(_at(author, "X.volts >=", 3))]
    assert texts[:3] == ["volts", "X.volts", "X.volts >= least"]
    assert texts[-2].startswith("rule held-at-night")
    assert texts[-1] == OURS


def test_each_word_has_its_colour_and_no_two_overlap() -> None:
    author = author_of(OURS)
    tokens = author.tokens(0, len(OURS))
    assert all(one.end <= other.start for one, other in pairwise(tokens))
    sorts = {OURS[token.start : token.end]: token.sort.value for token in tokens}
    wanted = {
        "rule": "keyword", "held-at-night": "rule", "L": "device", "lock": "kind", "fails-safe": "attribute",
        "least": "parameter", "night watch": "typical", "V": "unit", "magnetic-lock": "kind", "PS1": "device",
        "# What our service asks for.": "comment", "20": "number",
    }  # fmt: skip
    assert {word: sorts[word] for word in wanted} == wanted
    some = author.tokens(_at(author, "where"), _at(author, "require"))
    assert OURS[some[0].start : some[0].end] == "where"


# --- completion --------------------------------------------------------------------------------------------


def _offered(member: str) -> list[str]:
    """What is offered at the mark, in the place of the rule's `require`; all that is behind it is still there."""
    text = OURS.replace("require   in every condition with night watch: X.volts >= least", member)
    text, at = marked(text)
    return [proposal.text for proposal in author_of(text).proposals(at)]


@pytest.mark.parametrize(
    ("member", "offered"),
    [
        ("require L.holds-by is ‸", {"bolt", "keeper", "latch", "lever", "magnet", "given", "not", "one"}),
        ("require X.volts >= 5 ‸", {"V", "Vac", "Vdc", "kV", "kVac", "kVdc", "mV", "mVac", "mVdc", "and", "or"}),
        ("limit in ‸", {"us", "eu"}),
        ("only in ‸", {"us", "eu"}),
        ("severity ‸", {"error", "warning", "note"}),
        ("fix \"a\": ‸", {"add", "exchange", "move", "take", "thicken", "write"}),
        ("fix \"a\": add diode across X with ‸", {"anode", "cathode"}),
        ("require D.on-exit-path is ‸", {"yes", "no", "given", "not", "one"}),
        ("require (in ‸", {"every", "some", "normal"}),
    ],
)  # fmt: skip
def test_exactly_what_fits_is_offered(member: str, offered: set[str]) -> None:
    assert set(_offered(member)) == offered


@pytest.mark.parametrize(
    ("member", "among", "not_among"),
    [
        ("‸", {"require", "evidence", "fix", "passes"}, {"title", "severity", "known limits"}),
        ("require ‸", {"L", "D", "X", "least", "not", "some", "every", "count", "in"}, {"lock", "volts"}),
        ("require L.‸", {"volts", "fails-safe", "secured", "device"} - {"device"}, {"loop-drop", "L"}),
        ("require X.‸", {"loop-drop", "device", "pull-in"}, {"secured"}),
        ("require L ‸", {"secured", "released", "fails-safe"}, {"volts", "holds-by"}),
        ("require X.volts > ‸", {"X.pull-in", "least", "L"}, {"X.amps", "X.rated-amps"}),
        ("require X.amps > 5 ‸", {"mA", "A"}, {"V", "ft", "AWG"}),
        ("require in every condition with ‸", {"fire alarm", "power"}, {"L"}),
        ("require some ‸", {"contact", "wire", "door"}, {"L", "some"}),
        ("require some contact C of ‸", {"X", "C", "load"} - {"C"}, {"least"}),
        ("require (some contact C of X: C ‸", {"commanded", "idle"}, {"secured"}),
        ("require in every condition after any single failure of ‸", {"conductor open", "device dead"}, {"lock"}),
        ("basis us clause ‸", {"sensor-release", "delayed"}, {"us"}),
        ('found "{‸', {"L", "X", "condition", "failure"}, {"require"}),
        ('found "{X.‸', {"volts", "loop-drop"}, {"secured"}),
        ('fix "a": add ‸', {"diode", "clamp"}, {"door", "reader"}),
        ('evidence "a" is X.volts against ‸', {"at", "least", "X"}, {"require"}),
    ],
)
def test_the_vocabulary_is_offered_by_type(member: str, among: set[str], not_among: set[str]) -> None:
    offered = set(_offered(member))
    assert among - offered == set()
    assert not_among & offered == set()


@pytest.mark.parametrize("member", ['found "‸"', "# a comm‸", 'remedy "{L}, and ‸"', "require )‸", "rule ‸"])
def test_nothing_is_offered_in_plain_texts_and_behind_mistakes(member: str) -> None:
    assert _offered(member) == []


def test_what_is_offered_between_statements_and_in_examples() -> None:
    text, at = marked(OURS + "\n‸")
    assert [p.text for p in author_of(text).proposals(at)] == [
        "change",
        "clauses",
        "house",
        "pack",
        "rule",
        "situation",
    ]
    text, at = marked(OURS + "\nchange electrical/loop‸")
    (change,) = [p for p in author_of(text).proposals(at) if p.text == "electrical/loop-drop"]
    assert change.at.text == "electrical/loop"
    text, at = marked(OURS.replace("wire ML1:- to PS1:-\n    }\n    fails", "wire ML1:- to PS1:‸\n    }\n    fails"))
    assert {"PS1:+", "PS1:-"} <= {p.text for p in author_of(text).proposals(at)}
    assert all(p.at.source is not None and p.at.text == "PS1:" for p in author_of(text).proposals(at))
