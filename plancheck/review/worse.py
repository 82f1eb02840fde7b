"""What a finding says, as it is put on record, and whether it says more or worse by now.

Nothing knows of every rule which change is for the better. So a finding counts as it was only while it says the same
of the same things. A number may differ by less than a meter tells, and a sum that is held against a limit may have
come nearer to it; the numbers in its words then follow it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

from plancheck.finding import Evidence, Finding, Severity
from plancheck.units import significant

SLACK = 0.01
"""Share by which a number may differ from the recorded one and count as the same: less than any meter tells."""
# A number by itself: no part of a name (C1, D301/ML:2), a day or a clause.
_NUMBER = re.compile(r"(?<![\w.:/#-])-?\d+(?:\.\d+)?(?!\w|[.:/-]\w)")


@dataclass(frozen=True, slots=True)
class RecordedSum:
    """One step of the sum behind a finding, as the evidence said it; a `value` that is no number is a text."""

    what: str
    value: float | str
    unit: str
    limit: str


@dataclass(frozen=True, slots=True)
class Recorded:
    """One finding as it was recorded. `found` is empty where the headline says it; `about` names what it points at."""

    fingerprint: str
    severity: Severity
    rule: str
    subject: str
    headline: str
    sums: tuple[RecordedSum, ...] = ()
    found: str = ""
    about: tuple[str, ...] = ()


def recorded_finding(finding: Finding) -> Recorded:
    """All that a finding says, to be held against later."""
    return Recorded(
        finding.fingerprint,
        finding.severity,
        finding.rule,
        finding.subject,
        finding.headline,
        tuple(map(_sum, finding.evidence)),
        finding.found if finding.found != finding.headline else "",
        tuple(sorted({*finding.about, *finding.failures})),
    )


def _sum(step: Evidence) -> RecordedSum:
    number = isinstance(step.value, float) and isfinite(step.value)
    value = step.value if number and step.value is not None else "" if step.value is None else str(step.value)
    return RecordedSum(step.what, value, step.unit, step.limit)


def worse(finding: Finding, before: Recorded) -> str:
    """How a finding is worse than it was recorded, or otherwise; empty where it is not."""
    now = recorded_finding(finding)
    if now.severity.rank < before.severity.rank:
        return f"{before.severity} when it was recorded, now {now.severity}"
    # Their words tell the numbers, so that place, unit and bound must tell which sum is which.
    if [_kind(each) for each in now.sums] != [_kind(each) for each in before.sums]:
        return "by another sum when it was recorded, so that the two cannot be compared"
    pairs = [*zip(now.sums, before.sums, strict=True)]
    for new, old in pairs:
        if _further(new, old):
            return f"{_said(old)} when it was recorded, now {_said(new)} ({new.limit})"
    added = [name for name in now.about if name not in before.about]
    if added:
        return f"not about {', '.join(added)} when it was recorded"
    nearer = [(_value(new), _value(old)) for new, old in pairs if _nearer(new, old)]
    return next(_otherwise(now, before, nearer), "")


def _otherwise(now: Recorded, before: Recorded, sums: Sequence[tuple[float, float]]) -> Iterator[str]:
    """What it said otherwise, but for numbers that hardly differ, or that follow one of the `sums` that are nearer."""
    words = [(now.headline, before.headline), (now.found or now.headline, before.found or before.headline)]
    for new, old in words:
        if not _alike(new, old, sums):
            yield f"“{old}” when it was recorded"
    for step, was in zip(now.sums, before.sums, strict=True):
        moved = [] if _bound(step.limit) else [(_value(step), _value(was))]
        texts = (step.what, was.what), (step.limit, was.limit), (_text(step), _text(was))
        if not all(_alike(new, old, sums) for new, old in texts) or not all(_same(*pair, sums) for pair in moved):
            yield f"{was.what}: {_said(was)} when it was recorded"


def _alike(new: str, old: str, sums: Sequence[tuple[float, float]]) -> bool:
    """Whether two texts say the same, their numbers aside that may differ."""
    if _NUMBER.sub("#", new) != _NUMBER.sub("#", old):
        return False
    numbers = zip(_NUMBER.findall(new), _NUMBER.findall(old), strict=True)
    return all(_same(float(one), float(other), sums) for one, other in numbers)


def _same(new: float, old: float, sums: Sequence[tuple[float, float]]) -> bool:
    """Whether a number hardly differs, or moved as a sum did: by the same share, or by as much."""
    if _near(new, old, old):
        return True
    return any(
        (old and was and _near(new / old, now / was, 1.0)) or _near(abs(new - old), abs(now - was), now - was)
        for now, was in sums
        if now != was
    )


def _near(one: float, other: float, scale: float) -> bool:
    return abs(one - other) <= SLACK * abs(scale)


def _kind(each: RecordedSum) -> tuple[bool, str, str]:
    return isinstance(each.value, str), each.unit, _bound(each.limit)


def _value(each: RecordedSum) -> float:
    return 0.0 if isinstance(each.value, str) else each.value


def _text(each: RecordedSum) -> str:
    return each.value if isinstance(each.value, str) else ""


def _said(each: RecordedSum) -> str:
    return each.value if isinstance(each.value, str) else f"{significant(each.value)} {each.unit}".rstrip()


def _bound(limit: str) -> str:
    """Which way a worded limit holds: most, least, or neither."""
    return next((bound for bound in ("most", "least") if limit.startswith(f"at {bound} ")), "")


def _further(new: RecordedSum, old: RecordedSum) -> bool:
    """Whether a sum lies further on the wrong side of its limit than it did, beyond what rounding explains."""
    slack = SLACK * abs(_value(old))
    if _bound(new.limit) == "most":
        return _value(new) > _value(old) + slack
    return _bound(new.limit) == "least" and _value(new) < _value(old) - slack


def _nearer(new: RecordedSum, old: RecordedSum) -> bool:
    """Whether a sum came nearer to its limit."""
    gained = _value(old) - _value(new)
    return gained > 0 if _bound(new.limit) == "most" else gained < 0 and _bound(new.limit) == "least"
