"""What stands behind a wire's line, for whoever wants to see it: volts at its end, and volts lost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from plancheck.authoring.hover_wire import drop, end_volts, legs
from plancheck.authoring.measured import at_rest, ranging
from plancheck.authoring.view import View
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.plan.graph import Branch
from plancheck.syntax import nodes
from plancheck.units import show


@dataclass(frozen=True, slots=True)
class Hint:
    """A text behind an offset; `tip` says more."""

    at: int
    text: str
    tip: str


def inlay_hints(view: View, start: int, end: int) -> list[Hint]:
    """Hints for the wires that end between two offsets; a wire that no review has seen as it is now bears none."""
    found: list[Hint] = []
    for statement in view.statements:
        node = statement.node
        if isinstance(node, nodes.Wire) and not statement.broken:
            at = statement.offset + node.end
            if start <= at <= end:
                found += _hint(view, node, at)
    return found


def _hint(view: View, wire: nodes.Wire, at: int) -> Iterator[Hint]:
    drawn = legs(view, wire)
    if len(drawn) != len(wire.ends) - 1:
        return
    facts, last = drawn[-1]
    try:
        volts, lost = end_volts(facts, last), drop(facts, last)
    except NotAssessed:
        return
    if volts is None:
        return
    now, dropped = at_rest(facts, volts), _lost(drawn)
    if now != now or dropped is None:
        return
    text = f" {show(now, 'voltage')}" + (f", {show(dropped, 'voltage')} lost" if abs(dropped) >= 0.0005 else "")
    ranges = f"{ranging(volts, 'voltage')} at {last.b}, {ranging(lost, 'voltage')} lost from {last.a}"
    yield Hint(at, text, f"In normal condition. Over all conditions {ranges}.")


def _lost(drawn: list[tuple[Facts, Branch]]) -> float | None:
    """Volts lost along all legs in normal condition."""
    total = 0.0
    for facts, branch in drawn:
        try:
            total += at_rest(facts, drop(facts, branch))
        except NotAssessed:
            return None
    return total if total == total else None
