"""A counterexample step by step: what must have happened, how the contacts stand, what a meter reads."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.finding import Finding
from plancheck.units import show

AS_IT_RESTS = "everything in normal condition"


def replay_lines(finding: Finding) -> Iterator[str]:
    """The steps, a line each; none where the finding has no counterexample on a path."""
    replay = finding.replay
    if replay is None:
        return
    steps = ([f"{finding.failure}"] if finding.failure else []) + list(replay.events or (AS_IT_RESTS,))
    yield from (f"{number}. {step}" for number, step in enumerate(steps, 1))
    if replay.made:
        yield f"made then: {', '.join(replay.made)}"
    if replay.broken:
        yield f"open then: {', '.join(replay.broken)}"
    last = replay.readings[-1][0]
    yield f"volts against {last}, supplies at their rated volts:"
    yield from (f"{show(volts, 'voltage')} at {terminal}" for terminal, volts in replay.readings[:-1])
