"""History: networks whose contacts follow their own coils, and what happened before.

From every state that its coils can be in, a network moves until it rests, or never does (chatter). Nobody knows which
relay is quicker: of the coils that are to change any may change first, or several at once (the general multiple-winner
model: Brzozowski and Yoeli, 1979); one between drop-out and pull-in may change or stay. Starting from all coils off,
one signal changing at a time, every condition is reached with one or more states of rest; where more than one, the
state is one more signal of the network: "held in from before". A signal may change while relays chatter too: every
state of a circle that they do not leave is a start like a state of rest. Coils and inputs of other networks lag too.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field

from plancheck.circuit.conditions import HELD, Space, union
from plancheck.circuit.states import NetworkStates
from plancheck.circuit.values import Incomplete

MANY_COILS = 6
"""A network in which more coils and inputs than this act on their own network is not assessed.

Those of other networks lag as long as they are no more than this together with them.
"""

Masks = dict[int, int]
"""By coil state (bit j: coil j is on), the conditions of which something is said."""


@dataclass(slots=True, eq=False)
class History:
    """Explores one network; `coils` are the branch numbers that its own guards ask about.

    `others` tells in which conditions coils and inputs of other networks come to be on, on which it depends: they lag
    as its own do. A coil state has a bit for each of the coils, then one for each of these.
    """

    states: NetworkStates
    coils: tuple[int, ...]
    others: tuple[int, ...] = ()
    groups: dict[int, list[tuple[int, int]]] = field(default_factory=dict)
    """By coil state, conditions grouped by pattern."""
    moves: dict[int, Masks] = field(default_factory=dict)
    """By coil state, the states that it may go to at once."""
    still: Masks = field(default_factory=dict)
    """Where a coil state may stay as it is."""
    rests: dict[int, Masks] = field(default_factory=dict)
    """By coil state, the states in which it may come to rest, the nearest first."""
    turning: dict[int, Masks] = field(default_factory=dict)
    """By coil state, the states of circles that it may come to and never leaves."""
    varying: tuple[int, ...] = ()
    """Coils whose state depends on what happened before."""
    chosen: dict[int, Masks] = field(default_factory=dict)
    """By state of the varying coils, the coil state in which each condition is shown."""

    def __post_init__(self) -> None:
        if len(self.coils) > MANY_COILS:
            raise Incomplete(f"{len(self.coils)} coils act on one another; at most {MANY_COILS} are worked out")

    def groups_of(self, state: int) -> list[tuple[int, int]]:
        """Conditions grouped by the pattern they make while the coils are in a state."""
        if state not in self.groups:
            everything = self.states.space.everything
            masks = [everything if state >> j & 1 else 0 for j in range(len(self.coils) + len(self.others))]
            self.groups[state] = self.states.frame.partition(masks)
        return self.groups[state]

    def learn(self, state: int) -> None:
        """Note where a coil state may go at once, its patterns having been solved."""
        self.states.groups = self.groups[state]
        everything = self.states.space.everything
        must = 0
        moves: Masks = {state: everything}
        wanted = [(truth.yes, truth.no) for truth in map(self.states.on, self.coils)]
        wanted += [(mask, everything & ~mask) for mask in self.others]
        for j, (yes, no) in enumerate(wanted):
            off = not state >> j & 1
            must |= yes if off else no
            may = everything & ~(no if off else yes)
            moves.update({to ^ 1 << j: mask & may for to, mask in moves.items() if mask & may})
        del moves[state]
        self.moves[state] = moves
        self.still[state] = everything & ~must

    def unknown(self) -> set[int]:
        """Coil states that must be solved before the history is known; none when it is."""
        missing: set[int] = set()
        reached: Masks = {}
        frontier = self._ends(0, missing)
        while frontier:
            fresh = {s: m & ~reached.get(s, 0) for s, m in frontier.items()}
            frontier = {}
            for state, mask in fresh.items():
                if not mask:
                    continue
                reached[state] = reached.get(state, 0) | mask
                for target, there in self._ends(state, missing).items():
                    frontier[target] = frontier.get(target, 0) | (self._one_signal_away(mask) & there)
        if not missing:
            self._finish(reached)
        return missing

    def _one_signal_away(self, mask: int) -> int:
        space, found = self.states.space, 0
        for i, signal in enumerate(space.signals):
            on = space.on(signal)
            found |= (mask & on) >> (1 << i) | (mask & ~on) << (1 << i)
        return found

    def _ends(self, start: int, missing: set[int]) -> Masks:
        """Where a coil state may end: states of rest, and those of circles."""
        if start not in self.rests:
            reached = self._reached(start, missing)
            rests = {s: m & self.still[s] for s, m in reached.items() if s in self.still and m & self.still[s]}
            ordered = dict(sorted(rests.items(), key=lambda item: ((item[0] ^ start).bit_count(), item[0])))
            if not reached.keys() <= self.moves.keys():
                return ordered
            self.rests[start], self.turning[start] = ordered, self._circles(reached)
        ends = dict(self.rests[start])
        for state, mask in self.turning[start].items():
            ends[state] = ends.get(state, 0) | mask
        return ends

    def _reached(self, start: int, missing: set[int]) -> Masks:
        """By coil state, the conditions in which it can be come to from `start`, itself included."""
        reached: Masks = {start: self.states.space.everything}
        queue = [(start, reached[start])]
        while queue:
            state, mask = queue.pop()
            if state not in self.moves:
                missing.add(state)
                continue
            for target, there in self.moves[state].items():
                fresh = mask & there & ~reached.get(target, 0)
                if fresh:
                    reached[target] = reached.get(target, 0) | fresh
                    queue.append((target, fresh))
        return reached

    def _circles(self, reached: Masks) -> Masks:
        """Of states reached, those of circles without rest that are never left, whichever coil is quicker."""
        moving = self._without_rest(reached)
        onward = {state: self._reached(state, set()) for state in moving}
        found: Masks = {}
        for state, mask in moving.items():
            behind = ((onward[t].get(state, 0), there) for t, there in onward[state].items() if t in onward)
            left = union(there & ~back for back, there in behind)
            if mask & ~left:
                found[state] = mask & ~left
        return found

    def _without_rest(self, reached: Masks) -> Masks:
        """Of states reached, those that never come to rest, whichever coil is quicker."""
        ends = {state: self.still[state] & mask for state, mask in reached.items()}
        moved = True
        while moved:
            moved = False
            for state in reached:
                found = ends[state]
                for target, there in self.moves[state].items():
                    found |= there & ends.get(target, 0)
                found &= reached[state]
                moved = moved or found != ends[state]
                ends[state] = found
        return {state: mask & ~ends[state] for state, mask in reached.items() if mask & ~ends[state]}

    def _finish(self, reached: Masks) -> None:
        """Write what was found into the network's states."""
        states, default = self.states, self.rests[0]
        turning = union(mask & ~self.still[state] for state, mask in reached.items())
        reached = {state: mask & self.still[state] for state, mask in reached.items()}
        self.varying = tuple(j for j in range(len(self.coils)) if self._varies(j, reached))
        for mark in range(1 << len(self.varying)):
            self.chosen[mark] = self._choose(mark, reached, default)
        size, count = states.space.size, 1 << len(self.varying)
        merged: dict[int, int] = {}
        for mark, masks in self.chosen.items():
            for state, where in masks.items():
                for mask, bits in self.groups[state]:
                    if mask & where:
                        merged[bits] = merged.get(bits, 0) | (mask & where) << (mark * size)
        states.chatter = sum(turning << (mark * size) for mark in range(count))
        states.groups = [(mask, bits) for bits, mask in merged.items()]
        names = tuple(f"{states.network.branches[self.coils[j]].key}{HELD}" for j in self.varying)
        states.space = Space(states.space.signals + names)
        states.history = self if self.varying else None

    def _varies(self, j: int, reached: Masks) -> bool:
        on = union(m for s, m in reached.items() if s >> j & 1)
        off = union(m for s, m in reached.items() if not s >> j & 1)
        return bool(on & off)

    def _mark(self, state: int) -> int:
        return sum(1 << i for i, j in enumerate(self.varying) if state >> j & 1)

    def _choose(self, mark: int, reached: Masks, default: Masks) -> Masks:
        """For each condition a reached state that fits the mark, or else the one from rest."""
        chosen: Masks = {}
        left = union(default.values())
        for state in sorted(reached):
            if self._mark(state) == mark and reached[state] & left:
                chosen[state] = reached[state] & left
                left &= ~reached[state]
        for state, mask in default.items():
            if mask & left:
                chosen[state] = chosen.get(state, 0) | (mask & left)
                left &= ~mask
        return chosen

    def ends_at(self, state: int, condition: int) -> list[int]:
        """Where a coil state may end in a condition: states of rest, the nearest first, then those of circles."""
        known = self.rests.get(state, {}), self.turning.get(state, {})
        return [end for ends in known for end, mask in ends.items() if mask >> condition & 1]

    def events(self, index: int, rest: Mapping[str, bool]) -> list[tuple[str, bool]] | None:
        """The fewest changes of a signal that lead from rest to condition `index` of the extended space.

        Each is (signal, on). None where no sequence leads there; the condition then shows the state from rest.
        """
        signals = self.states.space.signals[: len(self.states.space.signals) - len(self.varying)]
        size = 1 << len(signals)
        goal = index % size
        state = next(s for s, m in self.chosen[index // size].items() if m >> goal & 1)
        start = sum(1 << i for i, s in enumerate(signals) if rest.get(s))
        first = (start, next(iter(self.ends_at(0, start)), 0))
        came: dict[tuple[int, int], tuple[tuple[int, int], int]] = {}
        queue = deque([first])
        while queue:
            here = queue.popleft()
            if here == (goal, state):
                return _unwind(came, first, here, signals)
            for i in range(len(signals)):
                condition = here[0] ^ 1 << i
                for coils in self.ends_at(here[1], condition):
                    there = (condition, coils)
                    if there not in came and there != first:
                        came[there] = (here, i)
                        queue.append(there)
        return None


def _unwind(
    came: Mapping[tuple[int, int], tuple[tuple[int, int], int]],
    first: tuple[int, int],
    last: tuple[int, int],
    signals: tuple[str, ...],
) -> list[tuple[str, bool]]:
    events = []
    while last != first:
        before, i = came[last]
        events.append((signals[i], bool(last[0] >> i & 1)))
        last = before
    return events[::-1]
