"""What a sound text becomes: each sort of statement, node by node, with its place."""

from __future__ import annotations

from plancheck.source import Source
from plancheck.syntax import nodes, read_statements
from plancheck.syntax.nodes import Comma, Date, Number, Reference, Statement, Text, Word
from plancheck.syntax.tree import parser


def one(text: str) -> Statement:
    statements, mistakes = read_statements(Source("t.plan", text))
    assert mistakes == []
    assert len(statements) == 1
    return statements[0]


def test_items_are_flat_and_know_their_place() -> None:
    node = one('fuse F1 { rated 24 Vdc, -2.5 %; on A/b:c+ "x y" 2026-11-20 }').node
    assert isinstance(node, nodes.Declaration)
    first, second = node.entries
    assert first.items == (
        Word("rated", 10, 15), Number(24.0, "24", 16, 18), Word("Vdc", 19, 22), Comma(22, 23),
        Number(-2.5, "-2.5", 24, 28), Word("%", 29, 30),
    )  # fmt: skip
    assert second.items == (
        Word("on", 32, 34), Reference("A/b", "c+", 35, 41), Text("x y", 42, 47), Date("2026-11-20", 48, 58),
    )  # fmt: skip
    assert (first.start, first.end) == (10, 30)
    assert (node.start, node.end) == (0, 60)


def test_a_unit_may_stand_right_behind_its_number() -> None:
    node = one("fuse F1 { rated 24Vdc }").node
    assert isinstance(node, nodes.Declaration)
    assert node.entries[0].items[1:] == (Number(24.0, "24", 16, 18), Word("Vdc", 18, 21))


def test_a_declaration_with_a_title_and_one_of_a_house_device() -> None:
    plain = one('door D101 "Rear exit"').node
    assert plain == nodes.Declaration(Word("door", 0, 4), Word("D101", 5, 9), Text("Rear exit", 10, 21), (), 0, 21)
    house = one('"our lock" ML7').node
    assert house == nodes.Declaration(Text("our lock", 0, 10), Word("ML7", 11, 14), None, (), 0, 14)


def test_a_house_device() -> None:
    node = one('device "our lock" is a magnet { rated 24 Vdc }').node
    assert isinstance(node, nodes.HouseDevice)
    assert (node.name.text, node.kind.text, len(node.entries)) == ("our lock", "magnet", 1)


def test_a_wire_over_several_lines() -> None:
    node = one("wire PS1:+ to FA1:COM   # first leg\n  to FA2:COM\n  in C1/red { size 18 AWG }").node
    assert isinstance(node, nodes.Wire)
    assert [(e.device, e.terminal) for e in node.ends] == [("PS1", "+"), ("FA1", "COM"), ("FA2", "COM")]
    assert node.conductor is not None
    assert node.conductor.text == "C1/red"
    assert len(node.entries) == 1


def test_headers() -> None:
    node = one('revision "C" dated 2026-11-20').node
    assert node == nodes.Header(
        Word("revision", 0, 8), (Text("C", 9, 12), Word("dated", 13, 18), Date("2026-11-20", 19, 29)), 0, 29
    )
    ambient = one("ambient 0 degC to 40 °C").node
    assert isinstance(ambient, nodes.Header)
    assert [getattr(i, "text", None) for i in ambient.items] == ["0", "degC", "to", "40", "°C"]


def test_a_typical_and_its_places() -> None:
    node = one('typical leaf (run, feed) {\n door here "x"; wire feed:+ to ML:+\n place b as A1 to A2\n}').node
    assert isinstance(node, nodes.Typical)
    assert [p.text for p in node.parameters] == ["run", "feed"]
    assert [type(part).__name__ for part in node.body] == ["Declaration", "Wire", "Place"]
    place = node.body[2]
    assert isinstance(place, nodes.Place)
    assert place.last is not None
    assert (place.typical.text, place.first.text, place.last.text) == ("b", "A1", "A2")


def test_a_variance_on_a_thing_or_a_terminal() -> None:
    node = one('variance egress/button-location on D101 { reason "x" }').node
    assert isinstance(node, nodes.Variance)
    assert (node.rule.text, node.on.text) == ("egress/button-location", "D101")
    on_terminal = one("variance wiring/terminal-unwired on RX1:NC").node
    assert isinstance(on_terminal, nodes.Variance)
    assert on_terminal.on == Word("RX1:NC", 36, 42)


def test_words_of_the_grammar_are_free_as_names_elsewhere() -> None:
    node = one("fuse plan { wire kind to in; is a load; 3 in above floor }").node
    assert isinstance(node, nodes.Declaration)
    assert node.name.text == "plan"
    assert [getattr(i, "text", "") for i in node.entries[0].items] == ["wire", "kind", "to", "in"]


