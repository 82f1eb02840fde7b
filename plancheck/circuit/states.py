"""States: a network worked out, with its operating points and what they say of loads and inputs."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from plancheck.circuit.conditions import Space, Truth, union
from plancheck.circuit.frame import Core, Frame, Standing
from plancheck.circuit.network import Network
from plancheck.circuit.values import LEAST, LEAST_AMPS, MOST, RATED, RATED_AMPS, UNLOADED, Study, rating
from plancheck.circuit.variation import Sag
from plancheck.plan.graph import Branch

if TYPE_CHECKING:
    from plancheck.circuit.history import History

_INSTEAD = {LEAST: RATED, MOST: RATED, LEAST_AMPS: RATED_AMPS, UNLOADED: MOST, RATED_AMPS: RATED}
"""The study that stands in for one that was not solved: the rated level where a source has no band."""


@dataclass(slots=True, eq=False)
class PointSet:
    """The operating points of one core with one set of values, by study: volts by core node, amps by branch."""

    volts: dict[Study, list[float]]
    amps: dict[Study, list[float]]
    settled: bool

    def study(self, wanted: Study) -> Study:
        """The study that was solved for what is wanted."""
        while wanted not in self.volts:
            wanted = _INSTEAD[wanted]
        return wanted


@dataclass(slots=True, eq=False)
class NetworkStates:
    """A network worked out under a variation. `groups` are (mask, pattern bits), together all conditions."""

    network: Network
    frame: Frame
    space: Space
    values: dict[str, tuple[tuple[float, float, float], ...]]
    """By level of the sources' band, what the solver takes for each branch; one level where there is no band."""
    studies: tuple[Study, ...]
    shorted: bool
    """Whether a failure has joined what was not: protectors may open on that."""
    groups: list[tuple[int, int]] = field(default_factory=list)
    merged: bool = False
    """Whether a group's bits are one pattern of several that do the same to loads and inputs, but not to contacts."""
    chatter: int = 0
    """Conditions in which the relays of the network never come to rest."""
    points: dict[int, PointSet] = field(default_factory=dict)
    """By pattern bits; a pattern without live core has none."""
    history: History | None = None
    """Kept where what happened before matters."""
    sags: tuple[Sag, ...] = ()
    """Poles in the network that do not hold their volts, more being asked of them elsewhere."""
    restless: tuple[tuple[str, Truth], ...] = ()
    """Signals that stand for a coil elsewhere, with the conditions in which it comes and goes without end."""
    _shares: dict[tuple[int, Study], dict[int, float]] = field(default_factory=dict)
    """By pattern bits and study, the amperes through what loses no volts."""
    _verdicts: dict[tuple[int, int], bool | None] = field(default_factory=dict)
    """By branch number and pattern bits, whether a load is energised or a sense made."""

    def on(self, index: int) -> Truth:
        """Whether branch `index` of the network, a load or sense, is energised or made."""
        yes = no = 0
        for mask, bits in self.groups:
            verdict = self.verdict(index, bits)
            if verdict is True:
                yes |= mask
            elif verdict is False:
                no |= mask
        part = self.network.branches[index]
        if self.sags and part.what == "load":
            yes, no = self._sagging(part, yes, no)
        if self.restless:
            yes, no = self._out_of_step(yes), self._out_of_step(no)
        return Truth(self.space, yes & ~self.chatter, no & ~self.chatter)

    def _out_of_step(self, mask: int) -> int:
        """Those conditions of a mask that are in it whichever way a coil stands that comes and goes elsewhere.

        What follows such a coil is now with it and now behind it: it may stand either way, whatever the coil does.
        """
        for name, unrest in self.restless:
            there = unrest.over(self.space).yes
            if there:
                run, on = 1 << self.space.signals.index(name), self.space.on(name)
                both = (mask & on) & (mask & ~on) << run
                mask = mask & ~there | (both | both >> run) & there
        return mask

    @property
    def unrest(self) -> int:
        """Mask of the conditions in which coils elsewhere that it depends on come and go without end."""
        return union(unrest.over(self.space).yes for _, unrest in self.restless)

    def _sagging(self, load: Branch, yes: int, no: int) -> tuple[int, int]:
        """What is left of a load's truth while poles sag: with fewer volts nothing pulls in that did not before.

        Between the poles of two supplies a load may get more as one of them sinks; what they feed each other there
        is in the operating points.
        """
        several = len({(s.a, s.b) for s in self.network.sources}) > 1
        for sag in self.sags:
            fed = 0 if several else sag.space.carry(sag.fed, self.space)
            yes, no = yes & ~fed, no & ~fed
            for mask, volts in sag.levels:
                there = sag.space.carry(mask, self.space)
                off = not several and volts <= rating(load).drop_out
                yes, no = yes & ~there, no & ~there if several else no | there if off else no
        return yes, no

    @property
    def sagging(self) -> int:
        """Mask of the conditions in which the volts of the network are not what its operating points say."""
        masks = ((sag.space, mask) for sag in self.sags for mask in (sag.fed, *(mask for mask, _ in sag.levels)))
        return union(space.carry(mask, self.space) for space, mask in masks)

    def verdict(self, index: int, bits: int) -> bool | None:
        """Whether a load is energised or a sense made in a pattern; None where it is uncertain."""
        key = index, bits
        if key not in self._verdicts:
            is_sense = self.network.branches[index].what == "sense"
            self._verdicts[key] = self._made(index, bits) if is_sense else self._energised(index, bits)
        return self._verdicts[key]

    def _made(self, index: int, bits: int) -> bool:
        resistors = frozenset(i for i, p in enumerate(self.frame.parts) if p.what == "resistive")
        metal = self.frame.metal(bits, resistors)
        part = self.frame.parts[index]
        return metal[part.a] == metal[part.b]

    def _energised(self, index: int, bits: int) -> bool | None:
        points = self.points.get(bits)
        # What lies on no loop with a source carries nothing, and a load that carries nothing has no volts.
        if points is None or index not in self.frame.core(bits).branch_at:
            return False
        if not points.settled:
            return None
        rated = rating(self.network.branches[index])
        least, most = (self.across(index, bits, study) for study in (LEAST, MOST))
        if not rated.polarised:
            least, most = abs(least), abs(most)
        if min(least, most) >= rated.pull_in:
            return True
        return False if max(least, most) <= rated.drop_out else None

    def across(self, index: int, bits: int, study: Study) -> float:
        """Volts from a to b of a branch in a pattern; 0 where its ends have no common reference."""
        part = self.frame.parts[index]
        return self.between(part.a, part.b, bits, study)

    def between(self, one: int, other: int, bits: int, study: Study) -> float:
        """Volts from a node to another in a pattern; 0 where they have no common reference."""
        points, core = self.points.get(bits), self.frame.core(bits)
        if points is not None and one in core.node_at and other in core.node_at:
            volts = points.volts[points.study(study)]
            return volts[core.node_at[one]] - volts[core.node_at[other]]
        standing = self.frame.stand(bits)
        a, b = standing[one], standing[other]
        if a == b or a.island != b.island:
            return 0.0
        return self._potential(a, points, study) - self._potential(b, points, study)

    def _potential(self, node: Standing, points: PointSet | None, study: Study) -> float:
        known = points is not None and node.anchor >= 0
        volts = points.volts[points.study(study)][node.anchor] if points is not None and known else 0.0
        values = self.values.get(study.level) or self.values["volts"]
        return volts + sum(sign * values[i][0] for i, sign in node.sources)

    def through(self, index: int, bits: int, study: Study) -> float:
        """Amperes from a to b of a branch in a pattern; 0 where nothing flows."""
        points, core = self.points.get(bits), self.frame.core(bits)
        if points is None or index not in core.live:
            return 0.0
        solved = points.study(study)
        if index in core.branch_at:
            return points.amps[solved][core.branch_at[index]]
        key = bits, solved
        if key not in self._shares:
            self._shares[key] = _shares(self.frame, core, points.amps[solved])
        return self._shares[key][index]

    def conducting(self, bits: int) -> frozenset[int]:
        """The one-ways that carry current in a pattern, by branch number."""
        core = self.frame.core(bits)
        return frozenset(
            i for i in core.branches if self.frame.parts[i].what == "one-way" and self.through(i, bits, MOST) > 1e-9
        )


def _shares(frame: Frame, core: Core, amps: list[float]) -> dict[int, float]:
    """Amperes through the joints of a core, by branch number, from those of its other branches."""
    from plancheck.circuit.solve import shared

    into: dict[int, float] = defaultdict(float)
    for i, through in zip(core.solved, amps, strict=True):
        into[frame.parts[i].a] -= through
        into[frame.parts[i].b] += through
    found = shared([(a, b) for _, a, b in core.joints], into)
    return {i: through for (i, _, _), through in zip(core.joints, found, strict=True)}
