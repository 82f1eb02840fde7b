"""Replay: signals that change one after another, and what relays remember of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from copy import copy
from dataclasses import dataclass

from plancheck.circuit.conditions import HELD, Levels, Truth
from plancheck.circuit.engine import Engine
from plancheck.circuit.history import History
from plancheck.circuit.network import Network
from plancheck.circuit.states import NetworkStates
from plancheck.plan.model import Signal


class Replay:
    """A plan from rest on, as signals change. `condition` tells every signal, and every relay held in from before."""

    def __init__(self, engine: Engine, signals: Mapping[str, Signal]) -> None:
        self.condition = {key: signal.rests_on for key, signal in signals.items()}
        worked_out = ((n, engine.states(n)) for n in sorted(engine.networks, key=lambda n: n.rank))
        self._memories = [_Memory(n, s, s.history) for n, s in worked_out if not isinstance(s, str) and s.history]
        self._feeling: dict[str, list[int]] = defaultdict(list)
        """By signal, the numbers of the memories that feel it."""
        for i, memory in enumerate(self._memories):
            for key in memory.signals:
                self._feeling[key].append(i)
        self._coils = [0] * len(self._memories)
        self._settle(set(range(len(self._memories))))

    def fork(self) -> Replay:
        """The same plan in the same condition, to go on from."""
        other = copy(self)
        other.condition, other._coils = dict(self.condition), list(self._coils)
        return other

    def change(self, changes: Mapping[str, bool]) -> None:
        """Change signals, in the order given, each after the relays have come to rest."""
        for key, on in changes.items():
            self.condition[key] = on
            self._settle(set(self._feeling.get(key, ())))

    def _settle(self, waiting: set[int]) -> None:
        """Let networks come to rest, those first that others depend on, and then whoever feels their relays."""
        while waiting:
            i = min(waiting)
            waiting.remove(i)
            memory = self._memories[i]
            ends = memory.history.ends_at(self._coils[i], index_of(memory.signals, self.condition))
            self._coils[i] = ends[0]
            for key, on in memory.told(self._coils[i]):
                if self.condition.get(key) is not on:
                    self.condition[key] = on
                    waiting.update(j for j in self._feeling.get(key, ()) if j > i)


@dataclass(frozen=True, slots=True)
class _Memory:
    """A network in which what happened before matters."""

    network: Network
    states: NetworkStates
    history: History

    @property
    def signals(self) -> tuple[str, ...]:
        """Its signals, without those that tell what was held in."""
        return self.states.space.signals[: len(self.states.space.signals) - len(self.history.varying)]

    def told(self, state: int) -> Iterator[tuple[str, bool]]:
        """What a state of its coils says, as further signals."""
        for coil in self.history.varying:
            yield f"{self.network.branches[self.history.coils[coil]].key}{HELD}", bool(state >> coil & 1)


def index_of(signals: tuple[str, ...], condition: Mapping[str, bool]) -> int:
    """Number of a condition in the space over some signals; a signal that is not told is off."""
    return sum(1 << i for i, signal in enumerate(signals) if condition.get(signal))


def truth_at(truth: Truth, condition: Mapping[str, bool]) -> bool | None:
    """A truth in one condition; None where it is uncertain."""
    index = index_of(truth.space.signals, condition)
    return True if truth.yes >> index & 1 else False if truth.no >> index & 1 else None


def level_at(levels: Levels, condition: Mapping[str, bool]) -> float:
    """A number in one condition."""
    return levels.at(index_of(levels.space.signals, condition))
