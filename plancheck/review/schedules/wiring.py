"""The wire list, and the cables with how much of each is to be pulled."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.plan.graph import Branch
from plancheck.review.operation import Holder, Works
from plancheck.review.schedules.table import Amount, Cell, Schedule, amount, written

NO_CURRENT = "on no circuit"


def wires(facts: Facts) -> Schedule:
    """Every wire with the most that it carries in any condition, and the volts that it loses then."""
    rows = tuple(_wire(facts, number, branch) for number, branch in enumerate(_wires(facts), 1))
    head = ("No.", "From", "To", "Cable", "Colour", "Gauge", "Length", "Most current", "Drop at that")
    note = "A wire in no cable and without a length is taken as a short jumper that loses no volts."
    return Schedule("wires", "Wire list", head, rows, frozenset({7, 8}), (note,))


def _wires(facts: Facts) -> list[Branch]:
    return [branch for branch in facts.graph.branches if branch.wire is not None]


def _wire(facts: Facts, number: int, branch: Branch) -> tuple[Cell, ...]:
    wire = branch.wire
    assert wire is not None
    cable = facts.plan.devices.get(wire.cable)
    own = {slot: getattr(wire.values.get(slot), "text", "") for slot in ("area", "length")}
    gauge, length = own["area"] or written(cable, "area"), own["length"] or written(cable, "length")
    return str(number), branch.a, branch.b, wire.cable, wire.colour, gauge, length, *_carried(facts, branch)


def _carried(facts: Facts, branch: Branch) -> tuple[Cell, Cell]:
    if facts.engine.home(branch.key) is None:
        return NO_CURRENT, ""
    try:
        amps, _ = facts.greatest_amps(branch)
    except NotAssessed as why:
        return f"not assessed: {why}", ""
    ohms = branch.number("ohms")
    if ohms is None:
        return Amount(amps, "current"), f"not assessed: {branch.data.get('missing', 'resistance not known')}"
    return Amount(amps, "current"), Amount(amps * ohms, "voltage")


def cables(works: Works, holders: Sequence[Holder]) -> Schedule:
    """Each cable: its conductors, what it reaches, its length; the conductors used and spare."""
    facts = works.facts
    used: dict[str, dict[str, None]] = defaultdict(dict)
    ends: dict[str, dict[str, None]] = defaultdict(dict)
    for wire in facts.plan.wires:
        if wire.cable:
            used[wire.cable][wire.colour] = None
            ends[wire.cable] |= dict.fromkeys((wire.a.device, wire.b.device))
    rows: list[tuple[Cell, ...]] = []
    totals: dict[str, float] = defaultdict(float)
    for cable in facts.plan.with_base("cable"):
        pulled = cable.get("conductors")
        spare = f"{pulled - len(used[cable.name]):g}" if isinstance(pulled, float) else ""
        make = f"{written(cable, 'conductors')} of {written(cable, 'area')}"
        length = amount(cable, "length")
        if isinstance(length, Amount):
            totals[make] += length.value
        reached = ", ".join(ends[cable.name]) or "nothing"
        rows.append(
            (cable.name, cable.title, make, reached, written(cable, "length"), str(len(used[cable.name])), spare)
        )
    rows += [("in all", "", make, "", _length(facts, total), "", "") for make, total in totals.items()]
    head = ("Cable", "Title", "Conductors", "Reaches", "Pull length", "Used", "Spare")
    note = "Lengths as the plan states them; add what is needed at both ends."
    return Schedule("cables", "Cable schedule", head, tuple(rows), frozenset({4, 5, 6}), (note,))


def _length(facts: Facts, metres: float) -> Cell:
    """Feet where the plan is of the United States, in which its cables are stated too."""
    return f"{metres / 0.3048:g} ft" if facts.plan.jurisdiction == "us" else Amount(metres, "length")
