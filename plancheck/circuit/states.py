"""States: which loads are energised in which condition, network after network.

Contacts follow signals and coils, coils follow volts, volts follow contacts. Networks are taken in the order of
their dependence; one whose contacts follow its own coils is iterated from the de-energised state to a fixed
point. All networks of one rank are solved in one call, each distinct core with distinct values once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from plancheck.circuit.conditions import Space, Truth
from plancheck.circuit.frame import Core, Frame, Standing
from plancheck.circuit.framing import Framing
from plancheck.circuit.network import Network, atom_key
from plancheck.circuit.values import (
    LEAST,
    MOST,
    STUDIES,
    Incomplete,
    Rating,
    Study,
    branch_values,
    rating,
)
from plancheck.circuit.variation import AS_DRAWN, Variation
from plancheck.plan.graph import Branch
from plancheck.plan.guard import atoms
from plancheck.plan.model import Device

MANY_PATTERNS = 2_000
"""A network whose contacts can stand in more patterns than this is not assessed."""


@dataclass(slots=True, eq=False)
class PointSet:
    """The operating points of one core with one set of values, by study: volts by core node, amps by branch."""

    volts: dict[Study, list[float]]
    amps: dict[Study, list[float]]
    settled: bool


Values = tuple[tuple[tuple[float, float, float], ...], ...]
"""For each level of the band, the values of each branch of a network; one level where there is no band."""


@dataclass(slots=True, eq=False)
class NetworkStates:
    """A network worked out under a variation. `groups` are (mask, pattern bits), together all conditions."""

    network: Network
    frame: Frame
    space: Space
    values: dict[str, tuple[tuple[float, float, float], ...]]
    groups: list[tuple[int, int]] = field(default_factory=list)
    chatter: int = 0
    """Conditions in which the relays of the network never come to rest."""
    points: dict[int, PointSet] = field(default_factory=dict)
    """By pattern bits; a pattern without live core has none."""
    settled: bool = False
    masks: list[int] = field(default_factory=list)
    rounds: int = 0

    def on(self, index: int) -> Truth:
        """Whether branch `index` of the network, a load or sense, is energised or made."""
        part = self.network.branches[index]
        yes = no = 0
        for mask, bits in self.groups:
            verdict = self._made(index, bits) if part.what == "sense" else self._energised(index, bits)
            if verdict is True:
                yes |= mask
            elif verdict is False:
                no |= mask
        return Truth(self.space, yes & ~self.chatter, no & ~self.chatter)

    def _made(self, index: int, bits: int) -> bool:
        resistors = frozenset(i for i, p in enumerate(self.frame.parts) if p.what == "resistive")
        metal = self.frame.metal(bits, resistors)
        part = self.frame.parts[index]
        return metal[part.a] == metal[part.b]

    def _energised(self, index: int, bits: int) -> bool | None:
        points = self.points.get(bits)
        if points is None:
            return False
        if not points.settled:
            return None
        rated = self._rating(index)
        least, most = (self.across(index, bits, study) for study in (LEAST, MOST))
        if not rated.polarised:
            least, most = abs(least), abs(most)
        if min(least, most) >= rated.pull_in:
            return True
        return False if max(least, most) <= rated.drop_out else None

    def _rating(self, index: int) -> Rating:
        return rating(self.network.branches[index])

    def across(self, index: int, bits: int, study: Study) -> float:
        """Volts from a to b of a branch in a pattern; 0 where its ends have no common reference."""
        points, core = self.points.get(bits), self.frame.core(bits)
        part = self.frame.parts[index]
        if points is not None and part.a in core.node_at and part.b in core.node_at:
            volts = points.volts[study]
            return volts[core.node_at[part.a]] - volts[core.node_at[part.b]]
        standing = self.frame.stand(bits)
        a, b = standing[part.a], standing[part.b]
        if a == b or a.island != b.island:
            return 0.0
        return self._potential(a, points, study) - self._potential(b, points, study)

    def _potential(self, node: Standing, points: PointSet | None, study: Study) -> float:
        volts = points.volts[study][node.anchor] if points is not None and node.anchor >= 0 else 0.0
        values = self.values.get(study.level) or self.values["volts"]
        return volts + sum(sign * values[i][0] for i, sign in node.sources)

    def through(self, index: int, bits: int, study: Study) -> float:
        """Amperes from a to b of a branch in a pattern; 0 where nothing flows."""
        points, core = self.points.get(bits), self.frame.core(bits)
        if points is None or index not in core.branch_at:
            return 0.0
        return points.amps[study][core.branch_at[index]]

    def conducting(self, bits: int) -> frozenset[int]:
        """The one-ways that carry current in a pattern, by branch number."""
        core = self.frame.core(bits)
        return frozenset(
            i for i in core.branches if self.frame.parts[i].what == "one-way" and self.through(i, bits, MOST) > 1e-9
        )


class Engine:
    """Works out networks and remembers every core it has solved."""

    def __init__(self, devices: dict[str, Device], networks: list[Network]) -> None:
        self.devices, self.networks = devices, networks
        self.frames: dict[object, Frame] = {}
        self._solved: dict[object, PointSet] = {}
        self._home = {b.key: (n, i) for n in networks for i, b in enumerate(n.branches)}
        self._states: dict[tuple[int, Variation], NetworkStates | str] = {}
        self._touched: dict[tuple[int, Variation], bool] = {}
        self.points_solved = 0

    def home(self, branch: Branch) -> tuple[Network, int] | None:
        """The network of a branch that can carry current, and its number there; sources are in several."""
        return self._home.get(branch.key)

    def solve_as_drawn(self) -> None:
        """Work out every network as drawn, rank by rank."""
        by_rank: dict[int, list[Network]] = {}
        for network in self.networks:
            by_rank.setdefault(network.rank, []).append(network)
        for rank in sorted(by_rank):
            self._solve(by_rank[rank], AS_DRAWN)

    def states(self, network: Network, variation: Variation = AS_DRAWN) -> NetworkStates | str:
        """A network worked out, or the reason why it could not be."""
        if variation != AS_DRAWN and not self._is_touched(network, variation):
            variation = AS_DRAWN
        key = network.number, variation
        if key not in self._states:
            self._solve([network], variation)
        return self._states[key]

    def truth(self, key: str, variation: Variation) -> Truth | str:
        """Whether a load is energised or a sense made, by branch key; a part on no loop is neither."""
        home = self._home.get(key)
        if home is None or key.partition(".")[0] in variation.dead:
            return Truth.constant(False)
        states = self.states(home[0], variation)
        return states if isinstance(states, str) else states.on(home[1])

    def _is_touched(self, network: Network, variation: Variation) -> bool:
        key = network.number, variation
        if key not in self._touched:
            self._touched[key] = False  # a circle of dependence adds nothing of its own
            self._touched[key] = any(self._branch_touched(b, network, variation) for b in network.branches)
        return self._touched[key]

    def _branch_touched(self, branch: Branch, network: Network, variation: Variation) -> bool:
        if branch.guard is None:
            return False
        if variation.distrusted and branch.what == "contact" and branch.style == "electronic":
            return True
        for atom in atoms(branch.guard):
            if atom.what == "signal":
                continue
            if branch.device in variation.dead:
                return True
            home = self._home.get(atom_key(branch, atom))
            if home and home[0] is not network and self._is_touched(home[0], variation):
                return True
        return False

    # --- one rank of networks --------------------------------------------------------------------------------

    def _solve(self, networks: Iterable[Network], variation: Variation) -> None:
        running = []
        for network in networks:
            try:
                states = self._framed(network, variation)
            except Incomplete as reason:
                self._states[network.number, variation] = str(reason)
                continue
            self._states[network.number, variation] = states
            running.append(states)
        while running:
            for states in running:
                states.groups = states.frame.partition(states.masks) if states.masks else states.frame.still
            self._solve_cores(running)
            running = [s for s in running if not self._advance(s)]

    def _framed(self, network: Network, variation: Variation) -> NetworkStates:
        forms = {b.data.get("form") for b in network.sources} & {"ac", "dc"}
        if len(forms) == 2:
            names = ", ".join(sorted({b.device for b in network.sources}))
            raise Incomplete(f"AC and DC meet in one network ({names})")
        frame, signals = Framing(self.frames, self.devices, self.truth, network, variation).frame()
        if len(frame.still if not frame.feedback else ()) > MANY_PATTERNS:
            raise Incomplete(f"contacts can stand in more than {MANY_PATTERNS} patterns")
        banded = any(s.number("least") is not None or s.number("most") is not None for s in network.sources)
        levels = ("volts", "least", "most") if banded else ("volts",)
        values = {level: tuple(branch_values(b, level) for b in network.branches) for level in levels}
        return NetworkStates(network, frame, Space(signals), values, masks=[0] * frame.feedback)

    def _solve_cores(self, running: list[NetworkStates]) -> None:
        jobs: dict[object, tuple[Core, NetworkStates]] = {}
        wanted: list[tuple[NetworkStates, int, object]] = []
        for states in running:
            for _, bits in states.groups:
                core = states.frame.core(bits)
                if bits in states.points or not core.branches:
                    continue
                key: object = (
                    core.wiring,
                    core.grounds,
                    tuple(tuple(values[i] for i in core.branches) for values in states.values.values()),
                )
                wanted.append((states, bits, key))
                if key not in self._solved:
                    jobs.setdefault(key, (core, states))
        self._run(jobs)
        for states, bits, key in wanted:
            states.points[bits] = self._solved[key]

    def _run(self, jobs: dict[object, tuple[Core, NetworkStates]]) -> None:
        """Solve the jobs, those of one wiring in one call."""
        from plancheck.circuit.solve import operating_points

        alike: dict[object, list[tuple[object, Core, NetworkStates]]] = {}
        for key, (core, states) in jobs.items():
            alike.setdefault((core.wiring, core.grounds), []).append((key, core, states))
        for group in alike.values():
            rows, models, owners = [], [], []
            for key, core, states in group:
                for study in _distinct_studies(states):
                    level = states.values.get(study.level) or states.values["volts"]
                    rows.append([level[i] for i in core.branches])
                    models.append(int(study.model))
                    owners.append((key, study))
            points = operating_points(group[0][1], rows, models)
            self.points_solved += len(rows)
            volts, amps, settled = points.volts.tolist(), points.amps.tolist(), points.settled.tolist()
            for row, (key, study) in enumerate(owners):
                found = self._solved.setdefault(key, PointSet({}, {}, True))
                found.volts[study], found.amps[study] = volts[row], amps[row]
                found.settled = found.settled and settled[row]
            for key, _, states in group:
                _fill_studies(self._solved[key], states)

    def _advance(self, states: NetworkStates) -> bool:
        """Let coils follow volts once; True when the network has come to rest, or never will."""
        if not states.masks:
            return True
        new, moved = [], 0
        for k, key in enumerate(states.network.feedback):
            truth = states.on(self._home[key][1])
            # Between drop-out and pull-in a relay stays as it is.
            mask = truth.yes | (truth.maybe & states.masks[k])
            moved |= mask ^ states.masks[k]
            new.append(mask)
        states.rounds += 1
        if not moved:
            return True
        if states.rounds > 2 ** min(len(new), 6) + 2:
            states.chatter = moved
            return True
        states.masks = new
        return False


def _distinct_studies(states: NetworkStates) -> list[Study]:
    return [s for s in STUDIES if len(states.values) > 1 or s.level == "volts" or s.model == 2]


def _fill_studies(points: PointSet, states: NetworkStates) -> None:
    """Without a band the least and the most volts are the rated ones."""
    for study in STUDIES:
        if study not in points.volts:
            same = Study("volts", study.model)
            points.volts[study], points.amps[study] = points.volts[same], points.amps[same]
