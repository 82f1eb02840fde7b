"""All schedules of a plan, in the order in which they are handed over."""

from __future__ import annotations

from collections.abc import Sequence

from plancheck.review.operation import Holder, Works
from plancheck.review.schedules.devices import devices, doors, quantities
from plancheck.review.schedules.supplies import batteries, protectors, supply_loads
from plancheck.review.schedules.table import Schedule
from plancheck.review.schedules.wiring import cables, wires


def schedules(works: Works, holders: Sequence[Holder]) -> tuple[Schedule, ...]:
    """Every schedule."""
    facts = works.facts
    return (
        doors(works, holders),
        devices(works, holders),
        quantities(works),
        wires(facts),
        cables(works, holders),
        supply_loads(works),
        batteries(works, works.rulebook),
        protectors(facts),
    )
