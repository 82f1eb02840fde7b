"""What hangs together with some devices: their circuits, and all on which these depend."""

from __future__ import annotations

from collections.abc import Collection

from plancheck.circuit.facts import Facts


def reached(facts: Facts, names: Collection[str]) -> dict[str, None]:
    """Some devices and all with a part in a circuit on which theirs depend, in the order of the plan."""
    engine = facts.engine
    keys = [branch.key for name in names for branch in facts.graph.by_device.get(name, ())]
    numbers = engine.overlays.upstream({network.number for key in keys for network, _ in engine.homes.get(key, ())})
    found = set(names)
    for number in numbers:
        for branch in engine.networks[number].branches:
            if branch.device:
                found.add(branch.device)
            elif branch.wire is not None:
                found |= {branch.wire.a.device, branch.wire.b.device}
    return {name: None for name in facts.plan.devices if name in found}
