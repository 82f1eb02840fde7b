"""Typicals: details drawn once, placed once or many times, in one another, and never without end."""

from __future__ import annotations

import time

import pytest

from plancheck.units import Quantity
from tests.marked import compare
from tests.plan.drawn import draw, sound

LEAF = """
typical leaf (run, feeding) {
    door here "Ward door" { locks ML }
    magnet ML { rated 24 Vdc, 250 mA }
    cable C { conductors 2 of 18 AWG; length run }
    wire feeding:+ to ML:+ in C/red
    wire ML:- to feeding:- in C/black
    variance a/b on here { reason "x" }
}
feed PS1 { output 24 Vdc, 2 A }
"""


def test_a_typical_placed_once() -> None:
    plan = sound(LEAF + "place leaf as D102 { run 120 ft; feeding PS1 }\nwire D102/ML:+ to PS1:+ in D102/C/blue")
    assert list(plan.devices) == ["PS1", "D102", "D102/ML", "D102/C"]
    assert plan.devices["D102"].values["locks"] == ("D102/ML",)
    length = plan.devices["D102/C"].values["length"]
    assert isinstance(length, Quantity)
    assert length.value == pytest.approx(120 * 0.3048)
    assert [(w.a.key, w.b.key, w.cable, w.colour) for w in plan.wires] == [
        ("PS1:+", "D102/ML:+", "D102/C", "red"),
        ("D102/ML:-", "PS1:-", "D102/C", "black"),
        ("D102/ML:+", "PS1:+", "D102/C", "blue"),
    ]
    assert plan.variances[0].on == "D102"
    assert plan.devices["D102/ML"].at.text == "magnet ML"


def test_a_typical_placed_many_times() -> None:
    plan = sound(LEAF + "place leaf as W008 to W011 { run 30 m; feeding PS1 }")
    doors = [d.name for d in plan.with_base("door")]
    assert doors == ["W008", "W009", "W010", "W011"]
    assert len(plan.wires) == 8
    assert len(plan.devices) == 1 + 4 * 3


def test_typicals_place_typicals() -> None:
    plan = sound(
        """
typical pair (a, b) { wire a:+ to b:+; wire a:- to P:-; feed P { output 1 V, 1 A } }
typical bay (from) {
    magnet ML { rated 24 Vdc, 250 mA }
    place pair as X1 to X2 { a ML; b from }
    wire X1/P:+ to X2/P:+
}
feed ML { output 24 Vdc, 2 A }
place bay as B1 { from ML }
"""
    )
    assert list(plan.devices) == ["ML", "B1/ML", "B1/X1/P", "B1/X2/P"]
    # `from ML` was said at the top: it is the top's ML, though the typical has one of that name
    assert [(w.a.key, w.b.key) for w in plan.wires] == [
        ("B1/ML:+", "ML:+"), ("B1/ML:-", "B1/X1/P:-"), ("B1/ML:+", "ML:+"), ("B1/ML:-", "B1/X2/P:-"),
        ("B1/X1/P:+", "B1/X2/P:+"),
    ]  # fmt: skip


def test_a_parameter_may_be_a_choice_a_signal_or_several_words() -> None:
    plan = sound(
        """
typical t (how, which, ch) {
    keeper K { rated 24 Vdc, 250 mA; fails how }
    door here { egress which }
    sender TX { buttons 1; button 1 works ch }
}
board RX { channels 1 }
place t as D1 { how secure; which free by lever; ch RX:ch1 }
"""
    )
    assert plan.devices["D1/K"].values["fails"] == "secure"
    assert plan.devices["D1"].values["egress"] == "free by lever"
    [button] = plan.devices["D1/TX"].values["button"]  # type: ignore[misc, union-attr]
    assert button.values["channel"] == "RX.ch1"  # type: ignore[union-attr]


def test_a_parameter_named_like_an_attribute_is_no_attribute() -> None:
    plan = sound(
        "typical t (length) { cable C { conductors 2 of 18 AWG; length length } }\nplace t as A { length 1 m }"
    )
    assert plan.devices["A/C"].values["length"] == Quantity(1.0, "length", "1 m")


def test_typicals_may_be_placed_before_they_are_drawn() -> None:
    assert "A/M" in sound("place t as A\ntypical t { magnet M { rated 24 Vdc, 250 mA } }").devices


