"""What is told of a wire, and of a terminal."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from functools import partial

from plancheck.authoring.markdown import heading, paragraphs, table
from plancheck.authoring.measured import NOT_ASSESSED, both, normally, ranging
from plancheck.authoring.view import View
from plancheck.circuit.conditions import Levels
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.metered import metered
from plancheck.plan.graph import Branch
from plancheck.plan.model import WireEnd
from plancheck.syntax import nodes
from plancheck.units import Quantity, show

HEAD = ("", "in normal condition", "over all conditions")


def wire_told(view: View, wire: nodes.Wire) -> str:
    """Every leg of a wire: its current, what it loses, and of what conductor it is. Empty where nothing is known."""
    parts: list[str | list[str]] = []
    for facts, branch in legs(view, wire):
        parts.append(heading(f"{branch.a} to {branch.b}"))
        parts.append(list(table(HEAD, _rows(facts, branch))))
    return paragraphs(parts)


def legs(view: View, wire: nodes.Wire) -> list[tuple[Facts, Branch]]:
    """The conductors that a wire of the text drew when it was last reviewed, one from each end to the next."""
    found: list[tuple[Facts, Branch]] = []
    ends = [f"{end.device}:{end.terminal}" for end in wire.ends]
    for a, b in itertools.pairwise(ends):
        facts = view.worked.facts(a.partition(":")[0])
        branch = conductor(facts, a, b, wire.conductor.text if wire.conductor else "") if facts else None
        if facts is not None and branch is not None:
            found.append((facts, branch))
    return found


def conductor(facts: Facts, a: str, b: str, cable_and_colour: str) -> Branch | None:
    """The conductor from one terminal to another, in that conductor of a cable."""
    for branch in facts.graph.wires_at.get(a, ()):
        wire = branch.wire
        if wire is not None and {branch.a, branch.b} == {a, b}:
            drawn = f"{wire.cable}/{wire.colour}" if wire.cable else ""
            if drawn == cable_and_colour:
                return branch
    return None


def drop(facts: Facts, branch: Branch) -> Levels:
    """Volts that a conductor loses. Raises NotAssessed where its current or its resistance is not known."""
    ohms = branch.number("ohms")
    if ohms is None:
        raise NotAssessed(str(branch.data.get("missing", "")))
    return facts.amps(branch).mapped(lambda amps: amps * ohms)


def end_volts(facts: Facts, branch: Branch) -> Levels | None:
    """Volts at the far end of a conductor, against the return of its supply."""
    found = metered(facts, branch.b)
    return found.volts if found else None


def _rows(facts: Facts, branch: Branch) -> Iterator[tuple[str, str, str]]:
    yield "amperes", *both(facts, partial(facts.amps, branch), "current")
    yield "volts lost", *both(facts, partial(drop, facts, branch), "voltage")
    ohms = branch.number("ohms")
    lost = str(branch.data.get("missing", NOT_ASSESSED))
    yield "resistance", lost if ohms is None else show(ohms, "resistance"), ""
    if branch.wire is not None:
        for slot in ("area", "length"):
            cable = facts.plan.devices.get(branch.wire.cable)
            value = branch.wire.values.get(slot, cable.get(slot) if cable else None)
            if isinstance(value, Quantity):
                yield slot.replace("area", "gauge"), value.text, ""


def terminal_told(view: View, end: WireEnd | nodes.Reference) -> str:
    """A terminal: its volts against the return of its supply."""
    terminal = f"{end.device}:{end.terminal}"
    facts = view.worked.facts(end.device)
    if facts is None:
        return ""
    try:
        found = metered(facts, terminal)
    except NotAssessed as reason:
        return paragraphs([heading(terminal), f"{NOT_ASSESSED}: {reason}"])
    if found is None:
        return paragraphs([heading(terminal), "on no circuit that a source feeds"])
    row = (f"volts against {found.against}", normally(facts, found.volts, "voltage"), ranging(found.volts, "voltage"))
    return paragraphs([heading(terminal), table(HEAD, [row])])
