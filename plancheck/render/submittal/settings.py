"""Conditions in the numbers of the page's circuit, for whatever on the page can be shown in the drawing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from plancheck.circuit.conditions import HELD
from plancheck.circuit.variation import Failure
from plancheck.finding import Finding
from plancheck.render.submittal.circuit_model import CircuitModel
from plancheck.render.submittal.markup import data, text

MADE = " made"
"""Behind the key of a contact that electronics may move on their own."""


class Settings:
    """Puts conditions into the numbers of a model; failures are known by what is said of them."""

    def __init__(self, model: CircuitModel, failures: Sequence[Failure]) -> None:
        self.model = model
        self.failures = {failure.what: i for i, failure in enumerate(failures)}

    def of_finding(self, finding: Finding) -> dict[str, Any]:
        """The counterexample of a finding; of one that shows in every condition, the parts that it speaks of."""
        names = dict.fromkeys([*finding.subject.split(", "), *finding.about])
        found = self.of(finding.condition or {}, finding.failure, finding.dead)
        found["mark"] = [name.partition(":")[0].partition(" ")[0] for name in names]
        return found

    def of(self, condition: Mapping[str, bool], failure: str = "", dead: Sequence[str] = ()) -> dict[str, Any]:
        """A condition, and what has failed in it; signals that the page lacks are left out."""
        found: dict[str, Any] = {"signals": {}}
        for key, on in condition.items():
            if key in self.model.signals:
                found["signals"][self.model.signals[key]] = on
            elif key.endswith(HELD) and on and key.removesuffix(HELD) in self.model.parts:
                found.setdefault("held", []).append(self.model.parts[key.removesuffix(HELD)])
            elif key.endswith(MADE) and key.removesuffix(MADE) in self.model.parts:
                found.setdefault("forced", {})[self.model.parts[key.removesuffix(MADE)]] = on
        if failure in self.failures:
            found["failure"] = self.failures[failure]
        if dead:
            found["dead"] = list(dead)
        return found


def show_button(setting: Mapping[str, Any], about: str) -> str:
    """A button that sets the drawing; without the script it is not there."""
    return (
        f'<button type="button" class="show" hidden data-show="{text(data(setting))}">Show in the drawing'
        f'<span class="unseen">: {text(about)}</span></button>'
    )