WRONG = {
    "places": """
typical t (run) { cable C { conductors 2 of 18 AWG; length run } }
place u as A { run 1 m }
#     ^ There is no typical “u”
place t as B
#     ^^^^^^ “B” lacks what its typical needs · no run
place t as C { run 1 m; rum 2 m }
#                       ^^^ no such parameter · Did you mean “run”?
place t as D1 to E2 { run 1 m }
#          ^^^^^^^^ These names do not count up
place t as D2 to D1 { run 1 m }
#          ^^^^^^^^ These names count down
place t as F { run }
#              ^^^ “run” has no value
place t as G { run 1 m; run 2 m }
#                       ^^^ “run” is given twice
typical t { door here }
#       ^ There is a typical “t” already
""",
    "what a parameter holds": """
typical t (run, other) {
    cable C { conductors 2 of 18 AWG; length run }
#                                            ^^^ “24 Vdc”, a voltage · a length, such as 12 ft
    wire other:+ to P:+
#        ^^^^^^^ “PS9” is not declared
}
feed P { output 1 V, 1 A }
place t as A1 to A40 { run 24 Vdc; other PS9 }
""",
    "a device where a quantity is": """
typical t (other) {
    wire other:+ to P:+
#        ^^^^^^^ “other” is not declared
}
feed P { output 1 V, 1 A }
place t as A { other 24 Vdc }
""",
    "what stands in a typical": """
typical t {
    magnet M { rated 24 Vdc, 250 mA }
    magnet M { rated 24 Vdc, 250 mA }
#   ^^^^^^^^ There is a device “A/M” already
    wire M:+ to X:+
#               ^^^ “X” is not declared
}
place t as A
""",
    "a place named like a device": """
typical t { door here }
#           ^^^^^^^^^ There is a device “A” already
feed A { output 1 V, 1 A }
place t as A
""",
    "a place that failed brings no others": """
place u as A1 to A3
#     ^ There is no typical “u”
feed P { output 1 V, 1 A }
wire A1/M:+ to P:+
""",
    "a typical that places itself": """
typical t {
    door here
    place t as inner
#         ^ The typical “t” places itself · t → t
}
place t as A
place t as B
""",
    "typicals that place each other": """
typical t { place u as x }
typical u { place v as x }
typical v { place t as x }
#                 ^ The typical “t” places itself · t → u → v → t
place t as A
""",
}


@pytest.mark.parametrize("text", WRONG.values(), ids=WRONG.keys())
def test_what_is_said(text: str) -> None:
    compare(text, draw(text)[1])


def test_a_mistake_in_a_typical_points_at_the_place_too() -> None:
    _, [mistake] = draw(
        "typical t (run) { cable C { conductors 2 of 18 AWG; length run } }\nplace t as A1 to A9 { run 2 V }"
    )
    assert [at.text for at in mistake.also_at] == ["place t as A1 to A9 { run 2 V }"]


def _nest(levels: int) -> str:
    """Ten of a thing, of which there are ten in the next: 10 ** levels at the top."""
    typicals = ["typical t0 { magnet M { rated 24 Vdc, 250 mA } }"]
    typicals += [f"typical t{i} {{ place t{i - 1} as a0 to a9 }}" for i in range(1, levels + 1)]
    return "\n".join(typicals) + f"\nplace t{levels} as A"


def test_a_nest_of_a_thousand_million_devices_is_never_built() -> None:
    start = time.process_time()
    plan, mistakes = draw(_nest(9))
    assert time.process_time() - start < 1
    assert plan.devices == {}
    assert [(m.headline, m.found) for m in mistakes] == [
        ("The typicals placed make too many devices", "1,000,000,000 devices")
    ]
    assert "at most 20,000 devices" in mistakes[0].expected
    assert len(sound(_nest(3)).devices) == 1_000


def test_the_limit_counts_all_places_together() -> None:
    text = "typical t { magnet M { rated 24 Vdc, 250 mA }; magnet N { rated 24 Vdc, 250 mA } }\n"
    plan, mistakes = draw(text + "place t as A1 to A6000\nplace t as B1 to B6000\nplace t as C1 to C10")
    assert [m.found for m in mistakes] == ["24,000 devices"]
    assert len(plan.devices) == 12_020


def test_a_nest_of_nothing_is_bounded_too() -> None:
    text = "typical t0 { }\n" + "\n".join(f"typical t{i} {{ place t{i - 1} as a0 to a9 }}" for i in range(1, 12))
    _, mistakes = draw(text + "\nplace t11 as A")
    assert [m.headline for m in mistakes] == ["The typicals placed make too many devices"]


@pytest.mark.parametrize("order", [1, -1], ids=["drawn first", "drawn last"])
def test_a_nest_too_deep(order: int) -> None:
    typicals = ["typical t0 { door here }"] + [f"typical t{i} {{ place t{i - 1} as a }}" for i in range(1, 3_000)]
    _, mistakes = draw("\n".join(["place t2999 as A", *typicals[::order]]))
    assert {m.headline for m in mistakes} == {"Typicals place typicals too deep"}


def test_a_run_of_names_past_all_bounds() -> None:
    _, mistakes = draw("typical t { door here }\nplace t as A1 to A999999999")
    assert [m.found for m in mistakes] == ["999,999,999 places"]
    _, mistakes = draw("typical t { door here }\nplace t as A1 to A" + "9" * 5_000)
    assert [m.headline for m in mistakes] == ["These names do not count up"]


def test_parts_of_all_devices_are_bounded() -> None:
    plan, mistakes = draw("typical t { board B { channels 256 } }\nplace t as A1 to A20000")
    assert [m.headline for m in mistakes] == ["The plan has too many parts"]
    assert len(plan.devices) == 20_000
