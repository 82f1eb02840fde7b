"""What locks, relays and electronics of a generated door do in every condition, something having failed.

The exploration is that of `outcomes`; what differs is what is solved: electronics, fuses, supplies with a limit.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from plancheck.circuit.conditions import Truth
from plancheck.circuit.facts import Facts
from plancheck.circuit.variation import AS_DRAWN, Variation
from tests.circuit.drawn import part
from tests.proof.circuits import Bits
from tests.proof.claims import possible, sayings
from tests.proof.doors import Doors, Piece
from tests.proof.mishaps import Broken
from tests.proof.nodal import LOADS, Floats, volts_of_loads
from tests.proof.outcomes import OFF, ON, UNSURE, Outcomes

WORDS = ("on", "off", "unsure")


class Courses(Outcomes):
    """One generated door, something having failed."""

    def __init__(self, doors: Doors, broken: Broken | None = None) -> None:
        broken = broken or Broken()
        super().__init__(doors.drawn)
        self.pieces = [p for p in doors.parts if p.key not in broken.removed]
        if broken.joined is not None:
            self.pieces.append(Piece("short", "contact", *broken.joined))
        self.welded = broken.welded
        self.coils = [p.key for p in self.pieces if p.what in LOADS]
        self.movers = [next((p.key for p in self.pieces if p.relay == k), "") for k in doors.drawn.relays]
        """By relay, the key of what its contacts follow; empty where that is gone."""

    @cached_property
    def _solved(self) -> tuple[NDArray[np.int8], Bits]:
        """(states, conditions, loads): on, off or unsure; (states, conditions): whether a supply is not what it is."""
        state, condition = np.divmod(np.arange(self.states * self.conditions), self.conditions)
        now = {s: condition >> i & 1 > 0 for i, s in enumerate(self.drawn.signals)}
        now |= {k: state >> j & 1 > 0 for j, k in enumerate(self.drawn.relays)}
        live = np.ones((len(state), len(self.pieces)), dtype=bool)
        for i, piece in enumerate(self.pieces):
            if piece.when is not None and piece.key not in self.welded:
                live[:, i] = piece.when(now)
        alike, which = np.unique(live, axis=0, return_inverse=True)
        volts, strained = volts_of_loads(self.pieces, alike, most=False)
        shape, which = (self.states, self.conditions), which.reshape(-1)
        return self._felt(volts)[which].reshape(*shape, len(self.coils)), strained[which].reshape(shape)

    def _felt(self, volts: Floats) -> NDArray[np.int8]:
        loads = [p for p in self.pieces if p.what in LOADS]
        on_at, off_at = np.array([p.on_at for p in loads]), np.array([p.off_at for p in loads])
        felt = np.where(np.array([p.sided for p in loads]), volts, np.abs(volts))
        return np.where(felt >= on_at, ON, np.where(felt <= off_at, OFF, UNSURE)).astype(np.int8)

    @cached_property
    def verdicts(self) -> NDArray[np.int8]:
        """(states of relays, conditions, loads): on, off or unsure."""
        return self._solved[0]

    @cached_property
    def strained(self) -> list[bool]:
        """By condition, whether a supply may stand at its limit, or be dead and fed by another."""
        return [any(self._solved[1][s, c] for s in states) for c, states in enumerate(self.reached)]

    @cached_property
    def moves(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """(states, conditions): bit masks of the relays that must move, and of those that may."""
        must = np.zeros((self.states, self.conditions), dtype=np.int64)
        may = must.copy()
        for j, key in enumerate(self.movers):
            said = self.verdicts[:, :, self.coils.index(key)] if key in self.coils else np.zeros_like(must)
            is_on = np.arange(self.states)[:, None] >> j & 1
            must |= ((said != UNSURE) & (said != is_on)).astype(np.int64) << j
            may |= (said == UNSURE).astype(np.int64) << j
        return must, may

    def _follows(self, relay: int, other: int) -> bool:
        if self.movers[relay] not in self.coils:
            return False
        said = self.verdicts[:, :, self.coils.index(self.movers[relay])]
        return bool((said != said[np.arange(self.states) ^ 1 << other]).any())


@dataclass(frozen=True, slots=True)
class Dispute:
    """What engine and brute force say differently of one load in one condition. `vague`: the engine leaves open
    what brute force settles. `strained`: a supply may be at its limit then, or be dead and fed by another."""

    seed: int
    what: str
    name: str
    condition: dict[str, bool]
    engine: str
    brute: str
    vague: bool
    strained: bool


def disputes(doors: Doors, facts: Facts, courses: Courses, variation: Variation = AS_DRAWN) -> list[Dispute]:
    """Everything in which they differ, conditions in which relays chatter aside. Where a load may be between drop-out
    and pull-in the engine may be less certain than need be, not more."""
    found: list[Dispute] = []
    drawn = doors.drawn
    for piece in doors.parts:
        if piece.what not in LOADS:
            continue
        name = piece.key.partition(".")[0]
        truth, straight = facts.energised(part(facts, piece.key), variation), True
        if name in drawn.secured_when_on:
            truth, straight = facts.state(name, "secured", variation), drawn.secured_when_on[name]
        said, expected = sayings(truth, drawn.signals), possible(courses, piece.key, straight)
        loose = courses.unsure or _told_together(truth, drawn.signals)
        for c in np.flatnonzero((said != expected).any(axis=1) & ~np.array(courses.restless)):
            certain = said[c].sum() == 1 and not said[c][2]
            if certain or not loose:
                condition = {s: bool(c >> i & 1) for i, s in enumerate(drawn.signals)}
                what = variation.failure.what if variation.failure else "as drawn"
                words = _worded(said[c]), _worded(expected[c])
                found.append(
                    Dispute(
                        drawn.seed,
                        what,
                        name,
                        condition,
                        *words,
                        bool(said[c][2] or (said[c] >= expected[c]).all()),
                        courses.strained[c],
                    )
                )
    return found


def _told_together(truth: Truth, signals: list[str]) -> bool:
    """Whether two devices with a past of their own may be told together in ways that never meet."""
    return len(set(truth.space.signals) - set(signals)) > 1


def _worded(row: Bits) -> str:
    return "/".join(word for word, there in zip(WORDS, row, strict=True) if there)
