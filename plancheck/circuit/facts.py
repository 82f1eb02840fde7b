"""Facts: what rules and reports may ask about a plan that has been worked out.

Every fact is a number or truth over conditions, under a variation of the plan; NotAssessed is raised where it
could not be worked out. Numbers are SI.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property

from plancheck.circuit.conditions import Levels, Space, Truth, joined
from plancheck.circuit.demand import MANY_TOGETHER, greatest_together, sum_of
from plancheck.circuit.failures import Failures
from plancheck.circuit.memory import Memory
from plancheck.circuit.network import Circuit, Network
from plancheck.circuit.parts import TooManyPatterns
from plancheck.circuit.readings import UNKNOWN, demands, drop, feeding, worse_amps
from plancheck.circuit.replay import index_of
from plancheck.circuit.sag import worked_out
from plancheck.circuit.states import NetworkStates
from plancheck.circuit.touch import Touch
from plancheck.circuit.values import (
    LEAST,
    LEAST_AMPS,
    RATED,
    UNLOADED,
    Incomplete,
    rating,
)
from plancheck.circuit.variation import AS_DRAWN, Variation
from plancheck.plan.graph import Branch, ConnectionGraph, build_graph, on_a_loop_with
from plancheck.plan.guard import All, AnyOf, Atom, Constant, Guard, Not, holds
from plancheck.plan.model import Plan, Signal


class NotAssessed(Exception):
    """A fact that could not be worked out; the message says why."""


class Facts:
    """All facts of one plan. Made once for a plan; networks are worked out as drawn at once, variations when asked."""

    def __init__(self, plan: Plan, memory: Memory | None = None) -> None:
        self.plan = plan
        self.graph: ConnectionGraph = build_graph(plan)
        working = worked_out(self.graph, memory)
        self.networks, self.engine = working.networks, working.engine
        self.held_up, self.asked = working.held_up, working.asked
        """Supplies that more is asked of than they give, worked as if they held their volts."""
        self.touch = Touch(self.graph)
        self._ways: dict[str, list[Branch]] = {}
        self.know(())

    # --- what there is ---------------------------------------------------------------------------------------

    def branches(self, what: str | None = None, device: str | None = None) -> list[Branch]:
        """Branches in plan order, of one primitive or one device."""
        found = self.graph.branches if device is None else self.graph.by_device.get(device, [])
        return [b for b in found if what is None or b.what == what]

    def circuits(self) -> list[Circuit]:
        """Branch circuits, a source's one after another."""
        found = []
        for network in self.networks:
            poles: dict[tuple[str, str], Branch] = {}
            for source in network.sources:
                poles.setdefault((source.a, source.b), source)
            if len(network.branches) > len(network.sources):
                found += [Circuit(source, network) for source in poles.values()]
        return found

    def know(self, signals: Iterable[Signal]) -> None:
        """Where this is a part of a plan: signals of the rest of it, that what is said of roles may be said rightly."""
        own = (s for d in self.plan.devices.values() for s in d.signals.values())
        self.signals = {s.key: s for s in (*own, *signals)}

    def role(self, role: str) -> list[str]:
        """Keys of the plan's signals that play a role."""
        return [s.key for s in self.signals.values() if s.role == role]

    def networks_not_assessed(self) -> list[tuple[Network, str]]:
        """Networks that could not be worked out, with the reason."""
        states = ((n, self.engine.states(n)) for n in self.networks)
        return [(n, s) for n, s in states if isinstance(s, str)]

    def conditions_examined(self) -> int:
        """How many conditions the networks were worked out in, together."""
        states = (self.engine.states(n) for n in self.networks)
        return sum(s.space.size for s in states if not isinstance(s, str))

    # --- single failures -------------------------------------------------------------------------------------

    @cached_property
    def failures(self) -> Failures:
        """The single failures of the plan, worked out when first asked for."""
        return Failures(self.graph, self.touch, self.engine)

    # --- volts and amps --------------------------------------------------------------------------------------

    def volts(self, branch: Branch, variation: Variation = AS_DRAWN) -> Levels:
        """Volts from a to b at rated supply volts, coils as resistances."""
        return self.levels(branch, variation, lambda s, i, bits: s.across(i, bits, RATED))

    def amps(self, branch: Branch, variation: Variation = AS_DRAWN) -> Levels:
        """Amperes through a branch, whichever way, by the worse of the two load models.

        Metal that several circuits share carries the sum of theirs.
        """
        if branch.what == "source":
            raise NotAssessed("a source has one current in each of its circuits: ask for its worst")
        homes = self.engine.homes.get(branch.key, [])
        if len(homes) < 2:
            return self.levels(branch, variation, worse_amps)
        networks = [self.engine.network(n, variation) for n, _ in homes]
        demands = [self._demand(n, branch.key, variation) for n in networks]
        if len(joined(d.space for d in demands).signals) > MANY_TOGETHER:
            raise NotAssessed(f"too many circuits share {branch.key} for its current in every condition")
        return sum_of(demands)

    def greatest_amps(self, branch: Branch, given: Mapping[str, bool] | None = None) -> tuple[float, dict[str, bool]]:
        """The most that a branch carries in any condition, summed over the circuits that share it, and in which.

        Signals that several circuits share are tried in every combination; the others may be on or off in each
        circuit as it draws most. Those `given`, by key, stand as they are given. Of a source that cannot hold its
        volts it is what it would give, if it could.
        """
        if not given and branch.key in self.asked:
            return self.asked[branch.key]
        demands = [self._demand(n, branch.key) for n, _ in self.engine.homes.get(branch.key, ())]
        found = greatest_together(demands, given)
        if found is None:
            raise NotAssessed(f"too many signals act on several circuits of {branch.device or branch.key} at once")
        return found

    def least_volts(self, load: Branch, variation: Variation = AS_DRAWN) -> Levels:
        """Volts at a load with the source at the low end of its band, by the worse of the two load models."""
        self._need_runs(load)
        return self.levels(
            load,
            variation,
            lambda s, i, bits: min(abs(s.across(i, bits, study)) for study in (LEAST, LEAST_AMPS)),
        )

    def greatest_volts(self, load: Branch, variation: Variation = AS_DRAWN) -> Levels:
        """Volts at a load with the source at the high end of its band and next to nothing drawn."""
        return self.levels(load, variation, lambda s, i, bits: abs(s.across(i, bits, UNLOADED)))

    def supply_volts(self, load: Branch, variation: Variation = AS_DRAWN) -> Levels:
        """Rated volts of the source that feeds a load by metal; NaN where none does."""
        return self.levels(load, variation, lambda s, i, bits: feeding(s, i, bits)[0], UNKNOWN)

    def drop_volts(self, load: Branch, variation: Variation = AS_DRAWN) -> Levels:
        """Volts lost between source and load, by the worse of the two load models; NaN where it is not fed."""
        self._need_runs(load)
        return self.levels(load, variation, drop, UNKNOWN)

    def foreign_volts(self, sense: Branch, variation: Variation = AS_DRAWN) -> Levels:
        """Volts that others may put on a dry input: measured, or of a source whose pole metal can reach."""
        reached = self.touch.foreign_source(sense)
        if reached is not None:
            return Levels.constant(reached.number("volts") or UNKNOWN)
        return self.levels(sense, variation, lambda s, i, bits: abs(s.across(i, bits, RATED)))

    def _demand(self, network: Network, key: str, variation: Variation = AS_DRAWN) -> Levels:
        states = self._worked_out(network, variation)
        i = next((i for i, b in enumerate(network.branches) if b.key == key), None)
        if i is None:
            return Levels.constant(0.0)
        return demands(states, i, self._groups(states, i))

    def levels(
        self,
        branch: Branch,
        variation: Variation,
        number: Callable[[NetworkStates, int, int], float],
        on_no_loop: float = 0.0,
    ) -> Levels:
        """A number in every condition; `on_no_loop` for a branch that no current can ever pass."""
        home = self.engine.home(branch.key, variation)
        if home is None:
            return Levels.constant(on_no_loop)
        if self.engine.fed_past(home[0], variation) is not None:
            return Levels.constant(UNKNOWN)  # more than as drawn, and less than behind the made contact
        states = self._worked_out(home[0], variation)
        parts, unknown = [], states.chatter | states.sagging
        for mask, bits in self._groups(states, home[1]):
            if mask & ~unknown:
                parts.append((mask & ~unknown, number(states, home[1], bits)))
        if unknown:
            parts.append((unknown, UNKNOWN))
        return Levels(states.space, tuple(parts))

    def _groups(self, states: NetworkStates, index: int) -> list[tuple[int, int]]:
        try:
            return self.engine.told_apart(states, index)
        except TooManyPatterns as reason:
            raise NotAssessed(f"{reason}: too many for the current of each") from None

    def _worked_out(self, network: Network, variation: Variation) -> NetworkStates:
        states = self.engine.states(network, variation)
        if isinstance(states, str):
            raise NotAssessed(states)
        return states

    def _need_runs(self, load: Branch) -> None:
        home = self.engine.home(load.key)
        for branch in home[0].branches if home else ():
            if "missing" in branch.data:
                raise NotAssessed(str(branch.data["missing"]))

    # --- truths ----------------------------------------------------------------------------------------------

    def energised(self, load: Branch, variation: Variation = AS_DRAWN) -> Truth:
        """At or above pull-in; false at or below drop-out; uncertain between."""
        return self._truth(load.key, variation)

    def made(self, branch: Branch, variation: Variation = AS_DRAWN) -> Truth:
        """Whether a contact is made, or metal joins the terminals of a dry input."""
        if branch.what == "sense":
            return self._truth(branch.key, variation)
        if variation.failure is not None and branch.key in variation.failure.welded | variation.failure.removed:
            return Truth.constant(branch.key in variation.failure.welded)
        if variation.distrusted and branch.style == "electronic":
            space = Space((f"{branch.key} made",))
            return Truth(space, space.on(space.signals[0]), space.everything & ~space.on(space.signals[0]))
        return self._guard(branch.guard, branch.device, variation)

    def live(self, source: Branch, variation: Variation = AS_DRAWN) -> Truth:
        """Whether a source has power to give."""
        if variation.failure is not None and source.key in variation.failure.removed:
            return Truth.constant(False)
        return self._guard(source.guard, source.device, variation)

    def signal(self, device: str, name: str) -> Truth:
        """A signal of a device, by its name within the device."""
        space = Space((self.plan.devices[device].signals[name].key,))
        on = space.on(space.signals[0])
        return Truth(space, on, space.everything & ~on)

    def state(self, device: str, name: str, variation: Variation = AS_DRAWN) -> Truth:
        """A named state of a device, such as `secured`."""
        for state in self.plan.devices[device].states:
            if state.name == name:
                return self._guard(state.guard, device, variation)
        raise NotAssessed(f"{device} has no state “{name}”")

    def state_without_power(self, device: str, name: str) -> bool:
        """A named state with nothing energised, no input made and every signal at rest."""
        found = self.plan.devices[device]
        for state in found.states:
            if state.name == name:
                return holds(state.guard, lambda a: a.what == "signal" and found.signals[a.name].rests_on)
        raise NotAssessed(f"{device} has no state “{name}”")

    def fed(self, load: Branch, variation: Variation = AS_DRAWN) -> Truth:
        """Whether metal joins both ends of a load to the poles of one live source."""
        volts = self.supply_volts(load, variation)
        return volts.mapped(lambda v: float(v == v)).where(lambda v: v > 0.5)

    def conducting(self, one_way: Branch, variation: Variation = AS_DRAWN) -> Truth:
        """Whether a one-way carries current forward."""
        return self.levels(one_way, variation, lambda s, i, bits: float(i in s.conducting(bits))).where(bool)

    def shorted(self, circuit: Circuit, variation: Variation = AS_DRAWN) -> Truth:
        """Whether metal joins the poles of a live source, with no load between."""
        network = self.engine.network(circuit.network, variation)
        states = self._worked_out(network, variation)
        poles = circuit.source.a, circuit.source.b
        yes = 0
        for mask, bits in states.groups:
            metal = states.frame.metal(bits, states.conducting(bits))
            for i, b in enumerate(network.branches):
                if b.what == "source" and (b.a, b.b) == poles and bits >> i & 1:
                    part = states.frame.parts[i]
                    yes |= mask if metal[part.a] == metal[part.b] else 0
        return Truth(states.space, yes & ~states.chatter, states.space.everything & ~yes & ~states.chatter)

    def chattering(self, load: Branch, variation: Variation = AS_DRAWN) -> Truth:
        """Whether a load belongs to relays that never come to rest."""
        home = self.engine.home(load.key, variation)
        if home is None:
            return Truth.constant(False)
        states = self._worked_out(home[0], variation)
        return Truth(states.space, states.chatter, states.space.everything & ~states.chatter)

    def _truth(self, key: str, variation: Variation) -> Truth:
        truth = self.engine.truth(key, variation)
        if isinstance(truth, str):
            raise NotAssessed(truth)
        return truth

    def _guard(self, guard: Guard | None, device: str, variation: Variation) -> Truth:
        match guard:
            case None:
                return Truth.constant(True)
            case Constant(on):
                return Truth.constant(on)
            case Not(inner):
                return ~self._guard(inner, device, variation)
            case All(parts):
                result = Truth.constant(True)
                for part in parts:
                    result = result & self._guard(part, device, variation)
                return result
            case AnyOf(parts):
                result = Truth.constant(False)
                for part in parts:
                    result = result | self._guard(part, device, variation)
                return result
            case Atom("signal", name):
                return self.signal(device, name)
            case Atom(_, name):
                return self._truth(f"{device}.{name}", variation)

    # --- where things stand ----------------------------------------------------------------------------------

    def form_seen(self, load: Branch) -> str:
        """dc, ac or mixed, by the sources that can feed a load; empty where none can."""
        home = self.engine.home(load.key)
        forms = {str(s.data.get("form") or "dc") for s in home[0].sources} if home else set()
        return forms.pop() if len(forms) == 1 else "mixed" if forms else ""

    def in_the_way(self, branch: Branch) -> list[Branch]:
        """Metal that leads through a load or input and back, past no other load, sources included, in plan order."""
        found = self._ways.get(branch.key)
        if found is None:
            home = self.engine.home(branch.key)
            metal = self.touch.metal(home[0].branches) if home else []
            loop = {b.key for b in on_a_loop_with(branch, metal)}
            found = self._ways[branch.key] = [b for b in metal if b.key in loop]
        return found

    def contacts_in_feed(self, load: Branch) -> list[Branch]:
        """Contacts on some way of metal from a source through a load and back, past no other load, in plan order."""
        return [b for b in self.in_the_way(load) if b.what == "contact"]

    def across(self, load: Branch) -> list[Branch]:
        """One-ways and clamps that wire alone joins to both terminals of a load."""
        return self.touch.across(load)

    def touching(self, sense: Branch) -> list[str]:
        """Devices that share a dry input's own net, by wire or by way of contacts, not past its common."""
        return self.touch.devices_on(sense)

    def wired(self, device: str, terminal: str) -> bool:
        """Whether a wire reaches a terminal."""
        return self.wire_ends(device, terminal) > 0

    def wire_ends(self, device: str, terminal: str) -> int:
        """How many wires reach a terminal."""
        return len(self.graph.wires_at.get(f"{device}:{terminal}", ()))

    def path(self, part: Branch, condition: Mapping[str, bool], variation: Variation = AS_DRAWN) -> tuple[str, ...]:
        """Terminals on the path through a load, + to −, or of the metal that joins an input: see `readings`."""
        return tuple(terminal for terminal, _ in self.readings(part, condition, variation))

    def readings(
        self, part: Branch, condition: Mapping[str, bool], variation: Variation = AS_DRAWN
    ) -> list[tuple[str, float]]:
        """Terminals on the path through a load, or of the metal that joins an input, with volts against the last."""
        from plancheck.circuit.trace import closing, trace

        home = self.engine.home(part.key, variation)
        if home is None:
            return []
        states = self._worked_out(home[0], variation)
        bits = self.engine.pattern_at(states, index_of(states.space.signals, condition))
        if bits is None:
            return []
        return closing(states, home[1], bits) if part.what == "sense" else trace(states, home[1], bits)

    def events(
        self, load: Branch, condition: Mapping[str, bool], variation: Variation = AS_DRAWN
    ) -> list[tuple[str, bool]]:
        """The changes of signals (key, on), from rest, that lead to a condition; empty where history plays no part."""
        home = self.engine.home(load.key, variation)
        states = self._worked_out(home[0], variation) if home else None
        if states is None or states.history is None:
            return []
        index = index_of(states.space.signals, condition)
        return states.history.events(index, {k: s.rests_on for k, s in self.signals.items()}) or []

    def rating_volts(self, load: Branch) -> float:
        """Rated volts of a load."""
        return self._rated(load)[0]

    def rating_amps(self, load: Branch) -> float:
        """Rated amperes of a load, from its watts where the plan gives those."""
        return self._rated(load)[1]

    def _rated(self, load: Branch) -> tuple[float, float]:
        try:
            rated = rating(load)
        except Incomplete as reason:
            raise NotAssessed(str(reason)) from None
        return rated.volts, rated.amps
