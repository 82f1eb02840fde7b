"""Where one statement ends and the next begins."""

from __future__ import annotations

from plancheck.syntax.split import outline, split, split_block


def pieces(text: str) -> list[str]:
    return [text[c.start : c.end] for c in split(text)]


def test_a_statement_to_each_line() -> None:
    assert pieces("wire A:1 to B:2\nfuse F { rated 1 A }\n\n# note\ndoor D") == [
        "wire A:1 to B:2",
        "fuse F { rated 1 A }",
        "door D",
    ]


def test_a_block_spans_lines() -> None:
    assert pieces("door D {\n  locks ML\n  # a note\n}\nwire A:1 to B:2") == [
        "door D {\n  locks ML\n  # a note\n}",
        "wire A:1 to B:2",
    ]


def test_lines_that_go_on() -> None:
    text = "wire A:1\n   to B:2   # first leg\n\n   # between\n   to C:3\n   in C1/red\ndoor D\n{\n}"
    assert pieces(text) == [text[: text.index("\ndoor")], "door D\n{\n}"]


def test_words_that_merely_begin_like_to_and_in() -> None:
    assert pieces("wire A:1 to B:2\ntower T1\ninput I1") == ["wire A:1 to B:2", "tower T1", "input I1"]


def test_braces_in_texts_and_comments_do_not_count() -> None:
    assert pieces('door D "a { b" { # {\n  sign "}"\n}\ndoor E') == ['door D "a { b" { # {\n  sign "}"\n}', "door E"]


def test_a_number_sign_behind_a_name_begins_no_comment() -> None:
    assert pieces("kind k {\n  link a# b# }\ndoor D") == ["kind k {\n  link a# b# }", "door D"]


def test_an_open_block_ends_where_a_statement_begins_at_column_one() -> None:
    text = "door D {\n  locks ML\nwire A:1 to B:2\nfuse F {\n  rated 1 A\nfuse G { rated 1 A }"
    assert pieces(text) == ["door D {\n  locks ML", "wire A:1 to B:2", "fuse F {\n  rated 1 A", "fuse G { rated 1 A }"]
    assert [c.unclosed for c in split(text)] == [(7,), (), (text.index("{", 42),), ()]


def test_an_indented_statement_does_not_end_an_open_block() -> None:
    assert len(pieces("typical t {\n  wire A:1 to B:2\n  fuse F { rated 1 A }\n}\ndoor D")) == 2


def test_where_every_brace_has_its_other_the_lines_may_stand_as_they_like() -> None:
    typical = 'typical t {\nwire A:1 to B:2\nfuse F { rated 1 A }\n"lock" ML\n{\n}\n}'
    assert pieces(f"{typical}\ndoor D") == [typical, "door D"]


def test_a_brace_left_open_and_one_too_many_elsewhere_are_two_mistakes() -> None:
    text = "door D {\nwire A:1 to B:2\nfuse F { rated 1 A } }"
    assert pieces(text) == [text]  # taken alone, the braces are in order
    assert pieces(f"}}\n{text}") == ["}", "door D {", "wire A:1 to B:2", "fuse F { rated 1 A } }"]


def test_an_unclosed_text_hides_no_brace() -> None:
    assert pieces('door D "Rear {\n  locks ML\n}\ndoor E') == ['door D "Rear {\n  locks ML\n}', "door E"]


def test_a_stray_brace_is_a_statement_of_its_own() -> None:
    assert pieces("}\nwire A:1 to B:2") == ["}", "wire A:1 to B:2"]


def test_line_ends_of_every_sort_and_no_other() -> None:
    assert pieces("door A\r\ndoor B\rdoor C\ndoor D\x0cdoor E\u2028door F") == [
        "door A",
        "door B",
        "door C",
        "door D\x0cdoor E\u2028door F",
    ]


def test_nothing_in_an_empty_text() -> None:
    assert pieces("") == pieces(" \t\r\n# only a note\n") == []


def test_parts_of_a_block() -> None:
    text = ' a; b { c; d }\n # note\n wire X:1\n  to Y:2\n e "x;y" '
    assert [text[a:b].strip() for a, b in split_block(text, 0, len(text))] == [
        "a",
        "b { c; d }",
        "wire X:1\n  to Y:2",
        'e "x;y"',
    ]


def test_the_outline_of_a_statement() -> None:
    text = 'door D "{" { a { b } } c'
    assert outline(text, 0, len(text)) == (text.index("{ a"), text.rindex("}"))
    assert outline("door D", 0, 6) is None
    assert outline("door D { a", 0, 10) == (7, 10)
