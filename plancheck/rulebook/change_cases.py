"""A change of a rule as an in-house pack wants it, and as a case: what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from plancheck.source import Span

if TYPE_CHECKING:
    from plancheck.finding import Severity
    from plancheck.rulebook.rule import Limit


@dataclass(frozen=True, slots=True)
class NewLimit:
    """A limit as a pack wants it. `slope` says what a greater number makes of the rule: see `slope`."""

    limit: Limit
    slope: int


@dataclass(frozen=True, slots=True)
class Change:
    """A change that was found right. `severity` is None where it stays."""

    pack: str
    rule: str
    reason: str
    off: bool
    severity: Severity | None
    limits: tuple[NewLimit, ...]
    at: Span


@dataclass(frozen=True, slots=True)
class Effect:
    """One thing that a change asks for. `loosens` counts what cannot be told; `against` says who overrules it."""

    says: str
    loosens: bool
    against: str = ""


@dataclass(frozen=True, slots=True)
class ChangeCase:
    """A change and what came of it."""

    change: Change
    life_safety: bool
    effects: tuple[Effect, ...]

    @property
    def loosens(self) -> bool:
        """Whether the rule is now looser by it, or may be."""
        return any(effect.loosens for effect in self.effects if not effect.against)

    @property
    def switches_off(self) -> bool:
        """Whether the rule is not run because of it."""
        return self.change.off and not self.overruled

    @property
    def overruled(self) -> bool:
        """Whether another pack wants something stricter in anything that it asks for."""
        return any(effect.against for effect in self.effects)

    @property
    def says(self) -> str:
        """What holds because of it."""
        return "; ".join(effect.says for effect in self.effects if not effect.against)
