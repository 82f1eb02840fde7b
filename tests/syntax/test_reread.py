"""A text read again after changes of any kind is read as if it were new, and what did not change is not read anew."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

import plancheck
from plancheck.source import Source
from plancheck.syntax import read_statements
from plancheck.syntax.reread import ReadText, reread
from tests.bench.doors import building

ROOT = Path(plancheck.__file__).parent.parent
TEXTS = {path.name: path.read_text(encoding="utf-8") for path in sorted(ROOT.glob("samples/*.plan"))}
PASTED = (
    "{", "}", "\n", "\r", "\r\n", '"', "#", ";", " to ", "\nto A:1\n", "\nin C/red\n", "\n}\n", "\n{\n",
    "wire A:1 to B:2\n", "x y {\n", "\f", "\u2028", "é", "e\u0301", "🔒", "\0", "plan ", "\n\n", " ",
)  # fmt: skip


def assert_as_new(read: ReadText) -> None:
    source = read.source
    statements, mistakes = read_statements(source)
    assert list(read.statements) == statements
    assert read.mistakes == mistakes


def changed(text: str, draw: random.Random) -> str:
    """A text with one more change, such as a hand or a program makes it."""
    start = draw.randrange(len(text) + 1)
    end = min(len(text), start + draw.choice((0, 0, 0, 1, 1, 5, 80, 2_000)))
    other = draw.randrange(len(text) + 1)
    new = draw.choice((draw.choice(PASTED), draw.choice(PASTED), "", text[other : other + draw.choice((1, 40, 700))]))
    return text[:start] + new + text[end:]


@pytest.mark.parametrize("name", TEXTS)
def test_random_changes_are_read_as_a_new_text_is(name: str) -> None:
    draw = random.Random(name)
    text = TEXTS[name]
    read = reread(Source(name, text))
    assert_as_new(read)
    for step in range(150):
        text = TEXTS[name] if step % 40 == 39 else changed(text, draw)
        read = reread(Source(name, text), read)
        assert_as_new(read)


def test_what_did_not_change_is_not_read_anew() -> None:
    before = reread(Source("b.plan", building(20)))
    text = before.source.text
    at = text.index("45 mA")
    after = reread(Source("b.plan", text[:at] + "6" + text[at:]), before)
    kept = [piece for piece in after.pieces if piece in before.number]
    assert len(kept) == len(before.pieces) - 1
    assert_as_new(after)


def test_a_block_left_open_and_closed_again() -> None:
    text = building(3)
    before = reread(Source("b.plan", text))
    at = text.index("}", text.index("door"))
    opened = reread(Source("b.plan", text[:at] + text[at + 1 :]), before)
    assert_as_new(opened)
    assert opened.balanced is False
    assert_as_new(reread(Source("b.plan", text), opened))
