"""What is told of a device: its kind, its data, its volts and amperes; of a lock, when it is held."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from plancheck.authoring.markdown import code, heading, paragraphs, plain, table
from plancheck.authoring.measured import NOT_ASSESSED, both
from plancheck.authoring.names import Names
from plancheck.authoring.view import View
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.plan.graph import Branch
from plancheck.plan.model import Device, Sighting, Value
from plancheck.review.operation import Works
from plancheck.review.sequence import sequence_of
from plancheck.units import Quantity, show

MOST_PARTS = 24
"""Parts of one device whose numbers are shown."""


def device_told(view: View, names: Names, name: str) -> str:
    """A device of the last review, by its whole name; empty where that knew none."""
    device, facts = view.worked.device(name), view.worked.facts(name)
    if device is None or facts is None:
        return ""
    kind = names.kind(device.kind)
    title = f" · {plain(device.title)}" if device.title else ""
    preset = f", declared as {code(device.preset)}" if device.preset else ""
    says = f": {plain(kind.says)}" if kind and kind.says else ""
    parts = [
        f"{heading(name)}{title}",
        f"{code(device.kind)}{says}{preset}",
        list(_data(device)),
        list(_numbers(facts, device)),
    ]
    if device.base == "lock":
        parts.append(list(_states(view, facts, device)))
    return paragraphs(parts)


def _data(device: Device) -> Iterator[str]:
    """What the plan says of it, and its house device."""
    told = [(slot, _value(value)) for slot, value in device.values.items()]
    if told:
        yield from table(("", ""), [(slot.replace("-", " "), value) for slot, value in told if value])


def _value(value: Value) -> str:
    match value:
        case Quantity(text=text):
            return text
        case bool():
            return "yes" if value else "no"
        case float():
            return f"{value:g}"
        case str():
            return value
    return ", ".join(
        " ".join(_value(each) for each in item.values.values()) if isinstance(item, Sighting) else item
        for item in value
    )


def _numbers(facts: Facts, device: Device) -> Iterator[str]:
    """Volts and amperes of its parts, in normal condition and over all."""
    rows = [row for branch in facts.branches(device=device.name)[:MOST_PARTS] for row in _part(facts, branch)]
    if rows:
        yield from table(("", "in normal condition", "over all conditions"), rows)


def _part(facts: Facts, branch: Branch) -> Iterator[tuple[str, str, str]]:
    called = branch.name if branch.what in ("load", "source", "sense") else _ends(branch)
    if branch.what in ("load", "clamp", "one-way", "sense"):
        yield f"{called}, volts", *both(facts, partial(facts.volts, branch), "voltage")
    if branch.what == "source":
        volts = branch.number("volts")
        yield f"{called}, rated", show(volts, "voltage") if volts is not None else NOT_ASSESSED, ""
        yield f"{called}, at most", "", _greatest(facts, branch)
    elif branch.what != "sense":
        yield f"{called}, amperes", *both(facts, partial(facts.amps, branch), "current")


def _greatest(facts: Facts, source: Branch) -> str:
    try:
        return show(facts.greatest_amps(source)[0], "current")
    except NotAssessed:
        return NOT_ASSESSED


def _ends(branch: Branch) -> str:
    return f"{branch.a.partition(':')[2]}–{branch.b.partition(':')[2]}"


def _states(view: View, facts: Facts, device: Device) -> Iterator[str]:
    """How the lock stands in each event of the sequence of operation."""
    works = Works(facts, view.rulebook)
    holder = next((h for h in works.holders if any(part.device == device.name for part in h.parts)), None)
    if holder is None:
        return
    rows = []
    for row in sequence_of(works, holder).rows:
        for outcome in row.outcomes:
            if outcome.part == device.name:
                volts = show(outcome.volts, "voltage") if outcome.volts is not None else ""
                rows.append((row.event, outcome.state, volts))
    if rows:
        yield from table(("event", "lock", "volts at the lock"), rows)
