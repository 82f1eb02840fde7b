"""Burdens: what a failure asks of supplies, and which of them do not hold their volts then.

A supply's circuits are worked out one by one, as if it held its volts. Where one that has failed takes all that the
supply gives, or all of them together do, the others have fewer: as many as the failed circuit leaves, at most. That
bound is all that is said of them (Sag), so that a thousand doors on fifty supplies need no network of fifty doors.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING
from weakref import proxy

from plancheck.circuit.conditions import Levels, Space, joined, union
from plancheck.circuit.demand import MANY_TOGETHER, greatest_together
from plancheck.circuit.network import Network
from plancheck.circuit.opening import OPENS_AT, opens, protectors, without_opened
from plancheck.circuit.readings import UNKNOWN
from plancheck.circuit.states import NetworkStates
from plancheck.circuit.values import LEAST, MOST, RATED, rating, source_limit
from plancheck.circuit.variation import AS_DRAWN, Poles, Sag, Variation
from plancheck.plan.graph import Branch

if TYPE_CHECKING:
    from plancheck.circuit.engine import Engine

Shared = tuple[Poles, list[Network], list[Network]]

_NEAR = 1 - 1e-6

_FED = -1.0
"""Stands among levels for poles that another supply feeds."""


class Burdens:
    """Finds the sags of failures; the networks of a plan are those of the engine, worked out as drawn."""

    def __init__(self, engine: Engine) -> None:
        # The engine holds its burdens: were it held by them in turn, a plan changed would stay in memory for long.
        self.engine: Engine = proxy(engine)
        self.on: dict[Poles, list[Network]] = defaultdict(list)
        """Networks as drawn by the poles that they hang on."""
        for network in engine.networks:
            for poles in network.poles:
                self.on[poles].append(network)
        self._kept: dict[Poles, frozenset[str]] = {}
        self._drop_outs: dict[Poles, tuple[float, ...]] = {}
        self._drawn: dict[tuple[int, str], float] = {}
        self._beyond: dict[Poles, bool] = {}
        self._always: dict[Poles, bool] = {}
        self._none: dict[frozenset[int], bool] = {}
        """By the networks that a part is in, whether its failing asks of no supply more than it gives."""

    def hanging(self, sags: Iterable[Sag]) -> set[int]:
        """Numbers of the networks as drawn on poles that sag."""
        return {network.number for sag in sags for network in self.on[sag.poles]}

    def are_none(self, variation: Variation) -> bool:
        """Whether a contact or part that fails, however others then stand, asks of no supply more than it gives."""
        failure = variation.failure
        if failure is None or failure.joined is not None or failure.dead:
            return False
        parts = failure.removed | failure.welded
        changed = frozenset(n.number for key in parts for n, _ in self.engine.homes.get(key, ()))
        found = self._none.get(changed)
        if found is None:
            networks = (self.engine.networks[i] for i in self.engine.overlays.downstream(changed))
            found = self._none[changed] = all(self._ample(poles) for n in networks for poles in n.poles)
        return found

    def _ample(self, poles: Poles) -> bool:
        """Whether the sources between some poles carry all that hangs on them with every contact made at once."""
        found = self._always.get(poles)
        if found is None:
            on = self.on[poles]
            alone = all(len(n.poles) == 1 and not self._may_take_all(n, poles, (), AS_DRAWN) for n in on)
            found = self._always[poles] = alone and self._all_at_once(on) < min(
                source_limit(source) * _NEAR for n in on for _, source in _sources(n, poles)
            )
        return found

    @staticmethod
    def _all_at_once(networks: Iterable[Network]) -> float:
        """Amperes of all loads of some networks, each at its rating."""
        return sum(rating(b).amps for n in networks for b in n.branches if b.what == "load")

    def sags(self, variation: Variation) -> tuple[Sag, ...]:
        """What a failure does to supplies. The variation's own sags are taken to be none."""
        failure = variation.failure
        assert failure is not None
        alone = variation.sagging(())
        overlays = self.engine.overlays
        touched, changed = overlays.touched(failure), overlays.feeling(failure)
        networks = [self.engine.network(self.engine.networks[i], alone) for i in sorted(changed)]
        networks += [home[0] for home in overlays.of(failure).home.values() if home]
        standing = list({n.number: n for n in networks}.values())
        less = failure.joined is None and not failure.welded
        if less and changed == touched and not any(n.feedback for n in standing):
            return ()  # a part is gone, and nothing else stands otherwise for it: fewer loads draw no more
        doubt = self._doubt(alone, standing, changed, touched)
        return tuple(self._found(alone.sagging(doubt), standing, changed))

    def _doubt(
        self, variation: Variation, standing: Sequence[Network], changed: set[int], touched: set[int]
    ) -> tuple[Sag, ...]:
        """Poles whose sag acts on what makes them sag: what they do is found with everything on them in doubt."""
        asked = self.engine.overlays.upstream(touched) - touched
        found = []
        for poles, own, others in self._shared(standing, changed):
            if any(n.feedback for n in own) or any(n.number in asked for n in self.on[poles]):
                fed = any(len(n.poles) > 1 for n in own)
                if fed or any(self._may_take_all(n, poles, others, variation) for n in own):
                    found.append(Sag(poles, Space(()), ((1, math.inf),), int(fed)))
        return tuple(found)

    def _shared(self, standing: Sequence[Network], changed: set[int]) -> Iterator[Shared]:
        """Poles on which more than one circuit hangs: with those changed by a failure, and the others."""
        for poles in dict.fromkeys(poles for network in standing for poles in network.poles):
            own = [n for n in standing if poles in n.poles]
            # Two supplies that one network joins may each have to feed what hangs on the other.
            fed = dict.fromkeys(pair for n in own for pair in n.poles)
            others = list({n.number: n for pair in fed for n in self.on[pair] if n.number not in changed}.values())
            if len(own) + len(others) > 1:
                yield poles, own, others

    def _may_take_all(self, network: Network, poles: Poles, others: Sequence[Network], variation: Variation) -> bool:
        """Whether a circuit could take all that a source gives, whatever its contacts do; protectors open first."""
        states = self.engine.states(network, variation)
        if isinstance(states, str):
            return True
        for i, source in _sources(network, poles):
            limit = source_limit(source) * _NEAR
            small = {j for j, rated in protectors(network) if opens(rated, source_limit(source))}
            bits = sum(1 << j for j in range(len(network.branches)) if j not in small)
            ways = frozenset(j for j, b in enumerate(network.branches) if b.what == "one-way")
            metal = states.frame.metal(bits, ways)
            part = states.frame.parts[i]
            most = sum(rating(b).amps for b in network.branches if b.what == "load")
            most += sum(OPENS_AT * rated for j, rated in protectors(network) if j in small)
            most += sum(self._most(n, source.key) for n in others)
            if metal[part.a] == metal[part.b] or most >= limit:
                return True
        return False

    # --- one failure -----------------------------------------------------------------------------------------

    def _found(self, variation: Variation, standing: Sequence[Network], changed: set[int]) -> Iterator[Sag]:
        for poles, own, others in self._shared(standing, changed):
            sag = self._sag(poles, own, others, variation)
            if sag is not None:
                yield sag

    def _sag(self, poles: Poles, own: Sequence[Network], others: Sequence[Network], variation: Variation) -> Sag | None:
        if self._far_from_all(poles, own, others, variation):
            return None
        asked: list[tuple[Space, dict[float, int]]] = []
        demands: dict[str, list[Levels]] = defaultdict(list)
        for network in own:
            states = self.engine.states(network, variation)
            if isinstance(states, str):
                if any(isinstance(self.engine.states(n), str) for n in self.on[poles]):
                    continue  # what could not be worked out as drawn either is told as such
                return _in_doubt(poles)
            levels = self._at_limit(states, poles) | self._fed(states, poles)
            asked.append((states.space, levels))
            for i, source in _sources(network, poles):
                demands[source.key].append(_asked(states, i, union(levels.values())))
        if any(self._too_much(poles, key, found, others) for key, found in demands.items()):
            return _in_doubt(poles)
        return self._told(poles, [(space, levels) for space, levels in asked if levels])

    def _far_from_all(
        self, poles: Poles, own: Sequence[Network], others: Sequence[Network], variation: Variation
    ) -> bool:
        """Whether all circuits, each at its worst, take less than a source gives, and none has another's volts."""
        left: dict[str, float] = {}
        for network in own:
            states = self.engine.states(network, variation)
            if isinstance(states, str) or states.chatter or states.sags or len(network.poles) > 1:
                return False
            for i, source in _sources(network, poles):
                if source.key not in left:
                    drawn = sum(self._most(n, source.key) for n in others)
                    left[source.key] = source_limit(source) * _NEAR - drawn
                left[source.key] -= _worst(states, i)
        return all(amps > 0.0 for amps in left.values())

    def _at_limit(self, states: NetworkStates, poles: Poles) -> dict[float, int]:
        """Conditions in which one circuit takes all that a source gives, by the most volts that it leaves."""
        found: dict[float, int] = defaultdict(int)
        for i, source in _sources(states.network, poles):
            limit = source_limit(source) * _NEAR
            if math.isinf(limit):
                continue
            for mask, bits in states.groups:
                if self._takes_all(states, i, bits, limit):
                    left = max(abs(states.across(i, bits, study)) for study in (MOST, RATED, LEAST))
                    found[self._level(poles, left)] |= mask & ~states.chatter
            passing = set(states.points) - {bits for _, bits in states.groups}
            if any(self._takes_all(states, i, bits, limit) for bits in passing):
                # A relay in doubt may come to it in passing, lose its volts by that, and come to it again.
                found[math.inf] |= states.space.everything if states.sags else states.chatter
        return {level: mask for level, mask in found.items() if mask}

    def _fed(self, states: NetworkStates, poles: Poles) -> dict[float, int]:
        """Conditions in which another supply puts volts on poles of which no source is alive, or more than theirs."""
        if len(states.network.poles) < 2:
            return {}
        found = 0
        sources = [i for i, _ in _sources(states.network, poles)]
        for mask, bits in states.groups:
            for study in (MOST, RATED):
                values = states.values.get(study.level) or states.values["volts"]
                own = [values[i][0] for i in sources if bits >> i & 1]
                least = max(own) * (1 + 1e-3) if own else min(self._outs(poles), default=0.0)
                found |= mask if abs(states.across(sources[0], bits, study)) > least else 0
        return {_FED: found & ~states.chatter} if found & ~states.chatter else {}

    def _takes_all(self, states: NetworkStates, source: int, bits: int, limit: float) -> bool:
        points = states.points.get(bits)
        if points is None:
            return False
        if points.settled and all(abs(states.through(source, bits, study)) < limit for study in (MOST, RATED, LEAST)):
            return False
        left = without_opened(states, bits)
        if left == bits:
            return True
        self.engine.solve_patterns(states, left)
        return self._takes_all(states, source, left, limit)

    def _level(self, poles: Poles, volts: float) -> float:
        """The least volts of drop-out, among the loads on some poles, that so many volts do not exceed."""
        return next((level for level in self._outs(poles) if volts <= level), math.inf)

    def _outs(self, poles: Poles) -> tuple[float, ...]:
        """The volts of drop-out of the loads on some poles, least first."""
        known = self._drop_outs.get(poles)
        if known is None:
            loads = (b for n in self.on[poles] if not isinstance(self.engine.states(n), str) for b in n.branches)
            rated = [rating(b) for b in loads if b.what == "load"]
            known = tuple(sorted({r.drop_out for r in rated if r.drop_out > 0.0}))
            self._drop_outs[poles] = known
        return known

    def _told(self, poles: Poles, asked: Sequence[tuple[Space, dict[float, int]]]) -> Sag | None:
        """Sags of circuits as one, over signals that the poles' circuits share, or over all if they are few."""
        if not asked:
            return None
        kept = self._signals(poles)
        whole = joined(space for space, _ in asked)
        space = Space(tuple(s for s in whole.signals if s in kept))
        certain: dict[float, int] = defaultdict(int)
        maybe = fed = 0
        for own, levels in asked:
            narrow = Space(tuple(s for s in own.signals if s in kept))
            holds = own.some(own.everything & ~union(levels.values()), narrow)
            left = narrow.everything
            fed |= narrow.carry(own.some(levels.pop(_FED, 0), narrow), space)
            for level in sorted(levels, reverse=True):
                there = own.some(levels[level], narrow) & left
                left &= ~there
                maybe |= narrow.carry(there if level == math.inf else there & holds, space)
                certain[level] |= 0 if level == math.inf else narrow.carry(there & ~holds, space)
        found, left = [], space.everything
        for level in sorted(certain):
            if mask := certain[level] & left:
                found.append((mask, level))
                left &= ~mask
        doubtful = [(maybe & left, math.inf)] if maybe & left else []
        return Sag(poles, space, (*found, *doubtful), fed)

    def _signals(self, poles: Poles) -> frozenset[str]:
        found = self._kept.get(poles)
        if found is None:
            states = (self.engine.states(n) for n in self.on[poles])
            counts = Counter(s for st in states if not isinstance(st, str) for s in set(st.space.signals))
            counts = Counter({s: n for s, n in counts.items() if s in self.engine.signals})
            few = len(counts) <= MANY_TOGETHER
            found = self._kept[poles] = frozenset(s for s, n in counts.items() if few or n > 1)
        return found

    # --- all circuits together -------------------------------------------------------------------------------

    def _too_much(self, poles: Poles, source: str, own: Sequence[Levels], others: Sequence[Network]) -> bool:
        """Whether circuits, none of which takes all, take it together, and did not as drawn."""
        limit = source_limit(self.engine.branches[source]) * _NEAR
        most = sum(max((v for _, v in levels.parts if v == v), default=0.0) for levels in own)
        if math.isinf(limit) or most + sum(self._most(n, source) for n in others) < limit:
            return False
        if self._overloaded_as_drawn(poles, source, limit):
            return False
        together = greatest_together([*own, *self._levels(others, source)])
        return together is None or together[0] >= limit

    def _overloaded_as_drawn(self, poles: Poles, source: str, limit: float) -> bool:
        if poles not in self._beyond:
            together = greatest_together(list(self._levels(self.on[poles], source)))
            self._beyond[poles] = together is not None and together[0] >= limit
        return self._beyond[poles]

    def _levels(self, networks: Iterable[Network], source: str) -> Iterator[Levels]:
        for network in networks:
            states = self.engine.states(network, AS_DRAWN)
            sources = {b.key: i for i, b in enumerate(network.branches) if b.what == "source"}
            if not isinstance(states, str):
                yield _asked(states, sources.get(source, next(iter(sources.values()))), 0)

    def _most(self, network: Network, source: str) -> float:
        key = network.number, source
        if key not in self._drawn:
            found = [v for levels in self._levels([network], source) for _, v in levels.parts if v == v]
            self._drawn[key] = max(found, default=0.0)
        return self._drawn[key]


