"""No text whatever raises, and every place told lies in it."""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from plancheck.source import Source
from plancheck.syntax import read_statements

WORDS = st.sampled_from(
    ["wire", "kind", "typical", "place", "door", "device", "plan", "use", "variance", "cable", "A:1", "to", "in", "is",
     "a", "as", "on", "needs", "may have", "load", "contact", "made when", "repeat", "state", "not", "and", "or", "(",
     ")", "{", "}", "[", "]", "<v: voltage>", "<", ">", ",", ";", "\n", "\r\n", "\n  ", '"x"', '"', "#", " # note\n",
     "12", "-1.5", "2026-11-20", "V", "%", "x", "ch#", "D1/ML", ":", ".", "\ufeff", "\u2028", "\x0c", "é", "कि"]
)  # fmt: skip
PLANLIKE = st.lists(WORDS, max_size=60).map(" ".join)


def check(text: str) -> None:
    source = Source("t.plan", text)
    statements, mistakes = read_statements(source)
    for statement in statements:
        assert source.text[statement.offset : statement.offset + len(statement.text)] == statement.text
        assert statement.node is not None or statement.broken
    for mistake in mistakes:
        assert 0 <= mistake.at.start <= mistake.at.end <= len(text)
        assert mistake.headline
        assert "_" not in mistake.expected.replace("_ - . /", "")


@given(st.text(max_size=200))
@settings(deadline=None, max_examples=150)
@example('"{')
@example('{ " {')
@example("wire A:1 to")
@example("kind k { load c + - { volts <")
@example("a b {\n}\n}")
def test_any_text_at_all(text: str) -> None:
    check(text)


@given(PLANLIKE)
@settings(deadline=None, max_examples=300)
def test_any_text_made_of_the_words_of_plans(text: str) -> None:
    check(text)


@given(st.binary(max_size=300).map(lambda data: data.decode("utf-8", "replace")))
@settings(deadline=None, max_examples=50)
def test_any_bytes(text: str) -> None:
    check(text)
