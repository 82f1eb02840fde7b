"""Kinds: what their declarations become, and what is said of a wrong one."""

from __future__ import annotations

import pytest

from plancheck.plan.kinds import Kinds, load_kinds
from plancheck.plan.pattern import Slot
from plancheck.shipped import rules_folder
from plancheck.source import Source
from tests.marked import compare, said
from tests.plan.drawn import kinds


def test_slots_have_types() -> None:
    magnet = kinds().get("magnet")
    assert magnet is not None
    assert magnet.base == "lock"
    assert magnet.says == "Holds while powered"
    assert magnet.slots["rated-volts"] == Slot("rated-volts", "voltage")
    assert magnet.slots["suppression-built-in"] == Slot("suppression-built-in", "flag")
    assert magnet.constants == {"keeps-latch": False, "holds-by": "magnet"}
    assert magnet.needs == ("rated",)
    assert magnet.states == ("secured",)
    door = kinds().get("door")
    assert door is not None
    assert door.slots["locks"] == Slot("locks", "lock", many=True)
    assert door.slots["place"] == Slot("place", "choice", ("on exit path", "interior", "stair"))


def test_a_repeated_attribute_is_a_slot_of_sightings() -> None:
    board = kinds().get("board")
    assert board is not None
    channel = board.slots["channel"]
    assert channel.type == "sightings"
    assert [s.name for s in channel.inner] == ["n", "mode", "hold"]
    assert "mode" not in board.slots


def test_the_table_tells_what_all_kinds_have() -> None:
    table = kinds()
    assert [k.name for k in table.of_base("lock")] == ["magnet", "keeper"]
    assert table.slots()["rated-volts"] == [Slot("rated-volts", "voltage")]
    assert table.constants()["keeps-latch"] == [False]
    assert "ch#" in table.signals()
    assert table.states() == ["secured", "told"]


def test_the_shipped_kinds_are_sound() -> None:
    paths = sorted(rules_folder().glob("kinds/*.plan"))
    sources = [Source(p.name, p.read_text(encoding="utf-8")) for p in paths]
    table, mistakes = load_kinds(sources)
    assert [f"{m.at.source.name}:{m.at.line} {said(m)}" for m in mistakes] == []
    assert len(table.by_name) > 30


WRONG = {
    "base and role": """
kind k is a lok {
#           ^^^ There is no base class “lok” · Did you mean “lock”?
    terminals a b
    signal s role alrm
#                 ^^^^ There is no role “alrm” · Did you mean “alarm”?
}
""",
    "slots": """
kind k {
    needs     rated <v: volts>
#                   ^^^^^^^^^^ There is no type “volts” · Did you mean “voltage”?
    may have  <v: voltage> more
#             ^^^^^^^^^^^^^^^^^ An attribute begins with a word
    may have  sized <v: area>
#             ^^^^^^^^^^^^^^^ The slot “v” is declared twice, with different types
    may have  given <c: count...>
#                   ^^^^^^^^^^^^^ A count cannot be a list
    may have  twice <d: area> and <d: area>
#                                 ^^^^^^^^^ The slot “d” stands twice in one attribute
}
""",
    "terminals, guards and settings": """
kind k {
    terminals COM NO
    needs     rated <rated-volts: voltage>, <rated-amps: current>
    may have  mode <mode: fast | slow>
    signal    pressed
    load      coil COM N0 coil { volts rated-vots }
#                      ^^ The kind has no terminal “N0”
#                                      ^^^^^^^^^^ no slot of this kind · Did you mean “rated-volts”?
    load      more COM NO coil { volts rated-amps; ams rated-amps; volts 50 %; pull-in 3 A }
#                                      ^^^^^^^^^^ a slot of type current
#                                                  ^^^ A load has no setting “ams” · Did you mean “amps”?
#                                                                        ^^^^ a share of the volts
#                                                                                      ^^^ a current · such as 24 Vdc
    contact   COM NO { amps rated-amps }
#   ^^^^^^^ This contact does not say when · “made when …”
    contact   COM NO made when presed
#                              ^^^^^^ The kind has no signal “presed” · Did you mean “pressed”?
    contact   COM NO made when coil
#                              ^^^^ The kind has no signal “coil” · Say “coil energised”
    contact   COM NO made when pressed energised
#                              ^^^^^^^ The kind has no load “pressed”
    contact   COM NO made when pressed slow
#                                      ^^^^ There is no contact of style “slow”
    load      bare COM NO
#   ^^^^ This load does not say its style
    clamp     COM NO made when pressed
#   ^^^^^ A clamp takes no condition
    state     secured when coil energised if mode is fats
#                                                    ^^^^ “mode” is never “fats” · Did you mean “fast”?
    spare     NC if mod
#                   ^^^ The kind has no slot “mod” · Did you mean “mode”?
    repeat mode { link COM NO }
#          ^^^^ “repeat” needs a count
}
""",
    "members that cannot repeat": """
kind k {
    needs n <n: count>
    repeat n {
#          ^ Only electrical parts, signals, states and terminals repeat
        needs more
    }
}
""",
    "a kind of wire": """
kind strand is a wire {
#    ^^^^^^ A kind of wire has attributes alone
    needs length <length: length>
}
""",
    "two of a name": """
kind k { terminals a b }
kind k { terminals a b }
#    ^ There is a kind “k” already
""",
    "anything else": """
kind k { terminals a b }
k K1
#^^^ Only kinds stand in a file of kinds
""",
}


@pytest.mark.parametrize("text", WRONG.values(), ids=WRONG.keys())
def test_what_is_said_of_a_wrong_kind(text: str) -> None:
    compare(text, load_kinds([Source("k.plan", text)])[1])


def test_a_wrong_kind_disables_no_other() -> None:
    table, mistakes = load_kinds([Source("k.plan", "kind a { wobble }\nkind b { terminals + - }")])
    assert len(mistakes) == 1
    assert isinstance(table, Kinds)
    assert table.get("b") is not None


def test_a_second_kind_points_at_the_first() -> None:
    _, mistakes = load_kinds(
        [Source("a.plan", "\nkind k { terminals a b }"), Source("b.plan", "kind k { terminals a b }")]
    )
    [mistake] = mistakes
    assert mistake.at.source.name == "b.plan"
    assert [(at.source.name, at.line) for at in mistake.also_at] == [("a.plan", 2)]


def test_conditions_nested_too_deep() -> None:
    _, mistakes = load_kinds([Source("k.plan", "kind k { signal s; state x when " + "not " * 1_000 + "s }")])
    assert [m.headline for m in mistakes] == ["Conditions nest at most 40 deep"]
