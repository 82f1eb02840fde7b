"""Templates: texts with `{expression}` in them, and how the value of an expression is shown."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from plancheck.circuit.conditions import Levels, Space
from plancheck.finding import Mistake
from plancheck.rulebook import nodes, witness
from plancheck.rulebook.check import check
from plancheck.rulebook.claims import Claim, Unknown
from plancheck.rulebook.naming import label
from plancheck.rulebook.read import read_expression
from plancheck.rulebook.scope import Checked, Frame, Scope, Witness, Wrong
from plancheck.rulebook.types import Type, shown
from plancheck.rulebook.witness import rests_on

Template = Callable[[Scope, Witness | None], str]
Said = Callable[[Scope, Witness], str]

SAID_OF_WITNESS: dict[str, Said] = {
    "condition": witness.worded,
    "failure": witness.failure,
    "failures": witness.failures,
    "failures.count": witness.failures_count,
}
"""What a text may say of the condition that the finding shows, and of the failure that leads to it."""
OF_CONDITIONS, OF_FAILURES = frozenset({"condition"}), frozenset(SAID_OF_WITNESS)
NOT_GIVEN, UNKNOWN = "not given", "unknown"

_HOLE = re.compile(r"\{([^{}]*)\}|[{}]")
_NAME = re.compile(r"[^\W\d_][\w\-]*")
_PATH = re.compile(r"\s*[^\W\d_][\w\-]*(?:\.[^\W\d_][\w\-]*)*\s*\Z")


def template(text: nodes.Text, frame: Frame, shows: frozenset[str]) -> Template:
    """Check a text and its expressions; `shows` are the words of SAID_OF_WITNESS that a finding has an answer to.

    Raises Wrong, every mistake noted.
    """
    parts: list[str | Checked | Said] = []
    position, right = text.start + 1, True
    # A text of several strings is worked on where it stands, so that mistakes point into the file.
    for start, end in _strings(text, frame):
        if parts:
            parts.append(" ")
        position = start
        for hole in _HOLE.finditer(frame.file.source.text, start, end):
            parts.append(frame.file.source.text[position : hole.start()])
            position = hole.end()
            try:
                parts.append(_hole(hole, frame, shows))
            except Wrong:
                right = False
        parts.append(frame.file.source.text[position:end])
    if not right:
        raise Wrong
    return _renderer(parts)


def _strings(text: nodes.Text, frame: Frame) -> list[tuple[int, int]]:
    written = re.compile(r'"([^"\r\n]*)"').finditer(frame.file.source.text, text.start, text.end)
    return [m.span(1) for m in written]


def _hole(hole: re.Match[str], frame: Frame, shows: frozenset[str]) -> Checked | Said:
    """The expression in braces, or what is said of the condition and failure shown."""
    start, end = hole.span(1)
    if start < 0 or not hole.group(1).strip():
        at = nodes.Name(hole.group(), hole.start(), hole.end())
        raise frame.wrong(at, "A brace in a text holds an expression", f"“{hole.group()}”", "{V.fact}")
    word = hole.group(1).strip()
    if word in SAID_OF_WITNESS:
        if word not in shows:
            raise _shows_nothing(word, nodes.Name(word, start, end), frame)
        return SAID_OF_WITNESS[word]
    node = _short_path(hole) or read_expression(frame.file.source, start, end, frame.file.source.text)
    if isinstance(node, Mistake):
        frame.mistakes.append(node)
        raise Wrong
    before, frame.in_condition = frame.in_condition, bool(shows)
    try:
        return check(node, frame)
    finally:
        frame.in_condition = before


def _shows_nothing(word: str, at: nodes.Name, frame: Frame) -> Wrong:
    found = f"“{{{word}}}”"
    if word in OF_CONDITIONS:
        return frame.wrong(at, "This rule looks at no condition", found, "a rule with “in … condition”")
    return frame.wrong(at, "This rule looks at no failure", found, "a rule with “after any single failure”")


def _short_path(hole: re.Match[str]) -> nodes.Path | None:
    """Most expressions in texts are mere paths, which need no parser."""
    if not _PATH.match(hole.group(1)):
        return None
    names = [nodes.Name(m.group(), m.start(), m.end()) for m in _NAME.finditer(hole.string, *hole.span(1))]
    return nodes.Path(tuple(names), names[0].start, names[-1].end)


def _renderer(parts: list[str | Checked | Said]) -> Template:
    def render(scope: Scope, shown: Witness | None) -> str:
        said = []
        for part in parts:
            if isinstance(part, str):
                said.append(part)
            elif isinstance(part, Checked):
                said.append(show(scope, part.type, value_at(scope, part, shown)))
            else:
                said.append(part(scope, shown) if shown else "")
        return "".join(said)

    return render


# --- values ------------------------------------------------------------------------------------------------


def value_at(scope: Scope, checked: Checked, witness: Witness | None) -> Any:
    """An expression's value in the condition shown; NaN where it cannot be worked out."""
    from plancheck.circuit.facts import NotAssessed

    before = scope.variation
    if witness is not None:
        scope.variation = witness.variation
    try:
        return at_condition(scope, checked.run(scope), witness)
    except (Unknown, NotAssessed):
        return float("nan")
    finally:
        scope.variation = before


def at_condition(scope: Scope, value: Any, witness: Witness | None) -> Any:
    """What a value that differs between conditions is in the one shown; any other as it is."""
    if isinstance(value, Levels):
        return value.at(_index(scope, value.space, witness))
    if isinstance(value, Claim):
        index = _index(scope, value.space, witness)
        if value.unknown >> index & 1:
            return float("nan")
        return True if value.yes >> index & 1 else False if value.no >> index & 1 else "uncertain"
    return value


def _index(scope: Scope, space: Space, witness: Witness | None) -> int:
    """The condition's number in a space; what it does not say is at rest."""
    condition = witness.condition if witness else {}
    return sum(1 << i for i, s in enumerate(space.signals) if condition.get(s, rests_on(scope, s)))


def show(scope: Scope, of: Type, value: Any) -> str:
    """A value as a reader would say it."""
    if value is None:
        return NOT_GIVEN
    if isinstance(value, float) and value != value:
        return UNKNOWN
    match of.form:
        case "quantity":
            return shown(value, of.dimension)
        case "yes/no":
            return value if isinstance(value, str) else "yes" if value else "no"
        case "thing":
            return label(scope.inventory, value)
        case "list":
            return ", ".join(label(scope.inventory, each) for each in value) or "none"
    return str(value)