def _in_doubt(poles: Poles) -> Sag:
    return Sag(poles, Space(()), ((1, math.inf),))


def _sources(network: Network, poles: Poles) -> Iterator[tuple[int, Branch]]:
    return ((i, b) for i, b in enumerate(network.branches) if b.what == "source" and (b.a, b.b) == poles)


def _asked(states: NetworkStates, source: int, without: int) -> Levels:
    """Amperes through a source in every condition but some; NaN in those, and where relays chatter."""
    skipped = without | states.chatter
    parts = [(mask & ~skipped, _amps(states, source, without_opened(states, bits))) for mask, bits in states.groups]
    return Levels(states.space, tuple((mask, amps) for mask, amps in [*parts, (skipped, UNKNOWN)] if mask))


def _amps(states: NetworkStates, source: int, bits: int) -> float:
    return abs(states.through(source, bits, RATED))


def _worst(states: NetworkStates, source: int) -> float:
    """The most amperes through a source in any pattern, infinite where that was not found."""
    worst = 0.0
    for _, bits in states.groups:
        points, at = states.points.get(bits), states.frame.core(bits).branch_at.get(source)
        if points is not None and at is not None:
            worst = max(worst, *(abs(amps[at]) for amps in points.amps.values())) if points.settled else math.inf
    return worst
