"""The engine: works out networks, as drawn or under a variation, and remembers every core it has solved.

Contacts follow signals and coils, coils follow volts, volts follow contacts. Networks are taken in the order of
their dependence; all networks of one rank are solved in one call, each distinct core with distinct values once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from plancheck.circuit.burden import Burdens
from plancheck.circuit.conditions import Space, Truth
from plancheck.circuit.contacts import ContactFailures
from plancheck.circuit.frame import Core
from plancheck.circuit.framing import Framing
from plancheck.circuit.history import MANY_COILS, History
from plancheck.circuit.memory import Memory
from plancheck.circuit.network import Network, atom_key
from plancheck.circuit.opening import opened
from plancheck.circuit.overlay import Overlay, Overlays
from plancheck.circuit.parts import JOINTS, TooManyPatterns
from plancheck.circuit.states import NetworkStates, PointSet
from plancheck.circuit.values import STUDIES, Incomplete, Study, branch_values
from plancheck.circuit.variation import AS_DRAWN, WELDED, Failure, Variation, hang_on
from plancheck.plan.graph import Branch, ConnectionGraph
from plancheck.plan.guard import atoms

Task = tuple[Network, Variation]
Groups = list[tuple[int, int]]

AT_ONCE = 2_000
"""How many failures are worked out in one go: enough to solve like with like, and not to fill the memory."""


class Engine:
    """Every network of a plan, worked out when asked for and kept; `whole` supplies are in one piece.

    Where a `memory` is handed in, what is solved for failures is kept there too.
    """

    def __init__(
        self, graph: ConnectionGraph, networks: list[Network], whole: Collection[str] = (), memory: Memory | None = None
    ) -> None:
        self.devices, self.networks = graph.plan.devices, networks
        self._lasting = memory is not None
        memory = memory or Memory()
        self.frames = memory.frames
        self.points_solved = 0
        self.homes: dict[str, list[tuple[Network, int]]] = defaultdict(list)
        """By branch key, the networks that it is in and its number there: one, but for sources and shared metal."""
        for network in networks:
            for i, branch in enumerate(network.branches):
                self.homes[branch.key].append((network, i))
        self._home = {key: homes[0] for key, homes in self.homes.items()}
        self._solved = memory.solved
        self._passing: dict[object, PointSet] | None = None
        """Cores solved while many failures are worked out, not to be kept."""
        self.overlays = Overlays(graph, networks, self.homes, whole)
        self._states: dict[tuple[int, Variation], NetworkStates | str] = {}
        self._touched: dict[tuple[int, Variation], bool] = {}
        self._values: dict[str, dict[str, tuple[float, float, float]]] = {}
        self._truths: dict[tuple[str, Variation], Truth | str] = {}
        self.signals = frozenset(s.key for device in self.devices.values() for s in device.signals.values())
        self.branches = graph.by_key
        self.burdens = Burdens(self)
        self._found_out: dict[Variation, Variation] = {}
        """Variations by failure, and the same with the sags that follow from it."""

    # --- asking ----------------------------------------------------------------------------------------------

    def overlay(self, variation: Variation) -> Overlay | None:
        """What a failure puts in the place of networks, None where nothing has failed."""
        return self.overlays.of(variation.failure) if variation.failure else None

    def home(self, key: str, variation: Variation = AS_DRAWN) -> tuple[Network, int] | None:
        """The network of a branch that can carry current, and its number there; the first, if it is in several."""
        overlay = self.overlay(variation)
        if overlay is not None and key in overlay.home:
            return overlay.home[key]
        return self._home.get(key)

    def network(self, network: Network, variation: Variation) -> Network:
        """What stands in the place of a network under a variation."""
        overlay = self.overlay(variation)
        return overlay.replaced.get(network.number, network) if overlay else network

    def solve_as_drawn(self) -> None:
        """Work out every network as drawn, rank by rank."""
        self._solve_by_rank([(n, AS_DRAWN) for n in self.networks])

    def states(self, network: Network, variation: Variation = AS_DRAWN) -> NetworkStates | str:
        """A network worked out, or the reason why it could not be."""
        variation = self._as_felt(network, variation)
        key = network.number, variation
        if key not in self._states:
            self._solve([(network, variation)])
        return self._states[key]

    def found_out(self, variation: Variation) -> Variation:
        """A variation with what its failure does to supplies."""
        if variation.failure is None or variation.sags is not None:
            return variation
        found = self._found_out.get(variation)
        if found is None:
            found = self._found_out[variation] = variation.sagging(self.burdens.sags(variation))
        return found

    def _as_felt(self, network: Network, variation: Variation) -> Variation:
        """As much of a variation as a network feels: failures that pull down its supply alike are one to it."""
        if variation is AS_DRAWN:
            return variation
        variation = self.found_out(variation)
        by_sag_alone = variation.failure is not None and variation.sags
        if by_sag_alone and not self._is_touched(network, variation.sagging(())):
            variation = replace(variation, failure=None)
        return variation if self._is_touched(network, variation) else AS_DRAWN

    def truth(self, key: str, variation: Variation) -> Truth | str:
        """Whether a load is energised or a sense made, by branch key; a part on no loop is neither."""
        if variation.is_dead(key.partition(".")[0]):
            return Truth.constant(False)
        if (remembered := self._truths.get((key, variation))) is not None:
            return remembered
        home = self.home(key, variation)
        if home is None:
            return Truth.constant(False)
        felt = self._as_felt(home[0], variation)
        found = self._truths.get((key, felt))
        if found is None:
            states = self.states(home[0], felt)
            found = states if isinstance(states, str) else states.on(home[1])
        past = self.fed_past(home[0], variation)
        other = found if past is None else self.truth(key, past)
        return found if isinstance(found, str) else other if isinstance(other, str) else found.between(other)

    def fed_past(self, network: Network, variation: Variation) -> Variation | None:
        """Where a short elsewhere may feed a network past a contact: the plan with that contact made for good.

        The network has all of the contact's volts then, or some, or none.
        """
        contacts = self.overlays.beside(variation.failure).get(network.number) if variation.failure else None
        if contacts is None:
            return None
        welded = Failure(WELDED, "fed past", tuple(sorted(contacts)), welded=contacts)
        return replace(variation, failure=welded, sags=self.found_out(variation).sags)

    def unrest(self, key: str, variation: Variation) -> Truth:
        """Where a load or sense may come and go without end, its relays or those that it follows never resting."""
        home = self.home(key, variation)
        states = self.states(home[0], variation) if home else None
        if states is None or isinstance(states, str):
            return Truth.constant(False)
        return Truth(states.space, mask := states.chatter | states.unrest, states.space.everything & ~mask)

    def told_apart(self, states: NetworkStates, index: int) -> list[tuple[int, int]]:
        """The groups of a network that tell what branch `index` carries: contacts are told apart for their own."""
        if not states.merged or states.frame.parts[index].what not in JOINTS:
            return states.groups
        return self._worked([(states, states.frame.apart)])[0]

    def pattern_at(self, states: NetworkStates, index: int) -> int | None:
        """The pattern of a network in condition `index` of its space; None where it has none."""
        if states.merged:
            return self._worked([(states, [(1 << index, states.frame.pattern_at(index))])])[0][0][1]
        return next((bits for mask, bits in states.groups if mask >> index & 1), None)

    # --- failures, many at a time ----------------------------------------------------------------------------

    def solve_failures(self, variations: Sequence[Variation], kept: Iterable[str]) -> None:
        """Work out variations by failure, many at a time; keep only the truths of the loads and senses of `kept`."""
        kept = list(kept)
        self._passing = None if self._lasting else {}
        contacts = ContactFailures(self.overlays, self.devices, self.states, kept)
        left: list[Variation] = []
        for start in range(0, len(variations), AT_ONCE):
            some = variations[start : start + AT_ONCE]
            found = contacts.work_out(filter(self.burdens.are_none, some), self._solve_cores)
            for variation, truths in found.items():
                self._found_out[variation] = variation.sagging(())
                self._truths.update({(key, variation): truth for key, truth in truths.items() if key in contacts.kept})
            left += [v for v in some if v not in found]
        for start in range(0, len(left), AT_ONCE):
            self._work_out_anew(left[start : start + AT_ONCE], kept)
            self._forget_failures()
            self._passing = None if self._lasting else {}
        self._passing = None

    def _work_out_anew(self, variations: Sequence[Variation], kept: Iterable[str]) -> None:
        """Put other networks in the place of those that failures touch, and work them out."""
        by_network: dict[int, list[str]] = defaultdict(list)
        for key in kept:
            if key in self._home:
                by_network[self._home[key][0].number].append(key)
        touched = {v: self.overlays.feeling(v.failure) for v in variations if v.failure is not None}
        self._solve_by_rank((self.network(self.networks[i], v), v.sagging(())) for v in variations for i in touched[v])
        again = self._sagging_tasks([v for v in variations if self.found_out(v).sags], touched)
        self._solve_by_rank(again.values())
        asked = {(key, v) for v in variations for i in touched[v] for key in by_network.get(i, ())}
        for number, variation in again:
            if variation.failure is None:
                asked.update((key, variation) for key in by_network.get(number, ()))
        self._truths.update({(key, variation): self.truth(key, variation) for key, variation in asked})

    def _sagging_tasks(
        self, variations: Sequence[Variation], touched: Mapping[Variation, set[int]]
    ) -> dict[tuple[int, Variation], Task]:
        """What must be worked out anew where supplies sag: for each failure what it touches, the rest once for all."""
        networks = [(self.network(self.networks[i], v), v) for v in variations for i in touched[v]]
        for sags in dict.fromkeys(self.found_out(v).sags or () for v in variations):
            alone = Variation(sags=sags)
            networks += [(self.networks[i], alone) for i in self.overlays.downstream(self.burdens.hanging(sags))]
        felt = ((network, self._as_felt(network, v)) for network, v in networks)
        return {(network.number, v): (network, v) for network, v in felt if v is not AS_DRAWN}

    def _forget_failures(self) -> None:
        """Drop what was worked out under failures: of a large plan it would fill the memory."""
        self._states = {k: v for k, v in self._states.items() if k[1].failure is None and not k[1].sags}
        self._touched = {k: v for k, v in self._touched.items() if k[1].failure is None and not k[1].sags}
        self.overlays.forget()

    # --- what a variation touches ----------------------------------------------------------------------------

    def _is_touched(self, network: Network, variation: Variation) -> bool:
        if network.replaces and variation.failure is not None:
            return True
        if variation.sags and hang_on(network.poles, variation.sags):
            return True
        if self.fed_past(network, variation) is not None:
            return True
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
            if variation.is_dead(branch.device):
                return True
            key = atom_key(branch, atom)
            home = self.home(key, variation)
            if home is None:
                if key in self._home:
                    return True
            elif home[0] is not network and self._is_touched(home[0], variation):
                return True
        return False

    # --- working out -----------------------------------------------------------------------------------------

    def _solve_by_rank(self, tasks: Iterable[Task]) -> None:
        by_rank: dict[int, list[Task]] = {}
        for task in tasks:
            by_rank.setdefault(task[0].rank, []).append(task)
        for rank in sorted(by_rank):
            self._solve([t for t in by_rank[rank] if (t[0].number, t[1]) not in self._states])

    def _solve(self, tasks: Iterable[Task]) -> None:
        still: list[NetworkStates] = []
        moving: list[History] = []
        variations: dict[NetworkStates, Variation] = {}
        for network, variation in tasks:
            try:
                states = self._framed(network, variation)
                coils = tuple(network.number_of(key) for key in network.feedback)
                if coils:
                    others = states.frame.outside_masks[: max(0, MANY_COILS - len(coils))]
                    moving.append(History(states, coils, others))
                else:
                    states.groups, states.merged = states.frame.still, states.frame.merges
                    still.append(states)
            except (Incomplete, TooManyPatterns) as reason:
                self._states[network.number, variation] = str(reason)
                continue
            variations[states] = variation
        for states, groups in zip(still, self._worked([(s, s.groups) for s in still]), strict=True):
            states.groups = groups
        while moving:
            moving = self._next_steps(moving, variations)
        for states, variation in variations.items():
            # Not before it is solved: another of the tasks may have asked, and has then had it solved for itself.
            self._states.setdefault((states.network.number, variation), states)

    def _worked(self, running: list[tuple[NetworkStates, Groups]]) -> list[Groups]:
        """Groups of networks solved; after a short, without the protectors that open on it."""
        found = [groups for _, groups in running]
        moved = list(range(len(running)))
        while moved:
            self._solve_cores([(running[i][0], found[i]) for i in moved])
            left = {i: opened(running[i][0], found[i]) for i in moved if running[i][0].shorted}
            moved = [i for i, groups in left.items() if groups != found[i]]
            found = [left.get(i, groups) for i, groups in enumerate(found)]
        return found

    def _next_steps(self, histories: list[History], variations: Mapping[NetworkStates, Variation]) -> list[History]:
        """Solve the coil states that histories ask for next, all in one go; those that asked for any."""
        asking, groups = list[tuple[History, list[int]]](), list[tuple[NetworkStates, Groups]]()
        for history in histories:
            try:
                wanted = sorted(history.unknown())
                groups += [(history.states, history.groups_of(state)) for state in wanted]
            except TooManyPatterns as reason:
                states = history.states
                self._states[states.network.number, variations[states]] = str(reason)
                continue
            asking.append((history, wanted))
        solved = iter(self._worked(groups))
        for history, wanted in asking:
            for state in wanted:
                history.groups[state] = next(solved)
                history.learn(state)
        return [history for history, wanted in asking if wanted]

    def _framed(self, network: Network, variation: Variation) -> NetworkStates:
        sags = tuple(sag for sag in variation.sags or () if hang_on(network.poles, (sag,)))
        framing = Framing(self.frames, self.devices, self.truth, self.unrest, network, variation, sags)
        frame, signals = framing.frame()
        banded = any(s.number("least") is not None or s.number("most") is not None for s in network.sources)
        levels = ("volts", "least", "most") if banded else ("volts",)
        values = {level: tuple(self._value(b, level) for b in network.branches) for level in levels}
        studies = tuple(s for s in STUDIES if banded or s.level == "volts" or s.model == 2)
        if variation.failure is not None or sags:
            studies = tuple(s for s in studies if s.model == 0)
        space, restless = Space(signals), tuple(framing.restless)
        return NetworkStates(network, frame, space, values, studies, variation.shorts, sags=sags, restless=restless)

    def _value(self, branch: Branch, level: str) -> tuple[float, float, float]:
        known = self._values.setdefault(level, {})
        found = known.get(branch.key)
        if found is None:
            found = known[branch.key] = branch_values(branch, level)
        return found

    def solve_patterns(self, states: NetworkStates, bits: int) -> None:
        """Solve one more pattern of a network, whether conditions make it or not."""
        self._solve_cores([(states, [(0, bits)])])

    def _solve_cores(self, running: list[tuple[NetworkStates, list[tuple[int, int]]]]) -> None:
        """Solve the patterns of networks, each distinct core with distinct values once."""
        jobs: dict[object, tuple[Core, NetworkStates]] = {}
        wanted: list[tuple[NetworkStates, int, object]] = []
        for states, groups in running:
            for _, bits in groups:
                if bits in states.points:
                    continue
                core = states.frame.core(bits)
                if not core.branches:
                    continue
                key: object = (
                    core.wiring,
                    core.grounds,
                    tuple([tuple([values[i] for i in core.solved]) for values in states.values.values()]),
                )
                wanted.append((states, bits, key))
                known = self._known(key)
                if known is None or any(study not in known.volts for study in states.studies):
                    jobs[key] = core, states
        self._run(jobs)
        for states, bits, key in wanted:
            points = self._known(key)
            assert points is not None
            states.points[bits] = points

    def _known(self, key: object) -> PointSet | None:
        found = self._solved.get(key)
        return self._passing.get(key) if found is None and self._passing is not None else found

    def _run(self, jobs: dict[object, tuple[Core, NetworkStates]]) -> None:
        """Solve the jobs, those of one wiring in one call."""
        from plancheck.circuit.solve import operating_points

        alike: dict[object, list[tuple[object, Core, NetworkStates]]] = {}
        for key, (core, states) in jobs.items():
            alike.setdefault((core.wiring, core.grounds), []).append((key, core, states))
        for group in alike.values():
            rows: list[list[tuple[float, float, float]]] = []
            owners: list[tuple[object, Study]] = []
            for key, core, states in group:
                for study in states.studies:
                    level = states.values.get(study.level) or states.values["volts"]
                    rows.append([level[i] for i in core.solved])
                    owners.append((key, study))
            points = operating_points(group[0][1], rows, [int(study.model) for _, study in owners])
            self.points_solved += len(rows)
            volts, amps, settled = points.volts.tolist(), points.amps.tolist(), points.settled.tolist()
            for row, (key, study) in enumerate(owners):
                found = self._known(key)
                if found is None:
                    found = PointSet({}, {}, True)
                    (self._solved if self._passing is None else self._passing)[key] = found
                found.volts[study], found.amps[study] = volts[row], amps[row]
                found.settled = found.settled and settled[row]
