"""What a review says: findings about a plan, and mistakes that kept a text from being read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from plancheck.proposed import Proposed
from plancheck.source import Span


class Severity(StrEnum):
    """How much a finding matters; `rank` is 0 for the worst."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for an error, 1 for a warning, 2 for a note."""
        return list(Severity).index(self)


@dataclass(frozen=True, slots=True)
class Mistake:
    """Something in a text that could not be read or applied.

    `headline` stands alone; `found` and `expected` complete "found …, expected …"; `hint` is a nearest name
    or a way out. Words only: no span text is repeated, the rendering shows the line.
    """

    at: Span
    headline: str
    found: str = ""
    expected: str = ""
    hint: str = ""
    also_at: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class Evidence:
    """One step of the sum behind a finding. `value` is in `unit`; `limit` is worded, with its own unit."""

    what: str
    value: float | str | None = None
    unit: str = ""
    limit: str = ""


@dataclass(frozen=True, slots=True)
class Replay:
    """A counterexample to be done again on site with a meter: what must have happened, what stands how, what is read.

    `events` are changes one after another, from normal condition on; `made` and `broken` are contacts of the feed;
    `readings` are the terminals of the path with their volts against the last of them.
    """

    events: tuple[str, ...]
    made: tuple[str, ...]
    broken: tuple[str, ...]
    readings: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class VarianceRecord:
    """The variance that a finding stands under."""

    reason: str
    granted_by: str
    reference: str
    until: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One correction that a reviewer asks for.

    `subject` names the thing (or things, comma-separated) found wrong; `path` lists terminals in the order
    in which current takes them; `condition` maps signal names to on or off, None where no condition matters.
    """

    rule: str
    severity: Severity
    life_safety: bool
    subject: str
    headline: str
    found: str
    required: str
    remedy: str
    at: Span
    also_at: tuple[Span, ...] = ()
    path: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    basis: tuple[str, ...] = ()
    condition: Mapping[str, bool] | None = None
    failure: str = ""
    """The single failure after which it shows; empty where nothing has to fail."""
    failures: tuple[str, ...] = ()
    """All single failures after which it shows."""
    dead: tuple[str, ...] = ()
    """Devices that the condition takes to have no power inside."""
    replay: Replay | None = None
    about: tuple[str, ...] = ()
    """Names of the things that it points at besides its subject."""
    variance: VarianceRecord | None = None
    variant: str = field(default="")
    """Tells apart two findings of one rule on one subject, for the fingerprint; never a line number."""
    proposed: tuple[Proposed, ...] = ()
    """What the rule proposes to do, each by itself."""

    @property
    def fingerprint(self) -> str:
        """Sixteen hex digits from rule and subject names: stable when lines move."""
        from hashlib import sha256

        return sha256("\0".join((self.rule, self.subject, self.variant)).encode()).hexdigest()[:16]

    @property
    def check_local_code(self) -> bool:
        """Whether the words "check local code" must stand beside it."""
        return self.life_safety
