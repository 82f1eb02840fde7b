"""What a broken text still gives: sound statements survive, and so do the sound parts of a broken one."""

from __future__ import annotations

from plancheck.source import Source
from plancheck.syntax import nodes, read_statements
from plancheck.syntax.nodes import Statement, Word
from tests.marked import said


def read(text: str) -> tuple[list[Statement], list[str]]:
    statements, mistakes = read_statements(Source("t.plan", text))
    return statements, [f"{m.at.line}:{m.at.column} {said(m)}" for m in mistakes]


def test_an_unclosed_brace_costs_one_statement() -> None:
    statements, mistakes = read("door D1 {\n    locks ML1\nwire A:1 to B:2\nfuse F1 { rated 1 A }")
    assert len(mistakes) == 1
    assert mistakes[0].startswith("1:9 This “{” is never closed; found the next statement; expected “}”")
    assert [type(s.node).__name__ for s in statements] == ["Declaration", "Wire", "Declaration"]
    assert [s.broken for s in statements] == [True, False, False]


def test_an_unclosed_brace_at_the_end_of_the_text() -> None:
    statements, mistakes = read("wire A:1 to B:2\ndoor D1 {\n    locks ML1   # the last line")
    assert mistakes == [
        "2:9 This “{” is never closed; found the end of the text; expected “}”; "
        "Close the block with “}”, and indent the lines inside it."
    ]
    door = statements[1].node
    assert isinstance(door, nodes.Declaration)
    assert [e.items[1] for e in door.entries] == [Word("ML1", 20, 23)]


def test_a_broken_block_keeps_its_sound_entries_at_their_places() -> None:
    text = "# first\nfuse F1 {\n    rated = 1 A\n    blows slow\n}"
    statements, mistakes = read(text)
    assert len(mistakes) == 1
    node = statements[0].node
    assert isinstance(node, nodes.Declaration)
    assert statements[0].broken
    [entry] = node.entries
    assert statements[0].span(entry.start, entry.end).text == "blows slow"
    assert statements[0].span(node.start, node.end).text == text[8:]


def test_a_broken_kind_keeps_its_sound_members() -> None:
    statements, mistakes = read("""kind k {
  terminals + -
  load c + - coil { volts v; amps < }
  wobble
  repeat n {
    link a b
    link
  }
}""")
    assert [m.split(" ")[0] for m in mistakes] == ["3:35", "4:3", "7:9"]
    node = statements[0].node
    assert isinstance(node, nodes.KindNode)
    terminals, load, repeat = node.members
    assert isinstance(terminals, nodes.TerminalsMember)
    assert isinstance(load, nodes.PrimitiveMember)
    assert [s.name.text for s in load.settings] == ["volts"]
    assert isinstance(repeat, nodes.RepeatMember)
    assert len(repeat.members) == 1


def test_a_broken_typical_keeps_its_sound_statements() -> None:
    statements, mistakes = read("typical t {\n  wire A to B:2\n  fuse F { rated ! 1 A; blows slow }\n  door here\n}")
    assert [m.split(" ")[0] for m in mistakes] == ["2:8", "3:18"]
    node = statements[0].node
    assert isinstance(node, nodes.Typical)
    assert [type(part).__name__ for part in node.body] == ["Declaration", "Declaration"]


def test_a_head_that_cannot_be_read_gives_no_node_but_its_entries_are_read() -> None:
    statements, mistakes = read("door D101 Rear {\n  locks ML1\n  sign & no\n}\nwire A:1 to B:2")
    assert [m.split(" ")[0] for m in mistakes] == ["1:11", "3:8"]
    assert [s.node is None for s in statements] == [True, False]


def test_the_second_reading_says_the_same() -> None:
    text = "wire A to B:2\nfuse F1 {\n  rated = 1 A\n}"
    once, again = read(text), read(text)
    assert [s.node for s in once[0]] == [s.node for s in again[0]]
    assert once[1] == again[1]


def test_a_mistake_moves_with_its_statement() -> None:
    assert read("\n\nwire A to B:2")[1][0].startswith("3:6 ")
    assert read("wire A to B:2")[1][0].startswith("1:6 ")
