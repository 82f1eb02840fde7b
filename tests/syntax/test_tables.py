"""The tables that parsers are read from, against parsers built from the grammar."""

from __future__ import annotations

import marshal
from functools import cache
from pathlib import Path

import lark
import pytest
from lark import Lark

from plancheck.shipped import grammar_file, rules_folder
from plancheck.syntax import tables
from plancheck.syntax.tables import build_parser, load_parser
from tests.write_tables import GRAMMARS


@pytest.mark.parametrize("grammar", GRAMMARS)
def test_tables_are_of_this_grammar(grammar: str) -> None:
    """Else every start is slow; `python -m tests.write_tables` mends it. Another Lark than they were made with
    is no fault: then the grammar is read."""
    kept = marshal.loads(grammar_file(f"{grammar}.tables").read_bytes())["made_from"]
    texts = tuple(path.read_text(encoding="utf-8") for path in sorted(grammar_file("").glob("*.lark")))
    assert kept[1:] == (*GRAMMARS[grammar], *texts)
    assert kept[0] == lark.__version__ or tables._made_from(GRAMMARS[grammar]) != kept


@pytest.mark.parametrize("path", sorted(rules_folder().glob("kinds/*.plan")), ids=lambda path: path.stem)
def test_read_and_built_parser_agree(path: Path) -> None:
    """The same tree of a whole file of kinds, by tables and by grammar."""
    text = path.read_text(encoding="utf-8")
    assert load_parser("plan", GRAMMARS["plan"], None).parse(text, start="file") == _built().parse(text, start="file")


@cache
def _built() -> Lark:
    return build_parser("plan", GRAMMARS["plan"])


@pytest.mark.parametrize("content", [b"", b"nonsense", marshal.dumps([1, 2]), marshal.dumps({"made_from": ("0.0",)})])
def test_what_is_no_table_is_passed_over(content: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Damaged or outdated tables: the parser comes from the grammar."""
    for grammar in grammar_file("").glob("*.lark"):
        (tmp_path / grammar.name).write_text(grammar.read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "plan.tables").write_bytes(content)
    monkeypatch.setattr(tables, "grammar_file", lambda name: tmp_path / name)
    tree = load_parser("plan", GRAMMARS["plan"], None).parse("wire A:1 to B:2", start="statement")
    assert tree.data == "wire"
