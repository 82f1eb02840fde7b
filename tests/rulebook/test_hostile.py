"""Rule packs are untrusted: whatever stands in them, there is an answer, soon, and never an exception."""

from __future__ import annotations

import random
import time

import pytest

from plancheck.plan.kinds import Kinds
from plancheck.rulebook.load import load_rules
from plancheck.rulebook.read import LONGEST_FILE
from plancheck.shipped import rules_folder
from plancheck.source import Source
from tests.rulebook.small import book, judged, kinds, rule_text

CHANGES = """pack house
change egress/button-location { reason "a" "b"; limit in us highest = 44 in source "c"; severity error }
change egress/fire-alarm-release {
    # nobody reads this
    reason "d"
    off
}
house "Works" { packs "house", "site"; adopt "house" }
"""
SHIPPED = CHANGES * 40 + "\n".join(p.read_text(encoding="utf-8") for p in sorted(rules_folder().glob("*.rules")))
PIECES = [
    "change a/b {",
    "house",
    "reason",
    "off",
    "limit",
    "/",
    "{",
    "}",
    '"',
    "#",
    "\n",
    " ",
    "rule x {",
    "in every condition",
    "of",
    "is",
    "(",
    "5 V",
    "\x00",
    "é",
    "{X.",
]


@pytest.fixture(scope="module")
def known() -> Kinds:
    return kinds()


def mistakes_of(text: str, known: Kinds) -> int:
    started = time.perf_counter()
    rules, mistakes = load_rules([Source("hostile.rules", text)], known)
    for mistake in mistakes:
        assert mistake.headline
        assert mistake.at.line >= 1
        assert len(mistake.found) < 200
    assert time.perf_counter() - started < 20
    assert mistakes or rules is not None
    return len(mistakes)


@pytest.mark.parametrize("seed", range(40))
def test_a_mangled_pack(seed: int, known: Kinds) -> None:
    chance = random.Random(seed)
    start = chance.randrange(len(SHIPPED) - 6000)
    text = list(SHIPPED[start : start + 6000])
    for _ in range(chance.randrange(1, 40)):
        at = chance.randrange(len(text))
        text[at : at + chance.randrange(3)] = [chance.choice(PIECES)]
    mistakes_of("".join(text), known)


@pytest.mark.parametrize(
    "text",
    [
        "rule a {\n" * 5000,
        "}" * 100_000,
        "{" * 100_000,
        '"' * 100_001,
        "pack p\n" + "situation s { alarm on }\n" * 2000,
        "pack p\nrule r {\n" + "    foo bar\n" * 5000 + "}\n",
        "pack p\nrule r {\n    require " + "not " * 20_000 + "x\n}\n",
        "pack p\nrule r {\n    require " + "x and " * 20_000 + "x\n}\n",
        "pack p\nrule r {\n    require x" + " + x" * 20_000 + " > 5 V\n}\n",
        "pack p\nrule r {\n    for each load X" + ", load X" * 5000 + "\n    require X.a.b" + ".c" * 20_000 + "\n}\n",
        "pack p\nrule r {\n    for each load X\n    found " + '"{X.volts' * 5000 + "\n}\n",
        'pack p\nrule r {\n    for each load X\n    found "' + "{X}" * 20_000 + '"\n}\n',
        "pack p\nrule r {\n    limit most = " + "9" * 5000 + " V\n}\n",
        "a" * (LONGEST_FILE + 1),
        "é" * 50_000,
        "#" * 200_000,
        "rule " + "a" * 100_000 + " { }",
    ],
    ids=range(17),
)  # fmt: skip
def test_a_hostile_pack_gets_mistakes_and_soon(text: str, known: Kinds) -> None:
    found = mistakes_of(text, known)
    assert found or text.startswith("#")


@pytest.mark.parametrize("seed", range(30))
def test_mangled_changes(seed: int, known: Kinds) -> None:
    chance = random.Random(seed)
    text = list(CHANGES)
    for _ in range(chance.randrange(1, 12)):
        at = chance.randrange(len(text))
        text[at : at + chance.randrange(4)] = [chance.choice(PIECES)]
    mistakes_of("".join(text), known)


def test_a_limit_beyond_all_numbers() -> None:
    rules = book(rule_text("for each load X\nrequire X.rated-volts <= most", head="limit most = " + "9" * 400 + " V"))
    assert judged(rules, {}).findings == ()
