"""What the sources themselves owe: no kind's name in Python, nothing left over, nothing too long."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from pathlib import Path

import pytest

import plancheck
from plancheck.shipped import rules_folder

PACKAGE = Path(plancheck.__file__).parent
CHECKOUT = PACKAGE.parent
MODULES = sorted(PACKAGE.rglob("*.py"))
MOST_LINES = 400

PRIMITIVES_AND_BASES = {
    "source", "load", "contact", "one-way", "clamp", "protector", "sense", "link",
    "lock", "door", "gate", "cable", "wire",
}  # fmt: skip
"""Kinds of these names exist, and the engine knows the words by right: primitives and base classes."""


PROTECTOR_STYLES = {"fuse", "breaker", "ptc"}
"""A protector's own styles, which some kinds are called after: allowed as whole strings, never within one."""


def kind_names() -> list[str]:
    """Names of all shipped kinds, by their declarations."""
    texts = [path.read_text(encoding="utf-8") for path in sorted(rules_folder().glob("kinds/*.plan"))]
    return [name for text in texts for name in re.findall(r"^kind\s+(\S+)", text, re.MULTILINE)]


def test_there_are_kinds_to_look_for() -> None:
    assert {"supply", "magnetic-lock", "radio-receiver", "gate-operator"} <= set(kind_names())


def _strings(path: Path) -> set[str]:
    """Every string constant of a module that is no docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docstrings = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    strings = {
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docstrings
    }
    return strings


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_no_kind_is_known_to_python(path: Path) -> None:
    names = set(kind_names()) - PRIMITIVES_AND_BASES
    said = sorted(_strings(path) - PROTECTOR_STYLES)
    assert sorted(set(re.findall(r"[\w-]+", " ".join(said))) & names) == []


def _hyphenated_in_code(path: Path) -> set[str]:
    """Words with a hyphen anywhere in a module that is neither comment nor docstring: f-strings included."""
    tokens = tokenize.generate_tokens(io.StringIO(path.read_text(encoding="utf-8")).readline)
    tree = ast.parse(path.read_text(encoding="utf-8"))
    prose = {
        line
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)
    }
    kept = [t.string for t in tokens if t.type != tokenize.COMMENT and t.start[0] not in prose]
    return set(re.findall(r"[a-z]+(?:-[a-z]+)+", " ".join(kept)))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_no_hyphenated_kind_hides_in_code(path: Path) -> None:
    assert sorted(_hyphenated_in_code(path) & (set(kind_names()) - PRIMITIVES_AND_BASES)) == []


def _python_files() -> list[Path]:
    return [*MODULES, *sorted((CHECKOUT / "tests").rglob("*.py"))]


def test_no_file_is_too_long() -> None:
    long = {str(p.relative_to(CHECKOUT)): n for p in _python_files() if (n := _line_count(p)) > MOST_LINES}
    assert long == {}


def _line_count(path: Path) -> int:
    return path.read_text(encoding="utf-8").count("\n")


def test_nothing_is_left_for_later() -> None:
    # Put together, so that this file does not find itself.
    marks = re.compile("|".join(rf"\b{a}{b}\b" for a, b in (("TO", "DO"), ("FIX", "ME"), ("XX", "X"))))
    left = [str(p.relative_to(CHECKOUT)) for p in _texts() if marks.search(p.read_text(encoding="utf-8"))]
    assert left == []


def _texts() -> list[Path]:
    folders = ("plancheck", "tests", "rules", "grammar", "samples")
    endings = {".py", ".plan", ".rules", ".lark", ".md"}
    inside = [p for f in folders for p in sorted((CHECKOUT / f).rglob("*")) if p.suffix in endings]
    return [*inside, *sorted(CHECKOUT.glob("*.md"))]


def test_no_test_is_passed_over() -> None:
    marks = re.compile("|".join(rf"\b{a}{b}\b" for a, b in (("pytest.mark.sk", "ip"), ("x", "fail"))))
    over = [p for p in _python_files() if marks.search(p.read_text(encoding="utf-8"))]
    assert over == []


VERDICTS = re.compile(r"\b(compliant|approved)\b", re.IGNORECASE)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_no_verdict_is_printed(path: Path) -> None:
    assert [text for text in _strings(path) if VERDICTS.search(text)] == []
