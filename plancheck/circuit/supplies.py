"""Supplies: which of them feed a load, which drive volts into one that is off, and which a contact ties together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from plancheck.circuit.conditions import Levels, Truth, joined
from plancheck.circuit.demand import MANY_TOGETHER
from plancheck.circuit.facts import NotAssessed
from plancheck.circuit.values import RATED
from plancheck.circuit.variation import AS_DRAWN, Variation
from plancheck.plan.guard import atoms

if TYPE_CHECKING:
    from plancheck.circuit.facts import Facts
    from plancheck.circuit.network import Network
    from plancheck.circuit.states import NetworkStates
    from plancheck.plan.graph import Branch

UNKNOWN = float("nan")


def devices_feeding(facts: Facts, load: Branch) -> list[str]:
    """Devices of the sources that metal joins to both ends of a load in some condition, in plan order.

    Where metal alone never does, as with loads in series, all whose sources are in its network. Raises NotAssessed.
    """
    home = facts.engine.home(load.key)
    if home is None:
        return []
    states = _worked_out(facts, home[0], AS_DRAWN)
    every = list(dict.fromkeys(s.device for s in home[0].sources))
    found: set[str] = set()
    for _, bits in states.groups:
        found.update(_feeding(states, home[1], bits))
        if len(found) == len(every):
            break
    return [name for name in every if name in found] or every


def _feeding(states: NetworkStates, index: int, bits: int) -> Iterator[str]:
    """Devices of the live sources that feed branch `index` by metal in a pattern."""
    metal, parts = states.frame.metal(bits, states.conducting(bits)), states.frame.parts
    ends = {metal[parts[index].a], metal[parts[index].b]}
    for i, part in enumerate(parts):
        if part.what == "source" and bits >> i & 1 and len(ends) == 2 and ends == {metal[part.a], metal[part.b]}:
            yield states.network.branches[i].device


def back_fed_volts(facts: Facts, device: str, variation: Variation = AS_DRAWN) -> Levels:
    """The most volts that other supplies put on the poles of a device's sources while it gives none; 0 while it does.

    A battery by itself does not count: it floats beside its charger, off or on. Raises NotAssessed.
    """
    poles = {(s.a, s.b): s for s in facts.branches("source", device)}
    found = [levels for source in poles.values() for levels in _back_fed(facts, source, variation)]
    if len(found) > 1 and len(joined(levels.space for levels in found).signals) > MANY_TOGETHER:
        raise NotAssessed(f"too many circuits share {device} for the volts on it in every condition")
    result = Levels.constant(0.0)
    for levels in found:
        result = result.with_other(levels, max)
    return result


def _back_fed(facts: Facts, source: Branch, variation: Variation) -> Iterator[Levels]:
    """The volts driven into a source, network by network, where another supply can drive any."""
    for network, index in facts.engine.homes.get(source.key, ()):
        now = facts.engine.network(network, variation)
        driving = {s.device for s in now.sources if s.device != source.device and on_mains(facts, s.device)}
        if driving:
            yield _driven(_worked_out(facts, now, variation), index, source.device, driving)


def _driven(states: NetworkStates, index: int, device: str, driving: set[str]) -> Levels:
    sources = [(i, b.device) for i, b in enumerate(states.network.branches) if b.what == "source"]
    own = [i for i, name in sources if name == device]
    others = [i for i, name in sources if name in driving]
    parts = []
    for mask, bits in states.groups:
        volts = 0.0 if any(bits >> i & 1 for i in own) else states.across(index, bits, RATED)
        driven = volts and any(_reaches(states, i, index, bits, volts) for i in others if bits >> i & 1)
        if mask & ~states.chatter:
            parts.append((mask & ~states.chatter, abs(volts) if driven else 0.0))
    if states.chatter:
        parts.append((states.chatter, UNKNOWN))
    return Levels(states.space, tuple(parts))


def _reaches(states: NetworkStates, source: int, dead: int, bits: int, volts: float) -> bool:
    """Whether current could leave a source for the pole of a dead one that stands higher, and return from the lower.

    Without such a way the volts at an idle pole are what leaks past a diode that blocks, and nobody's drive.
    """
    parts = states.frame.parts
    high, low = (parts[dead].a, parts[dead].b) if volts > 0 else (parts[dead].b, parts[dead].a)
    feeding = _led_to(states, parts[source].a, bits, forward=True)
    return high in feeding and low in _led_to(states, parts[source].b, bits, forward=False)


def _led_to(states: NetworkStates, start: int, bits: int, *, forward: bool) -> set[int]:
    """Nodes to which current could go from `start`, or, not `forward`, from which it could come."""
    found, queue = {start}, [start]
    while queue:
        node = queue.pop()
        for i, part in enumerate(states.frame.parts):
            if not bits >> i & 1 or part.what in ("source", "clamp", "sense") or node not in (part.a, part.b):
                continue
            other = part.b if part.a == node else part.a
            blocked = part.what == "one-way" and (part.a == node) is not forward
            if not blocked and other not in found:
                found.add(other)
                queue.append(other)
    return found


def live(facts: Facts, device: str, variation: Variation = AS_DRAWN) -> Truth:
    """Whether a source of a device has power to give."""
    result = Truth.constant(False)
    for source in facts.branches("source", device):
        result = result | facts.live(source, variation)
    return result


def on_mains(facts: Facts, device: str) -> bool:
    """Whether a source of a device takes its power from the mains."""
    asked = {atom.name for source in facts.branches("source", device) for atom in atoms(source.guard)}
    return any(s.role == "mains" and name in asked for name, s in facts.plan.devices[device].signals.items())


def devices_tied(facts: Facts, contact: Branch) -> list[str]:
    """Devices whose plus, or either pole on AC, stands at one of a contact's terminals by wire and protectors alone.

    Empty where both its terminals stand at the same device or where one of them stands at none: such a contact
    switches; one that has a different supply on either side ties two together.
    """
    sides = [facts.touch.supplies_at(terminal) for terminal in (contact.a, contact.b)]
    if not all(sides) or sides[0] & sides[1]:
        return []
    names = sides[0] | sides[1]
    return [name for name in facts.plan.devices if name in names]


def _worked_out(facts: Facts, network: Network, variation: Variation) -> NetworkStates:
    states = facts.engine.states(network, variation)
    if isinstance(states, str):
        raise NotAssessed(states)
    return states
