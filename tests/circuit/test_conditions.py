"""Truth tables against the plain meaning: each condition looked at alone."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from plancheck.circuit.conditions import Levels, Space, Truth, members

NAMES = ("a", "b", "c", "d", "e")


@st.composite
def spaces(draw: st.DrawFn) -> Space:
    return Space(tuple(draw(st.permutations(NAMES))[: draw(st.integers(0, 4))]))


@st.composite
def truths(draw: st.DrawFn) -> Truth:
    space = draw(spaces())
    yes = draw(st.integers(0, space.everything))
    return Truth(space, yes, draw(st.integers(0, space.everything)) & ~yes)


def value(truth: Truth, condition: dict[str, bool]) -> bool | None:
    """The truth in one condition, read bit by bit: the meaning that the masks stand for."""
    index = sum(1 << i for i, name in enumerate(truth.space.signals) if condition[name])
    return True if truth.yes >> index & 1 else False if truth.no >> index & 1 else None


def every_condition() -> list[dict[str, bool]]:
    return [{n: bool(i >> k & 1) for k, n in enumerate(NAMES)} for i in range(32)]


def test_two_signals_by_hand() -> None:
    space = Space(("x", "y"))
    # Conditions 0 to 3: neither, x, y, both.
    assert space.on("x") == 0b1010
    assert space.on("y") == 0b1100
    assert space.everything == 0b1111
    assert space.condition(2) == {"x": False, "y": True}
    assert list(members(0b1010)) == [1, 3]


@given(truths(), spaces())
def test_a_wider_space_changes_no_verdict(truth: Truth, other: Space) -> None:
    wide = truth.over(truth.space.joined(other))
    assert all(value(wide, c) == value(truth, c) for c in every_condition())


@given(truths(), spaces())
def test_a_space_in_another_order_changes_no_verdict(truth: Truth, other: Space) -> None:
    wide = truth.over(other.joined(truth.space))
    assert all(value(wide, c) == value(truth, c) for c in every_condition())


@given(truths(), truths())
def test_and_or_not_are_three_valued(a: Truth, b: Truth) -> None:
    # The strong three-valued tables (Kleene, 1952): a false part makes "and" false, a true one "or" true.
    both, either, opposite = a & b, a | b, ~a
    for c in every_condition():
        x, y = value(a, c), value(b, c)
        assert value(both, c) == (False if False in (x, y) else None if None in (x, y) else True)
        assert value(either, c) == (True if True in (x, y) else None if None in (x, y) else False)
        assert value(opposite, c) == (None if x is None else not x)


def test_numbers_combine_condition_by_condition() -> None:
    volts = Levels(Space(("x",)), ((0b01, 10.0), (0b10, 20.0)))
    amps = Levels(Space(("y",)), ((0b01, 1.0), (0b10, 3.0)))
    watts = volts.with_other(amps, lambda v, i: v * i)
    # x off/on by y off/on: 10, 20, 30, 60 W
    assert [watts.at(i) for i in range(4)] == [10.0, 20.0, 30.0, 60.0]


def test_a_number_that_is_not_known_is_neither_above_nor_below() -> None:
    truth = Levels(Space(("x",)), ((0b01, float("nan")), (0b10, 20.0))).where(lambda v: v > 5)
    assert (truth.yes, truth.no, truth.maybe) == (0b10, 0, 0b01)