def test_names_in_any_script() -> None:
    for name in ("предохранитель", "保險絲", "कमरा", "ประตู", "فيوز", "Türöffner", "D102/ML"):
        node = one(f"fuse {name}").node
        assert isinstance(node, nodes.Declaration)
        assert node.name.text == name


def test_a_statement_knows_where_it_stands() -> None:
    source = Source("t.plan", "# note\n\nwire A:1 to B:2\n")
    [statement] = read_statements(source)[0]
    assert isinstance(statement.node, nodes.Wire)
    end = statement.node.ends[1]
    assert statement.span(end.start, end.end).text == "B:2"
    assert statement.span(end.start, end.end).line == 3


def test_equal_texts_give_the_same_node() -> None:
    a, b = read_statements(Source("t.plan", "wire A:1 to B:2\nwire A:1 to B:2"))[0]
    assert a.node is b.node
    assert a.offset != b.offset


KIND = """kind k "what it is" is a lock {
    terminals + -
    spare     COM# if x
    needs     rated <v: voltage>, <a: current> [at <mode: one word | two>]
    may have  many button <n: count> works <ch: signal>
    may have  locks <locks: device...>
    always    keeps no
    signal    ch# "channel # of {name}" role command shared rests on unless x is one word
    load      coil + - coil { volts v; drop-out d or 25 % }
    contact   COM# NO# made when coil energised and (ch# or not x) direct if x
    one-way   + -
    state     secured when not coil powered
    repeat n {
        link a# b#
    }
}"""


def test_every_member_of_a_kind() -> None:
    node = one(KIND).node
    assert isinstance(node, nodes.KindNode)
    assert (node.name.text, node.base.text) == ("k", "lock")
    terminals, spare, needs, many, locks, always, signal, load, contact, one_way, state, repeat = node.members
    assert isinstance(terminals, nodes.TerminalsMember)
    assert [w.text for w in terminals.names] == ["+", "-"]
    assert isinstance(spare, nodes.TerminalsMember)
    assert spare.spare
    assert spare.only is not None
    assert isinstance(needs, nodes.AttributeMember)
    assert (needs.needed, needs.many, len(needs.pattern)) == (True, False, 5)
    optional = needs.pattern[4]
    assert isinstance(optional, nodes.OptionalNode)
    mode = optional.parts[1]
    assert isinstance(mode, nodes.SlotNode)
    assert [[w.text for w in choice] for choice in mode.type] == [["one", "word"], ["two"]]
    assert isinstance(many, nodes.AttributeMember)
    assert (many.needed, many.many) == (False, True)
    assert isinstance(locks, nodes.AttributeMember)
    slot = locks.pattern[1]
    assert isinstance(slot, nodes.SlotNode)
    assert slot.many
    assert isinstance(always, nodes.AlwaysMember)
    assert isinstance(signal, nodes.SignalMember)
    assert signal.role is not None
    assert (signal.role.text, signal.shared, signal.rests_on) == ("command", True, True)
    assert signal.only is not None
    assert signal.only.unless
    assert [w.text for w in signal.only.value or ()] == ["one", "word"]
    assert isinstance(load, nodes.PrimitiveMember)
    assert load.name is not None
    assert (load.what.text, load.name.text, load.a.text, load.b.text) == ("load", "coil", "+", "-")
    assert [len(s.choices) for s in load.settings] == [1, 2]
    assert isinstance(contact, nodes.PrimitiveMember)
    assert isinstance(contact.guard, nodes.GuardMany)
    assert contact.guard.how == "and"
    assert isinstance(contact.guard.parts[1], nodes.GuardMany)
    assert contact.style is not None
    assert contact.only is not None
    assert isinstance(one_way, nodes.PrimitiveMember)
    assert one_way.what.text == "one-way"
    assert isinstance(state, nodes.StateMember)
    assert isinstance(state.guard, nodes.GuardNot)
    assert isinstance(repeat, nodes.RepeatMember)
    assert len(repeat.members) == 1


def test_the_whole_text_parses_as_its_statements_do() -> None:
    text = f'plan "x"\n\n# note\n{KIND}\nwire A:1\n  to B:2\ndevice "y" is an k {{ rated 1 V, 2 A }}\n'
    tree = parser().parse(text, start="file")
    alone = [s.node for s in read_statements(Source("t.plan", text))[0]]
    assert [type(node) for node in tree.children] == [type(node) for node in alone]
