"""What has been worked out of a plan, to be asked by the names of its devices."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from plancheck.circuit.facts import Facts
from plancheck.plan.model import Device


class Worked:
    """The facts of a plan, in parts that do not feel each other; a plan worked out in one piece is one part."""

    def __init__(self, parts: Iterable[Facts] = ()) -> None:
        self._by_name: dict[str, Facts] = {}
        for facts in parts:
            for name in facts.plan.devices:
                self._by_name.setdefault(name, facts)

    def __iter__(self) -> Iterator[Device]:
        """Every device, doors, gates and cables among them."""
        return (facts.plan.devices[name] for name, facts in self._by_name.items())

    def device(self, name: str) -> Device | None:
        """The device of that whole name, None where the plan has none."""
        facts = self._by_name.get(name)
        return facts.plan.devices[name] if facts else None

    def facts(self, name: str) -> Facts | None:
        """The facts of the part that a device belongs to."""
        return self._by_name.get(name)
