"""What an author is told of thirty and more mistakes: at which words, what was found and expected, the way out."""

from __future__ import annotations

import re
from collections.abc import Sequence

import pytest
from syrupy.assertion import SnapshotAssertion

from plancheck.finding import Mistake
from plancheck.library.load import load_library
from plancheck.plan.kinds import Kinds
from plancheck.rulebook.load import load_rules
from plancheck.shipped import rules_folder
from plancheck.source import Source
from tests.rulebook.broken import BROKEN, SOUND, broken


@pytest.fixture(scope="module")
def shipped() -> tuple[Kinds, list[Source]]:
    """The shipped kinds; the shipped files of situations and of clauses, without their rules."""
    texts = {p.name: p.read_text(encoding="utf-8") for p in sorted(rules_folder().rglob("*.rules"))}
    names = [name for name, text in texts.items() if "\nrule " not in text]
    return load_library([]).kinds, [Source(name, texts[name]) for name in names]


def told(text: str, shipped: tuple[Kinds, list[Source]]) -> Sequence[Mistake]:
    kinds, sources = shipped
    return load_rules([*sources, Source("house.rules", text)], kinds)[1]


def test_the_rule_that_is_broken_is_right(shipped: tuple[Kinds, list[Source]]) -> None:
    assert told(SOUND, shipped) == []
    assert len(BROKEN) >= 30


@pytest.mark.parametrize("what", BROKEN)
def test_every_mistake_is_told_where_it_stands(what: str, shipped: tuple[Kinds, list[Source]]) -> None:
    text = broken(what)
    first = next(i for i, (a, b) in enumerate(zip(SOUND, text, strict=False)) if a != b)
    line = text.count("\n", 0, first) + 1
    mistakes = told(text, shipped)
    assert mistakes
    for mistake in mistakes:
        assert mistake.headline
        assert mistake.expected
    # What is missing, or no longer fits, is told where it would stand or where it is asked for.
    elsewhere = {"no remedy": 9, "no failing plan": 3, "a condition in a text of a rule without one": 12}
    assert mistakes[0].at.line == elsewhere.get(what, line)


def test_the_messages(shipped: tuple[Kinds, list[Source]], snapshot: SnapshotAssertion) -> None:
    lines = []
    for what in BROKEN:
        lines.append(what)
        for m in told(broken(what), shipped):
            lines.append(f"    {m.at.line}:{m.at.column} ‹{m.at.text}› {m.headline}")
            expected = re.sub(r"^one of door, gate, .*…$", "one of the kinds", m.expected)
            lines.append(f"        found {m.found}; expected {expected}. {m.hint}".rstrip())
    assert "\n".join(lines) == snapshot
