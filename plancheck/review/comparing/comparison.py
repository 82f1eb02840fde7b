"""What changed between two revisions of a plan: devices, data, connections, conductors, states, findings."""

from __future__ import annotations

from dataclasses import dataclass, field

from plancheck.finding import Finding
from plancheck.plan.model import Plan


@dataclass(frozen=True, slots=True)
class Change:
    """Something that was one way and is another: `of` what, and which part of it. Empty where it was not, or is not."""

    of: str
    what: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class NetChange:
    """A net, by its terminals that stayed: those that came to it and those that left it."""

    stayed: tuple[str, ...]
    joined: tuple[str, ...]
    left: tuple[str, ...]


@dataclass(frozen=True)
class Comparison:
    """All changes. `not_assessed` are sentences: with one of them nothing may be taken as unchanged."""

    old: Plan
    new: Plan
    title: tuple[Change, ...] = ()
    come: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    renamed: tuple[tuple[str, str], ...] = ()
    data: tuple[Change, ...] = ()
    nets: tuple[NetChange, ...] = ()
    conductors: tuple[Change, ...] = ()
    states: tuple[Change, ...] = ()
    findings_come: tuple[Finding, ...] = ()
    findings_gone: tuple[Finding, ...] = ()
    findings_changed: tuple[Change, ...] = ()
    not_assessed: tuple[str, ...] = field(default=())

    @property
    def changed(self) -> bool:
        """Whether anything but the title block changed. Other words for the same thing are no change."""
        return any(
            (
                self.come,
                self.gone,
                self.data,
                self.nets,
                self.conductors,
                self.states,
                self.findings_come,
                self.findings_gone,
                self.findings_changed,
            )
        )
