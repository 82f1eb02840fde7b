"""Claims over all conditions at once, against each condition judged alone."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plancheck.circuit.conditions import Levels, Space
from plancheck.rulebook.claims import (
    MOST_SIGNALS,
    TESTS,
    Claim,
    Unknown,
    both,
    compared,
    compared_with,
    either,
    together,
    total,
)

STATES = ("yes", "no", "uncertain", "unknown")
NAMES = ("a", "b", "c", "d")


@st.composite
def spaces(draw: st.DrawFn) -> Space:
    names = draw(st.lists(st.sampled_from(NAMES), unique=True, max_size=3))
    return Space(tuple(names))


@st.composite
def claims(draw: st.DrawFn) -> Claim:
    space = draw(spaces())
    states = [draw(st.sampled_from(STATES)) for _ in range(space.size)]
    masks = [sum(1 << i for i, s in enumerate(states) if s == wanted) for wanted in ("yes", "no", "unknown")]
    return Claim(space, *masks)


@st.composite
def numbers(draw: st.DrawFn) -> Levels:
    space = draw(spaces())
    values = [draw(st.sampled_from((1.0, 2.0, 3.0, math.nan))) for _ in range(space.size)]
    return Levels(space, tuple((1 << i, v) for i, v in enumerate(values)))


def state(claim: Claim, condition: dict[str, bool]) -> str:
    index = sum(1 << i for i, s in enumerate(claim.space.signals) if condition[s])
    found = [s for s, mask in zip(("yes", "no", "unknown"), claim[1:], strict=True) if mask >> index & 1]
    assert len(found) <= 1
    return found[0] if found else "uncertain"


def number(levels: Levels, condition: dict[str, bool]) -> float:
    return levels.at(sum(1 << i for i, s in enumerate(levels.space.signals) if condition[s]))


EVERYWHERE = [Space(NAMES).condition(i) for i in range(16)]


def conjunction(a: str, b: str) -> str:
    for each in ("no", "unknown", "uncertain"):
        if each in (a, b):
            return each
    return "yes"


OPPOSITE = {"yes": "no", "no": "yes", "uncertain": "uncertain", "unknown": "unknown"}


@given(claims(), claims())
def test_and_or_and_not(a: Claim, b: Claim) -> None:
    for condition in EVERYWHERE:
        p, q = state(a, condition), state(b, condition)
        assert state(both(a, b), condition) == conjunction(p, q)
        assert state(either(a, b), condition) == OPPOSITE[conjunction(OPPOSITE[p], OPPOSITE[q])]
        assert state(a.opposite(), condition) == OPPOSITE[p]


@given(numbers(), numbers(), st.sampled_from(sorted(TESTS)))
def test_comparisons(a: Levels, b: Levels, sign: str) -> None:
    plain = {"<=": float.__le__, ">=": float.__ge__, "<": float.__lt__, ">": float.__gt__, "is": float.__eq__}[sign]
    claim, fixed = compared(a, b, TESTS[sign]), compared_with(a, 2.0, TESTS[sign])
    turned = compared_with(a, 2.0, TESTS[sign], number_first=True)
    for condition in EVERYWHERE:
        x, y = number(a, condition), number(b, condition)
        assert state(claim, condition) == ("unknown" if x != x or y != y else "yes" if plain(x, y) else "no")
        assert state(fixed, condition) == ("unknown" if x != x else "yes" if plain(x, 2.0) else "no")
        assert state(turned, condition) == ("unknown" if x != x else "yes" if plain(2.0, x) else "no")


@given(st.lists(claims(), max_size=4))
def test_counting(many: list[Claim]) -> None:
    count = total(many)
    for condition in EVERYWHERE:
        states = [state(c, condition) for c in many]
        if set(states) <= {"yes", "no"}:
            assert number(count, condition) == states.count("yes")
        else:
            assert number(count, condition) != number(count, condition)


def test_too_many_signals_together_are_refused() -> None:
    wide = Space(tuple(f"s{i}" for i in range(MOST_SIGNALS)))
    assert together(wide, wide) is wide
    with pytest.raises(Unknown, match="21 signals; at most 20"):
        together(wide, Space(("one more",)))
