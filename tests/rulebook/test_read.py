"""Reading rules files: statements, members, expressions, and every mistake in its place."""

from __future__ import annotations

import pytest

from plancheck.finding import Mistake
from plancheck.rulebook import nodes
from plancheck.rulebook.read import DEEPEST, read_rules
from plancheck.source import Source

SOUND = """pack egress "Means of egress"   # a comment

situation total power loss { mains off; reserve off }

rule lets-go {
    title     "A lock # lets go"   # not the first hash
    severity  error
    where     L.fails is secure
                and L.kind is one of panic bar, lever
    passes "one" {
        plan "with } a brace"  # and a { here
        kind x { contact COM# NO# made when ch# electronic { amps 1 A } }
    }
    fails "two" { plan "x" }
}
"""


def read(text: str) -> tuple[tuple[nodes.Node, ...], list[Mistake]]:
    file, mistakes = read_rules(Source("x.rules", text))
    return file.statements, mistakes


def require(expression: str) -> nodes.Expression:
    (rule,), mistakes = read(f"rule r {{\n    require {expression}\n}}\n")
    assert mistakes == []
    assert isinstance(rule, nodes.RuleNode)
    member = rule.members[0]
    assert isinstance(member, nodes.ExpressionMember)
    return member.expression


def said(text: str) -> list[tuple[int, int, str]]:
    """Line, column and marked text of each mistake."""
    return [(m.at.line, m.at.column, m.at.text) for m in read(text)[1]]


def test_a_sound_file_is_read_whole() -> None:
    (pack, situation, rule), mistakes = read(SOUND)
    assert mistakes == []
    assert isinstance(pack, nodes.PackNode)
    assert pack.name.text == "egress"
    assert isinstance(situation, nodes.SituationNode)
    assert situation.name.text == "total power loss"
    assert [(s.role.text, s.on) for s in situation.settings if s.role] == [
        ("mains", False),
        ("reserve", False),
    ]
    assert isinstance(rule, nodes.RuleNode)
    assert rule.whole
    assert [type(m).__name__ for m in rule.members] == [
        "TextMember", "SeverityMember", "ExpressionMember", "ExampleMember", "ExampleMember",
    ]  # fmt: skip


def test_an_example_is_kept_as_a_stretch_of_the_file() -> None:
    (_, _, rule), _ = read(SOUND)
    assert isinstance(rule, nodes.RuleNode)
    examples = [m for m in rule.members if isinstance(m, nodes.ExampleMember)]
    texts = [SOUND[e.body_start : e.body_end] for e in examples]
    assert texts[0].strip().startswith('plan "with } a brace"')
    assert texts[0].rstrip().endswith("}")
    assert texts[1] == ' plan "x" '
    assert [e.keyword for e in examples] == ["passes", "fails"]


def test_a_node_stands_where_its_text_stands() -> None:
    (_, _, rule), _ = read(SOUND)
    assert isinstance(rule, nodes.RuleNode)
    where = rule.members[2]
    assert isinstance(where, nodes.ExpressionMember)
    words = " ".join(SOUND[where.start : where.end].split())
    assert words == "L.fails is secure and L.kind is one of panic bar, lever"


@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_every_line_end_will_do(line_end: str) -> None:
    statements, mistakes = read("\ufeff" + SOUND.replace("\n", line_end))
    assert mistakes == []
    assert len(statements) == 3


def test_the_longest_reading_of_a_condition_is_taken() -> None:
    node = require("in every condition with fire alarm where X energised: L secured is no and X.volts <= 5 V")
    assert isinstance(node, nodes.InCondition)
    assert [s.text for s in node.situations] == ["fire alarm"]
    assert isinstance(node.body, nodes.Junction)
    assert node.body.how == "and"


def test_minus_before_a_number_and_between_names() -> None:
    node = require("X.a - X.b <= -2 V")
    assert isinstance(node, nodes.Compare)
    assert isinstance(node.left, nodes.Arithmetic)
    assert node.right == nodes.Amount(-2.0, "-2", "V", node.right.start, node.right.end)


def test_words_right_of_is_may_be_many() -> None:
    node = require("D.egress is not one of free by lever, stair re-entry")
    assert isinstance(node, nodes.IsOneOf)
    assert node.negated
    assert [o.text for o in node.options] == ["free by lever", "stair re-entry"]


def test_every_mistake_of_a_file_is_reported_at_its_place() -> None:
    text = """pack egress "Means of egress"
situation fire alarm { alarm onn }
rule a {
    severty  error
    basis us
    where     D.egress == "a"
    require   in every condition with fire alarm L secured is no
    limit most 5 %
    foo
}
rul b { }
rule c
rule d {
    title "x"
"""
    assert said(text) == [
        (2, 34, "}"),
        (4, 5, "severty"),
        (5, 12, "s"),
        (6, 24, "=="),
        (7, 60, "is"),
        (8, 16, "5"),
        (9, 5, "foo"),
        (11, 1, "rul"),
        (12, 1, "rule c"),
        (13, 8, "{"),
    ]


@pytest.mark.parametrize(
    ("line", "hint"),
    [
        ("severty error", "Did you mean “severity”?"),
        ("for eech lock L", "Did you mean “each”?"),
        ("require L.x == 5 V", "Equality is said “is”."),
        ("require L.x != 5 V", "Write “is not”."),
        ("require L.x && L.y", "Write “and”."),
        ('title "abc', "A quoted text ends on the line on which it begins."),
        ('title "abc"\n      severity error', "This line is set deeper than the rule's first line,"),
    ],
)
def test_a_mistake_says_the_way_out(line: str, hint: str) -> None:
    (mistake,) = read(f"rule r {{\n    {line}\n}}\n")[1]
    assert mistake.hint.startswith(hint)


def test_a_rule_with_a_mistake_is_not_whole_and_the_next_one_is() -> None:
    statements, mistakes = read("rule a {\n  foo\n}\nrule b {\n  life-safety\n}\n")
    assert len(mistakes) == 1
    assert [s.whole for s in statements if isinstance(s, nodes.RuleNode)] == [False, True]


def test_a_forgotten_brace_costs_one_rule() -> None:
    statements, mistakes = read('rule a {\n  passes "x" {\n    plan "y"\n}\nrule b {\n  life-safety\n}\n')
    assert [m.headline for m in mistakes] == ["This brace is never closed"]
    assert [s.whole for s in statements if isinstance(s, nodes.RuleNode)] == [False, True]


def test_deep_nesting_is_refused() -> None:
    (mistake,) = read("rule a {\n  require " + "(" * 5000 + "x" + ")" * 5000 + "\n}\n")[1]
    assert mistake.headline == "This is nested too deeply"
    assert str(DEEPEST) in mistake.expected


@pytest.mark.parametrize("text", ["", "\n\n", "# nothing\n", "\ufeff"])
def test_an_empty_file_is_an_empty_file(text: str) -> None:
    assert read(text) == ((), [])


@pytest.mark.parametrize(
    "text", ["}{", "\x00\x01", "rule", 'rule "', "rule a {" * 50, '"' * 999, "pack", "situation x {"]
)
def test_rubbish_makes_mistakes_and_no_traceback(text: str) -> None:
    assert read(text)[1]
