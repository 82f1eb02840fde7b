"""Contacts that fail, and parts that are gone: what follows, without putting other networks in the place of those.

A failed contact changes where it is made, and nothing else: the stages of the diagram of the network as drawn are
there already, or are one step beyond it, and few of them have to be solved. A part that is gone makes a diagram of its
own, which networks drawn alike share. What follows from a relay that then moves otherwise is a change of where its
contacts are made, too. Networks in which what happened before matters, or in which a relay is uncertain, are left to
be worked out as any other failure.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import reduce
from operator import and_, or_

from plancheck.circuit.conditions import Space, Truth
from plancheck.circuit.diagram import Stage
from plancheck.circuit.network import Network, asked_keys, atom_key
from plancheck.circuit.overlay import Overlays
from plancheck.circuit.parts import TooManyPatterns
from plancheck.circuit.states import NetworkStates
from plancheck.circuit.variation import Variation
from plancheck.plan.graph import Branch
from plancheck.plan.guard import All, AnyOf, Constant, Guard, Not
from plancheck.plan.model import Device

Solve = Callable[[list[tuple[NetworkStates, list[tuple[int, int]]]]], None]
"""Solves patterns of networks, all in one go."""


class Uncertain(Exception):
    """A network that this way of working does not fit."""


@dataclass(slots=True, eq=False)
class Bench:
    """A network as drawn: its states apart from those as drawn, and what was read off them.

    `felt` maps the key of a load or sense to the numbers of the branches whose guards ask about it; `told` are the
    loads and senses that somebody asks about, by number.
    """

    network: Network
    states: NetworkStates
    felt: dict[str, list[int]]
    told: list[tuple[int, str]]
    as_drawn: dict[str, Truth]
    verdicts: dict[tuple[int, int], bool | None] = field(default_factory=dict)

    @property
    def off(self) -> Truth:
        """What is said of a load that is gone."""
        return Truth(self.states.space, 0, self.states.space.everything)

    def truth(self, index: int, ends: Iterable[tuple[Stage, int]]) -> Truth:
        """Whether branch `index` is energised or made, over the stages that conditions end in."""
        yes = no = 0
        for stage, mask in ends:
            key = index, stage.bits
            if key not in self.verdicts:
                self.verdicts[key] = self.states.verdict(index, stage.bits)
            verdict = self.verdicts[key]
            if verdict is True:
                yes |= mask
            elif verdict is False:
                no |= mask
        return Truth(self.states.space, yes, no)


@dataclass(slots=True, eq=False)
class Trial:
    """One failure under way: `found` are the truths of what it reaches, `changed` those that are not as drawn."""

    variation: Variation
    part: Branch
    made: bool
    found: dict[str, Truth] = field(default_factory=dict)
    changed: dict[str, Truth] = field(default_factory=dict)


class ContactFailures:
    """Works out failures of contacts over the networks as drawn; `kept` are the keys that somebody wants told."""

    def __init__(
        self,
        overlays: Overlays,
        devices: Mapping[str, Device],
        drawn: Callable[[Network], NetworkStates | str],
        kept: Iterable[str],
    ) -> None:
        self.overlays, self.devices, self.drawn = overlays, devices, drawn
        self.networks, self.homes = overlays.networks, overlays.homes
        self.kept = frozenset(kept)
        self.asked = self.kept | overlays.asked
        self._benches: dict[int, Bench | None] = {}
        self._reach: dict[str, list[Bench] | None] = {}

    def work_out(self, variations: Iterable[Variation], solve: Solve) -> dict[Variation, dict[str, Truth]]:
        """The truths of all that each failure reaches; failures that this way does not fit are missing."""
        by_rank: dict[int, list[tuple[Trial, Bench]]] = defaultdict(list)
        trials = []
        for variation in variations:
            trial = self._trial(variation)
            benches = self._reached(trial) if trial else None
            if trial is None or benches is None:
                continue
            trials.append(trial)
            for bench in benches:
                by_rank[bench.network.rank].append((trial, bench))
        spoilt: set[Trial] = set()
        for rank in sorted(by_rank):
            spoilt |= self._one_rank([job for job in by_rank[rank] if job[0] not in spoilt], solve)
        return {trial.variation: trial.found for trial in trials if trial not in spoilt}

    def _one_rank(self, jobs: Sequence[tuple[Trial, Bench]], solve: Solve) -> set[Trial]:
        """Work out networks that do not depend on one another; the trials that do not go on."""
        spoilt: set[Trial] = set()
        running: list[tuple[Trial, Bench, list[tuple[Stage, int]]]] = []
        for trial, bench in jobs:
            try:
                ends = self._ends(trial, bench)
            except (Uncertain, TooManyPatterns):
                spoilt.add(trial)
                continue
            if ends is None:
                trial.found.update(bench.as_drawn)
            else:
                running.append((trial, bench, ends))
        solve([(bench.states, [(mask, stage.bits) for stage, mask in ends]) for _, bench, ends in running])
        for trial, bench, ends in running:
            for index, key in bench.told:
                truth = bench.off if key == trial.part.key else bench.truth(index, ends)
                trial.found[key] = truth
                if truth != bench.as_drawn[key]:
                    trial.changed[key] = truth
        return spoilt

    def _trial(self, variation: Variation) -> Trial | None:
        failure = variation.failure
        if failure is None or failure.joined is not None or failure.dead or variation.dead or variation.distrusted:
            return None
        key, *others = failure.removed | failure.welded
        part = self.overlays.graph.by_key[key]
        # Where a wire to a pole is gone, circuits may feel each other that did not.
        if others or (part.what != "contact" and self.overlays.frees_a_pole(failure)):
            return None
        return Trial(variation, part, bool(failure.welded))

    def _reached(self, trial: Trial) -> list[Bench] | None:
        """The networks that can feel a failure; None where one of them does not fit."""
        key = trial.part.key
        if key not in self._reach:
            touched = {network.number for network, _ in self.homes.get(key, ())}
            benches = [self._bench(number) for number in (self.overlays.downstream(touched) if touched else ())]
            self._reach[key] = [bench for bench in benches if bench] if all(benches) else None
        return self._reach[key]

    def _bench(self, number: int) -> Bench | None:
        """A network as drawn, None where this way does not fit it."""
        if number not in self._benches:
            self._benches[number] = self._made_ready(self.networks[number])
        return self._benches[number]

    def _made_ready(self, network: Network) -> Bench | None:
        states = self.drawn(network)
        if isinstance(states, str) or network.feedback or states.restless:
            return None
        # A failure is judged with coils as resistances alone.
        apart = replace(
            states, studies=tuple(s for s in states.studies if s.model == 0), points={}, _shares={}, _verdicts={}
        )
        felt: dict[str, list[int]] = defaultdict(list)
        for i, branch in enumerate(network.branches):
            for key in asked_keys(branch):
                felt[key].append(i)
        told = [
            (i, b.key) for i, b in enumerate(network.branches) if b.what in ("load", "sense") and b.key in self.asked
        ]
        as_drawn = {key: states.on(i) for i, key in told}
        return Bench(network, apart, dict(felt), told, as_drawn)

    def _ends(self, trial: Trial, bench: Bench) -> list[tuple[Stage, int]] | None:
        """The stages that a network's conditions end in under a failure; None where it feels nothing of it."""
        states = bench.states
        masks = {
            i: self._mask(bench.network.branches[i], states.space, trial)
            for key in trial.changed
            for i in bench.felt.get(key, ())
        }
        gone: set[int] = set()
        for network, i in self.homes.get(trial.part.key, ()):
            if network is bench.network:
                if trial.part.what != "contact":
                    gone.add(i)
                elif states.frame.parts[i].guard is None:
                    raise Uncertain
                else:
                    masks[i] = states.space.everything if trial.made else 0
        drawn = states.frame.masks
        if not gone and all(drawn[i] == mask for i, mask in masks.items()):
            return None
        return states.frame.diagram(frozenset(gone)).ends({**drawn, **masks}, states.space.everything)

    def _mask(self, branch: Branch, space: Space, trial: Trial) -> int:
        """Where a contact is made, some relays moving otherwise than drawn."""
        assert branch.guard is not None
        return self._mask_of(branch.guard, branch, space, trial)

    def _mask_of(self, guard: Guard, branch: Branch, space: Space, trial: Trial) -> int:
        if isinstance(guard, Constant):
            return space.everything if guard.on else 0
        if isinstance(guard, Not):
            return space.everything & ~self._mask_of(guard.inner, branch, space, trial)
        if isinstance(guard, All | AnyOf):
            masks = (self._mask_of(part, branch, space, trial) for part in guard.parts)
            return reduce(and_ if isinstance(guard, All) else or_, masks)
        if guard.what == "signal":
            return space.on(self.devices[branch.device].signals[guard.name].key)
        return self._truth(atom_key(branch, guard), space, trial)

    def _truth(self, key: str, space: Space, trial: Trial) -> int:
        truth = trial.found.get(key)
        if truth is None:
            homes = self.homes.get(key)
            if not homes:
                return 0
            bench = self._bench(homes[0][0].number)
            if bench is None:
                raise Uncertain
            truth = bench.as_drawn[key]
        if truth.maybe or not set(truth.space.signals) <= set(space.signals):
            raise Uncertain
        return truth.over(space).yes
