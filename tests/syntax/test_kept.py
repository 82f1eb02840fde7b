"""What is kept of the shipped kinds and rules is what reading them gives, and all of it is kept."""

from __future__ import annotations

import marshal
from pathlib import Path
from typing import Any

import pytest

from plancheck.rulebook import nodes as rule_nodes
from plancheck.rulebook import read as rule_reading
from plancheck.rulebook import rule_node
from plancheck.syntax import kept, nodes, read
from plancheck.syntax.kept import Kept
from plancheck.syntax.packing import Later
from tests.write_tables import shipped_kinds, shipped_rules

MEND = "run `python -m tests.write_tables`"


class _Nothing(Kept):
    def get(self, text: str) -> Any:
        """Nothing is kept: everything is read."""
        return None


def test_kinds_are_kept_as_they_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each shipped file of kinds, statement by statement."""
    found = read.KEPT
    monkeypatch.setattr(read, "KEPT", _Nothing("none", nodes))
    read.read_text.cache_clear()
    expected = shipped_kinds()
    read.read_text.cache_clear()
    assert sum(map(len, expected.values())) > 30
    assert [text.split("{")[0] for text in expected if found.get(text) is None] == [], MEND
    assert {text: found.get(text) for text in expected} == expected


def test_rules_are_kept_as_they_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each shipped file of rules."""
    found = rule_reading.KEPT
    monkeypatch.setattr(rule_reading, "KEPT", _Nothing("none", rule_nodes))
    expected = shipped_rules()
    assert len(expected) >= 5
    assert [text.split("\n")[0] for text in expected if found.get(text) is None] == [], MEND
    assert {text: found.get(text) for text in expected} == expected


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of grammars of its own."""
    (tmp_path / "plan.lark").write_text("start: NAME", encoding="utf-8")
    monkeypatch.setattr(kept, "grammar_file", lambda name: tmp_path / name)
    return tmp_path


def test_nodes_come_back(folder: Path) -> None:
    """Nodes within nodes, tuples, numbers, nothing."""
    entry = nodes.Entry((nodes.Word("rated", 0, 5), nodes.Number(2.5, "2.5", 6, 9), nodes.Comma(9, 10)), 0, 10)
    whole = nodes.Declaration(nodes.Word("lamp", 0, 4), nodes.Word("L1", 5, 7), None, (entry,), 0, 12)
    Kept("plan", nodes).write({"lamp L1": whole})
    assert (folder / "plan.nodes").is_file()
    assert Kept("plan", nodes).get("lamp L1") == whole
    assert Kept("plan", nodes).get("lamp L2") is None


def test_what_is_looked_at_later_comes_back_as_well(folder: Path) -> None:
    """The groups of a rule are packed apart, and compare as the tuples that they are."""
    text = rule_nodes.Text("gone", 30, 36)
    group = rule_nodes.GroupNode(rule_nodes.ForEachMember((), 10, 20), (rule_nodes.TextMember("found", text, 24, 36),))
    rule = rule_nodes.RuleNode(rule_nodes.Name("r", 5, 6), (), (group,), True, 0, 40)
    Kept("rules", rule_nodes, rule_node).write({"rule r {}": (rule,)})
    (back,) = Kept("rules", rule_nodes, rule_node).get("rule r {}")
    assert isinstance(back.groups, Later)
    assert back == rule
    assert hash(back) == hash(rule)
    assert back.members == rule.members == (group.for_each, *group.members)
    assert (len(back.groups), back.groups[0], list(back.groups)) == (1, group, [group])


def test_another_grammar_or_maker_passes_over_what_is_kept(folder: Path) -> None:
    """What was made by something else may be something else."""
    Kept("plan", nodes).write({"a": nodes.Word("a", 0, 1)})
    assert Kept("plan", nodes, rule_nodes).get("a") is None
    (folder / "plan.lark").write_text("start: OTHER", encoding="utf-8")
    assert Kept("plan", nodes).get("a") is None


@pytest.mark.parametrize("content", [b"", b"nonsense", marshal.dumps(7), marshal.dumps(((), {})), marshal.dumps((1,))])
def test_damage_is_passed_over(folder: Path, content: bytes) -> None:
    """Then everything is read from its text."""
    (folder / "plan.nodes").write_bytes(content)
    assert Kept("plan", nodes).get("a") is None
