"""What locks and relays do in every condition, found one condition at a time, with all that may have gone before.

Relays move one before another or together, whichever is quicker: from a standing of the relays any of those that
want to move may. Where they end is a standing in which none wants to, or a circle that they never leave (the
general multiple-winner model of asynchronous circuits: Brzozowski and Yoeli, 1979, from memory). A relay between
drop-out and pull-in may be either. Signals change one at a time, while the relays rest or go round in a circle; at
first nothing is on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tests.proof.circuits import Bits, Drawing, Part
from tests.proof.dense import Floats, volts_of_coils

ON, OFF, UNSURE = 1, 0, -1


@dataclass(frozen=True, slots=True)
class Failed:
    """What has failed: parts gone, contacts made for good, two terminals that touch."""

    removed: frozenset[str] = frozenset()
    welded: frozenset[str] = frozenset()
    joined: tuple[str, str] | None = None


NOTHING = Failed()


class Outcomes:
    """One circuit under one failure."""

    def __init__(self, drawn: Drawing, failed: Failed = NOTHING) -> None:
        self.drawn = drawn
        self.parts = [p for p in drawn.parts if p.key not in failed.removed]
        if failed.joined is not None:
            self.parts.append(Part("short", "wire", *failed.joined))
        self.welded = failed.welded
        self.coils = [p.key for p in self.parts if p.what == "coil"]
        self.states, self.conditions = 1 << len(drawn.relays), 1 << len(drawn.signals)

    @cached_property
    def verdicts(self) -> NDArray[np.int8]:
        """(states of relays, conditions, coils): on, off or unsure."""
        state, condition = np.divmod(np.arange(self.states * self.conditions), self.conditions)
        now = {s: condition >> i & 1 > 0 for i, s in enumerate(self.drawn.signals)}
        now |= {k: state >> j & 1 > 0 for j, k in enumerate(self.drawn.relays)}
        live = np.ones((len(state), len(self.parts)), dtype=bool)
        for i, part in enumerate(self.parts):
            if part.when is not None and part.key not in self.welded:
                live[:, i] = part.when(now)
        alike, which = _distinct(live)
        found = [self._judged(self.parts, volts_of_coils(self.parts, alike, most)) for most in (False, True)]
        agreed = np.where(found[0] == found[1], found[0], UNSURE)
        return agreed[which].reshape(self.states, self.conditions, len(self.coils)).astype(np.int8)

    @staticmethod
    def _judged(parts: Sequence[Part], volts: Floats) -> NDArray[np.int64]:
        coils = [p for p in parts if p.what == "coil"]
        on_at, off_at = np.array([p.on_at for p in coils]), np.array([p.off_at for p in coils])
        return np.where(np.abs(volts) >= on_at, ON, np.where(np.abs(volts) <= off_at, OFF, UNSURE))

    @cached_property
    def moves(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """(states, conditions): bit masks of the relays that must move, and of those that may."""
        must = np.zeros((self.states, self.conditions), dtype=np.int64)
        may = must.copy()
        state = np.arange(self.states)[:, None]
        for j, relay in enumerate(self.drawn.relays):
            is_on = state >> j & 1
            key = f"{relay}.coil"
            said = self.verdicts[:, :, self.coils.index(key)] if key in self.coils else np.zeros_like(must)
            must |= ((said != UNSURE) & (said != is_on)).astype(np.int64) << j
            may |= (said == UNSURE).astype(np.int64) << j
        return must, may

    @cached_property
    def reached(self) -> list[set[int]]:
        """By condition, the states of the relays in which it can end, those of a circle among them."""
        found: list[set[int]] = [set() for _ in range(self.conditions)]
        queue = []

        def add(condition: int, start: int) -> None:
            for state in self._ends(condition, start):
                if state not in found[condition]:
                    found[condition].add(state)
                    queue.append((condition, state))

        for condition in range(self.conditions):
            add(condition, 0)
        while queue:
            condition, state = queue.pop()
            for i in range(len(self.drawn.signals)):
                add(condition ^ 1 << i, state)
        return found

    @cached_property
    def restless(self) -> list[bool]:
        """By condition, whether the relays may never come to rest."""
        must, _ = self.moves
        return [any(must[s, c] for s in states) for c, states in enumerate(self.reached)]

    @cached_property
    def unsure(self) -> bool:
        """Whether a relay is ever between drop-out and pull-in where it can be reached."""
        _, may = self.moves
        return any(may[s, c] for c, states in enumerate(self.reached) for s in states)

    @cached_property
    def _known(self) -> dict[tuple[bytes, bytes, int], frozenset[int]]:
        return {}

    def _ends(self, condition: int, start: int) -> frozenset[int]:
        must, may = self.moves
        column, loose = must[:, condition], may[:, condition]
        if not column[start] and not loose[start]:
            return frozenset((start,))
        key = column.tobytes(), loose.tobytes(), start
        if key not in self._known:
            self._known[key] = _ends(column.tolist(), loose.tolist(), start)
        return self._known[key]


def _ends(must: list[int], may: list[int], start: int) -> frozenset[int]:
    """Where relays end that start in a state, whichever of those that are to move is quicker."""
    onward: dict[int, set[int]] = {}
    queue = [start]
    while queue:
        state = queue.pop()
        if state not in onward:
            able = must[state] | may[state]
            onward[state] = {state ^ part for part in range(1, able + 1) if part & ~able == 0}
            queue += onward[state]
    reach = {s: _closure(onward, s) for s in onward}
    return frozenset(s for s in onward if not must[s] or all(s in reach[t] for t in reach[s]))


def _closure(onward: dict[int, set[int]], start: int) -> set[int]:
    found: set[int] = set()
    queue = list(onward[start])
    while queue:
        state = queue.pop()
        if state not in found:
            found.add(state)
            queue += onward[state]
    return found


def _distinct(rows: Bits) -> tuple[Bits, NDArray[np.int64]]:
    alike, which = np.unique(rows, axis=0, return_inverse=True)
    return alike, which.reshape(-1)
