"""No text raises on its way to a plan, and no mistake is lost between the stages."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plancheck.finding import Mistake
from plancheck.plan.mistakes import MOST_MISTAKES
from plancheck.source import Source
from plancheck.syntax import read_statements
from tests.plan.drawn import draw

NAMES = st.sampled_from(["A", "B", "C1", "D1", "D1/A", "here", "t", "u", "run"])
QUANTITIES = st.sampled_from(
    ["24 Vdc", "250 mA", "1 ft", "18 AWG", "2", "-1 A", "9" * 20 + " V", "1e5 V", '"x"', "run", "2026-01-01", "5 %"]
)  # fmt: skip
KINDS = st.sampled_from(["feed", "magnet", "keeper", "board", "sender", "door", "cable", "wire", '"h"', "nothing"])
LEADS = st.sampled_from(
    ["rated", "output", "channels", "channel", "buttons", "button 1 works", "locks", "fails", "egress", "length",
     "conductors 2 of", "run", "granted by", "until", "reason", "on exit path"]
)  # fmt: skip
ENTRIES = st.lists(st.tuples(LEADS, st.lists(QUANTITIES | NAMES, max_size=3).map(", ".join)).map(" ".join), max_size=4)
BLOCKS = ENTRIES.map(lambda entries: " { " + "; ".join(entries) + " }")
ENDS = st.tuples(NAMES, st.sampled_from(["+", "-", "COM", "NO1", "x"])).map(":".join)
DECLARATIONS = st.tuples(KINDS, NAMES, BLOCKS).map(lambda p: f"{p[0]} {p[1]}{p[2]}")
WIRES = st.tuples(ENDS, ENDS, st.sampled_from(["", " in C1/red", " in D1/A/x", " in C1"]), st.just("") | BLOCKS).map(
    lambda p: f"wire {p[0]} to {p[1]}{p[2]}{p[3]}"
)
PLACES = st.tuples(st.sampled_from("tuv"), NAMES, st.sampled_from(["", " to D3", " to D9"]), BLOCKS).map(
    lambda p: f"place {p[0]} as {p[1]}{p[2]}{p[3]}"
)
VARIANCES = st.tuples(NAMES | ENDS, BLOCKS).map(lambda p: f"variance a/b on {p[0]}{p[1]}")
INNER = DECLARATIONS | WIRES | PLACES | VARIANCES
TYPICALS = st.tuples(
    st.sampled_from("tuv"), st.sampled_from(["", "(run)", "(run, A)"]), st.lists(INNER, max_size=4)
).map(lambda p: f"typical {p[0]} {p[1]} {{\n  " + "\n  ".join(p[2]) + "\n}")
OTHERS = st.sampled_from(
    ['device "h" is a magnet { rated 24 Vdc, 250 mA }', 'use "x"', 'plan "x"', "ambient 1 V to 2",
     "kind k { link a b }", "kind magnet { }", "&", "}", "door D {"]
)  # fmt: skip
PLANS = st.lists(INNER | TYPICALS | OTHERS, max_size=12).map("\n".join)


def check(text: str) -> None:
    source = Source("top.plan", text)
    plan, mistakes = draw(text)
    for mistake in mistakes:
        assert mistake.headline
        for at in (mistake.at, *mistake.also_at):
            assert 0 <= at.start <= at.end <= len(at.source.text)
    for device in plan.devices.values():
        assert set(device.value_at) <= set(device.values)
        for span in device.value_at.values():
            assert span.text
    for wire in plan.wires:
        for end in (wire.a, wire.b):
            assert end.terminal in plan.devices[end.device].terminals
    if read_statements(source)[1]:
        assert mistakes


@given(PLANS)
@settings(deadline=None, max_examples=300)
def test_any_plan(text: str) -> None:
    check(text)


@given(st.text(max_size=100))
@settings(deadline=None, max_examples=50)
def test_any_text(text: str) -> None:
    check(text)


CROWDS = {
    "names that are not there": "".join(f"wire A{i}:1 to B{i}:2\n" for i in range(50_000)),
    "attributes that are not there": "door D1 {\n" + "".join(f"  foo{i} 1\n" for i in range(100_000)) + "}\n",
    "kinds that are not there": "".join(f"fuzz D{i} {{ rated 1 A }}\n" for i in range(50_000)),
    "names twice": "door D1\n" * 100_000,
}


@pytest.mark.parametrize("text", CROWDS.values(), ids=CROWDS.keys())
def test_a_hundred_thousand_mistakes(text: str) -> None:
    start = time.process_time()
    mistakes: list[Mistake] = draw(text)[1]
    assert time.process_time() - start < 20
    assert len(mistakes) == MOST_MISTAKES + 1
    assert mistakes[-1].headline == "There are more mistakes"


def test_equal_texts_give_equal_plans() -> None:
    text = "feed P { output 24 Vdc, 2 A }\nmagnet M { rated 24 Vdc }\nwire P:+ to M:x\ndoor D { locks Q, P }"
    once, again = draw(text), draw(text)
    assert [str(m.headline) for m in once[1]] == [str(m.headline) for m in again[1]]
    assert list(once[0].devices) == list(again[0].devices)
