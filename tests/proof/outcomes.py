"""What locks and relays do in every condition, found one condition at a time, with all that may have gone before.

Relays move one before another or together, whichever is quicker: from a standing of the relays any of those that
want to move may. Where they end is a standing in which none wants to, or a circle that they never leave (the
general multiple-winner model of asynchronous circuits: Brzozowski and Yoeli, 1979, from memory). A relay between
drop-out and pull-in may be either. Signals change one at a time, while the relays rest; at first nothing is on.
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
    """What has failed: parts gone, contacts made for good."""

    removed: frozenset[str] = frozenset()
    welded: frozenset[str] = frozenset()


NOTHING = Failed()


class Outcomes:
    """One circuit under one failure."""

    def __init__(self, drawn: Drawing, failed: Failed = NOTHING) -> None:
        self.drawn = drawn
        self.parts = [p for p in drawn.parts if p.key not in failed.removed]
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
        return self._reached(from_circles=True)

    @cached_property
    def stirred(self) -> bool:
        """Whether a state is reached only by a signal that changes while relays chatter."""
        return self.reached != self._reached(from_circles=False)

    def _reached(self, from_circles: bool) -> list[set[int]]:
        found: list[set[int]] = [set() for _ in range(self.conditions)]
        queue = []

        def add(condition: int, start: int) -> None:
            for state in self._ends(condition, start)[0]:
                if state not in found[condition]:
                    found[condition].add(state)
                    if from_circles or not self.moves[0][state, condition]:
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
    def races(self) -> bool:
        """Whether it ever matters which of several relays is the quicker: all at once would end elsewhere."""
        return bool(self.reached) and any(races for _, races in self._known.values())

    @cached_property
    def _known(self) -> dict[tuple[bytes, bytes, int], tuple[frozenset[int], bool]]:
        return {}

    def _ends(self, condition: int, start: int) -> tuple[frozenset[int], bool]:
        must, may = self.moves
        column, loose = must[:, condition], may[:, condition]
        if not column[start] and not loose[start]:
            return frozenset((start,)), False
        key = column.tobytes(), loose.tobytes(), start
        if key not in self._known:
            self._known[key] = _ends(column.tolist(), loose.tolist(), start)
        return self._known[key]


def _ends(must: list[int], may: list[int], start: int) -> tuple[frozenset[int], bool]:
    """Where relays end that start in a state; whether they would end elsewhere if all always moved together."""
    onward: dict[int, set[int]] = {}
    queue = [start]
    while queue:
        state = queue.pop()
        if state not in onward:
            able = must[state] | may[state]
            onward[state] = {state ^ part for part in range(1, able + 1) if part & ~able == 0}
            queue += onward[state]
    reach = {s: _closure(onward, s) for s in onward}
    ends = frozenset(s for s in onward if not must[s] or all(s in reach[t] for t in reach[s]))
    return ends, ends != _together(must, start)


def _together(must: list[int], start: int) -> frozenset[int]:
    seen = [start]
    while (state := seen[-1] ^ must[seen[-1]]) not in seen:
        seen.append(state)
    return frozenset(seen[seen.index(state) :])


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
