"""Replay: signals that change one after another, and what relays remember of it."""

from __future__ import annotations

from collections.abc import Mapping

from plancheck.circuit.conditions import Levels, Truth
from plancheck.circuit.engine import Engine
from plancheck.circuit.history import History
from plancheck.circuit.network import Network
from plancheck.circuit.states import NetworkStates
from plancheck.plan.model import Signal

RESTLESS = -1
"""Stands for a coil state where the relays of a network never come to rest."""


class Replay:
    """A plan from rest on, as signals change. `condition` tells every signal, and every relay held in from before."""

    def __init__(self, engine: Engine, signals: Mapping[str, Signal]) -> None:
        self.condition = {key: signal.rests_on for key, signal in signals.items()}
        worked_out = ((n, engine.states(n)) for n in sorted(engine.networks, key=lambda n: n.rank))
        self._networks = [(n, s, s.history) for n, s in worked_out if not isinstance(s, str) and s.history]
        self._coils: dict[int, int] = {}
        self._settle()

    def change(self, changes: Mapping[str, bool]) -> None:
        """Change signals, in the order given, each after the relays have come to rest."""
        for key, on in changes.items():
            self.condition[key] = on
            self._settle()

    def _settle(self) -> None:
        for network, states, history in self._networks:
            here = self._coils.get(network.number, 0)
            rest = _rest(history, here, self._index(states, history))
            self._coils[network.number] = rest
            self._note(network, history, max(rest, 0))

    def _index(self, states: NetworkStates, history: History) -> int:
        own = states.space.signals[: len(states.space.signals) - len(history.varying)]
        return index_of(own, self.condition)

    def _note(self, network: Network, history: History, state: int) -> None:
        for coil in history.varying:
            key = network.branches[history.coils[coil]].key
            self.condition[f"{key} held in from before"] = bool(state >> coil & 1)


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


def _rest(history: History, start: int, index: int) -> int:
    """The coil state in which a network comes to rest, from a state that it was in."""
    rests = history.rests.get(max(start, 0), {})
    return next((state for state, mask in rests.items() if mask >> index & 1), RESTLESS)
