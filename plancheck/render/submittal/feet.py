"""What stands at the foot of a lock's or an input device's box, in one scene; the script of the page says the same."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.replay import truth_at
from plancheck.circuit.scene import Scene
from plancheck.plan.model import Device
from plancheck.render.drawing.standing import volts_text
from plancheck.render.submittal.circuit_model import CircuitModel
from plancheck.review.operation import SECURED

ON, OFF, UNCERTAIN = "held", "released", "uncertain"
NONE_CLOSED = "no input closed"


def feet(facts: Facts, seen: Scene, condition: dict[str, bool]) -> dict[str, str]:
    """By device, the words below its terminals."""
    found = {}
    for device in facts.plan.with_base("lock"):
        volts = max((abs(_across(seen, b.a, b.b)) for b in facts.branches("load", device.name)), default=0.0)
        found[device.name] = f"{_word(facts, device, condition)}, {volts_text(volts)}"
    closed: dict[str, list[str]] = {}
    for sense in facts.branches("sense"):
        names = closed.setdefault(sense.device, [])
        if seen.on.get(sense.key):
            names.append(input_name(sense.name))
    found |= {name: f"closed: {', '.join(names)}" if names else NONE_CLOSED for name, names in closed.items()}
    return found


def input_name(name: str) -> str:
    """A dry input as a sheet names it."""
    return name.removesuffix("-input")


def _across(seen: Scene, a: str, b: str) -> float:
    return seen.volts.get(a, 0.0) - seen.volts.get(b, 0.0) if a in seen.volts and b in seen.volts else 0.0


def _word(facts: Facts, device: Device, condition: dict[str, bool]) -> str:
    try:
        held = truth_at(facts.state(device.name, SECURED), condition)
    except NotAssessed:
        return UNCERTAIN
    return UNCERTAIN if held is None else ON if held else OFF


def in_the_model(facts: Facts, model: CircuitModel, devices: Iterable[Device]) -> dict[str, Any]:
    """The same for the script: which state and loads tell of a lock, which inputs of a device."""
    states = {s["device"]: i for i, s in enumerate(model.data["states"]) if s["name"] == SECURED}
    here = list(devices)
    locks = [
        {
            "device": device.name,
            "state": states[device.name],
            "loads": [model.parts[b.key] for b in facts.branches("load", device.name) if b.key in model.parts],
            "on": ON,
            "off": OFF,
        }
        for device in here
        if device.base == "lock" and device.name in states
    ]
    inputs: dict[str, list[dict[str, Any]]] = {}
    for device in here:
        for sense in facts.branches("sense", device.name):
            if sense.key in model.parts:
                named = {"part": model.parts[sense.key], "name": input_name(sense.name)}
                inputs.setdefault(device.name, []).append(named)
    return {"locks": locks, "inputs": inputs}
