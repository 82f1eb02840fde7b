"""What a review takes for granted where a plan is silent, in sentences: nobody should have to guess it."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.circuit.facts import Facts
from plancheck.plan.model import Plan


def assumptions(plan: Plan, facts: Facts) -> tuple[str, ...]:
    """Sentences on what was assumed of this plan, in a fixed order."""
    return tuple(_sentences(plan, facts))


def _sentences(plan: Plan, facts: Facts) -> Iterator[str]:
    jumpers = facts.graph.jumpers
    if jumpers:
        wires = "1 wire" if jumpers == 1 else f"{jumpers:,} wires"
        yield f"{wires} without a cable or a length taken as short jumpers of no resistance."
    if facts.branches("load"):
        yield "Coils worked as resistances at their rated values, electronics at constant power."
    if facts.held_up:
        names = ", ".join(facts.held_up)
        yield f"More is asked of {names} than is given; each circuit was worked as if the volts held all the same."
    if any(source.data.get("form") == "ac" for source in facts.branches("source")):
        yield "Alternating current worked in RMS with loads as resistances."
    if "ambient" not in plan.header_at:
        yield f"Ambient not stated: {_celsius(plan.ambient_low)} to {_celsius(plan.ambient_high)} taken."
    if not plan.jurisdiction:
        yield "Jurisdiction not stated: held to the stricter of the limits."


def _celsius(kelvin: float) -> str:
    return f"{kelvin - 273.15:.0f} degC"
