"""What is written beside a conductor: cable and colour, gauge, length."""

from __future__ import annotations

from plancheck.plan.graph import Branch
from plancheck.plan.model import Plan
from plancheck.render.drawing.shapes import Link
from plancheck.units import Quantity


def link_of(plan: Plan, number: int, branch: Branch) -> Link:
    """A conductor as a link between two terminals; `number` is its place among the wires of the plan."""
    wire = branch.wire
    assert wire is not None
    name = f"{wire.cable}/{wire.colour}" if wire.cable else ""
    cable = plan.devices.get(wire.cable)
    told = [
        value.text
        for slot in ("area", "length")
        if isinstance(value := wire.values.get(slot, cable.get(slot) if cable else None), Quantity)
    ]
    label = " ".join([name, *told]).strip()
    says = f"{branch.a} to {branch.b}, {label or 'no cable stated, taken as a short jumper'}"
    return Link(f"w{number}", branch.a, branch.b, label or "jumper", name, says)
