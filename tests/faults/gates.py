"""Mistakes at powered gates: inputs, what protects people, where things stand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from plancheck.plan.model import Device
from tests.faults.draft import Draft, Part, device_of, spare_name
from tests.faults.fault import Collection, Mutant, mutant
from tests.faults.standing import Standing

GATES = Collection()
PROTECTING = ("photo-eye", "safety-edge")


def _operators(plan: Standing) -> Iterator[tuple[Device, Device]]:
    """Each gate with its operator."""
    for gate in plan.plan.with_base("gate"):
        for operator in plan.named(gate, "operator"):
            yield gate, operator


def _on_input(plan: Standing, operator: Device, terminal: str, *kinds: str) -> Iterator[tuple[Device, str, str]]:
    """Contacts on an input: device, the terminal on the input's side, the one on the common's."""
    for device in plan.of_kind(*kinds):
        for part in device.primitives:
            if part.what == "contact":
                for near, away in ((part.a, part.b), (part.b, part.a)):
                    near, away = f"{device.name}:{near}", f"{device.name}:{away}"
                    if near in plan.nets and plan.joined(near, f"{operator.name}:{terminal}"):
                        yield device, near, away


def _safety_inputs(plan: Standing, operator: Device) -> list[str]:
    return [t for t in operator.terminals if t.startswith("SAFE") and plan.draft.is_wired(f"{operator.name}:{t}")]


def _throw(near: str, away: str) -> tuple[str, str]:
    """The throw of a contact's two terminals, and its twin."""
    throw = near if ":N" in near else away
    twin = throw.replace(":NO", ":NC") if ":NO" in throw else throw.replace(":NC", ":NO")
    return throw, twin


@GATES.fault("volts led into the open input: the contact's common jumpered to plus", "gate/dry-input-fed")
def _common_on_plus(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        plus = next((p for d, p, _ in plan.sources if d.kind != "transformer"), "")
        for device, near, away in _on_input(plan, operator, "OPEN", "radio-receiver", "push-button", "key-switch"):
            common = away if plan.joined(near, f"{operator.name}:OPEN") else near
            if plus:
                yield mutant(plan.draft.with_run(plus, common), operator.name, gate.name, device.name)


@GATES.fault("receiver across the photo-eye's input", "gate/safety-input-untouched")
def _receiver_across_a_safety_input(plan: Standing) -> Iterator[Mutant]:
    for _gate, operator in _operators(plan):
        for terminal in _safety_inputs(plan, operator):
            name = spare_name(plan.draft, "RX")
            draft = plan.draft.with_part(
                "radio-receiver", name, "channels 1", "channel 1 momentary", "rated 24 Vdc, 20 mA",
                "contacts 5 A at 30 Vdc",
            )  # fmt: skip
            draft = draft.with_run(f"{name}:COM", f"{operator.name}:COM")
            draft = draft.with_run(f"{name}:NO", f"{operator.name}:{terminal}")
            draft = draft.with_run(f"{operator.name}:acc+", f"{name}:power+")
            yield mutant(draft.with_run(f"{operator.name}:acc-", f"{name}:power-"), name, operator.name)


@GATES.fault("photo-eye's input bridged", "gate/safety-input-untouched")
def _safety_input_bridged(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        for terminal in _safety_inputs(plan, operator):
            draft = plan.draft.with_run(f"{operator.name}:{terminal}", f"{operator.name}:COM")
            yield mutant(draft, operator.name, gate.name)


@GATES.fault("normally closed contact on the open input: the gate stands open", "gate/open-input-held")
def _open_input_on_normally_closed(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        kinds = ("radio-receiver", "push-button", "key-switch", "vehicle-loop", "reader", "keypad")
        for device, near, away in _on_input(plan, operator, "OPEN", *kinds):
            throw, twin = _throw(near, away)
            yield mutant(plan.draft.exchanged(throw, twin), operator.name, gate.name, device.name)


@GATES.fault("latched channel on the open input", "gate/open-input-held")
def _latched_channel(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        for device, near, away in _on_input(plan, operator, "OPEN", "radio-receiver"):
            number = _throw(near, away)[0][-1]
            lead = f"channel {number}" if number.isdigit() else "channel 1"
            draft = plan.draft.saying(device.name, lead, f"{lead} latched")
            yield mutant(draft, operator.name, gate.name, device.name)


@GATES.fault("receiver on the close input", "gate/wrong-input")
def _receiver_on_close(plan: Standing) -> Iterator[Mutant]:
    yield from _receiver_on(plan, "CLOSE")


@GATES.fault("receiver on the stop input", "gate/wrong-input", "gate/stop-not-bridged")
def _receiver_on_stop(plan: Standing) -> Iterator[Mutant]:
    yield from _receiver_on(plan, "STOP")


def _receiver_on(plan: Standing, terminal: str) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        for device, near, away in _on_input(plan, operator, "OPEN", "radio-receiver"):
            names = {near} if plan.joined(near, f"{operator.name}:OPEN") else {away}
            end = names.pop()
            draft = plan.draft.without_ends(end).with_run(end, f"{operator.name}:{terminal}")
            yield mutant(draft, operator.name, gate.name, device.name)


@GATES.fault("stop input jumpered", "gate/stop-not-bridged")
def _stop_jumpered(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        if plan.draft.is_wired(f"{operator.name}:STOP"):
            draft = plan.draft.with_run(f"{operator.name}:STOP", f"{operator.name}:COM")
            yield mutant(draft, operator.name, gate.name)


@GATES.fault("photo-eye or edge that nobody monitors", "gate/protection-monitored")
def _unmonitored(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        for device in plan.of_kind(*PROTECTING):
            draft = plan.draft.saying(device.name, "monitored").saying(operator.name, "monitors")
            yield mutant(draft, device.name, operator.name, gate.name)


@GATES.fault("one protection for both directions, and none inherent", "gate/entrapment-protection-present")
def _one_protection_for_two_directions(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        zones = [e for e in plan.draft.by_name[gate.name].entries if e.startswith("zone ")]
        for device in plan.of_kind(*PROTECTING):
            if any(device.name in zone for zone in zones):
                each = [f'zone "leaf" {way} protected by {device.name}' for way in ("opening", "closing")]
                draft = plan.draft.saying(gate.name, "zone", *each).saying(operator.name, "inherent")
                yield mutant(draft, gate.name, operator.name)


@GATES.fault("no zone protected at all", "gate/entrapment-protection-present", "gate/protection-unstated")
def _no_zone(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        draft = plan.draft.saying(gate.name, "zone").saying(operator.name, "inherent")
        yield mutant(draft, gate.name, operator.name)


@GATES.fault("the same kind of protection twice", "gate/entrapment-protection-present")
def _same_kind_twice(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        for eye in plan.of_kind("photo-eye"):
            name = spare_name(plan.draft, "PE")
            said = plan.draft.by_name[eye.name].entries
            draft = plan.draft.with_part("photo-eye", name, *said)
            draft = draft.with_run(f"{eye.name}:power+", f"{name}:power+")
            draft = draft.with_run(f"{eye.name}:power-", f"{name}:power-")
            draft = draft.without_ends(f"{eye.name}:NO")
            into = next(e for r in plan.draft.touching(f"{eye.name}:NO") for e in r.ends if e != f"{eye.name}:NO")
            draft = draft.with_run(into, f"{name}:NO").with_run(f"{name}:COM", f"{eye.name}:NO")
            zone = f'zone "leaf" closing protected by {eye.name}, {name}'
            draft = draft.saying(gate.name, "zone", zone).saying(operator.name, "inherent")
            yield mutant(draft, gate.name, operator.name)


@GATES.fault("a loop that sees vehicles, not people, as the protection", "gate/entrapment-protection-present")
def _loop_as_protection(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        for loop in plan.of_kind("vehicle-loop"):
            draft = plan.draft.saying(gate.name, "zone", f'zone "leaf" closing protected by {loop.name}')
            yield mutant(draft.saying(operator.name, "inherent"), gate.name, operator.name)


@GATES.fault("control within reach of the moving gate", "gate/control-out-of-reach")
def _control_within_reach(plan: Standing) -> Iterator[Mutant]:
    for gate, name, _ in _controls(plan):
        yield mutant(_control_moved(plan, gate, name, "3 ft away, seen"), gate.name, name)


@GATES.fault("stop, reset or close given from where nobody sees the gate", "gate/control-in-sight")
def _control_out_of_sight(plan: Standing) -> Iterator[Mutant]:
    for gate, name, operator in _controls(plan):
        seeing = ("STOP", "RESET", "CLOSE")
        kind = plan.plan.devices[name].kind
        inputs = [t for t in seeing if t in operator.terminals]
        acts = any(d.name == name for t in inputs for d, _, _ in _on_input(plan, operator, t, kind))
        why = "" if acts else "it only opens: stop, reset and close are what must be given in sight"
        yield mutant(_control_moved(plan, gate, name, "4 m away, unseen"), gate.name, name, harmless=why)


def _controls(plan: Standing) -> Iterator[tuple[Device, str, Device]]:
    for gate, operator in _operators(plan):
        for entry in plan.draft.by_name[gate.name].entries:
            if entry.startswith("control "):
                yield gate, entry.split()[1], operator


def _control_moved(plan: Standing, gate: Device, name: str, where: str) -> Draft:
    """The plan with one control of a gate elsewhere; the others stay."""

    def change(part: Part) -> Part:
        entries = tuple(f"control {name} {where}" if e.startswith(f"control {name} ") else e for e in part.entries)
        return replace(part, entries=entries)

    return plan.draft.with_changed(gate.name, change)


@GATES.fault("vehicle gate that pedestrians use", "gate/pedestrian-way-separate")
def _pedestrians_through_the_gate(plan: Standing) -> Iterator[Mutant]:
    for gate, _ in _operators(plan):
        yield mutant(plan.draft.saying(gate.name, "pedestrians", "pedestrians through gate"), gate.name)


@GATES.fault("photo-eye on the throw that its input does not want", "gate/safety-input-suits-device")
def _eye_on_the_wrong_throw(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        for device in plan.of_kind(*PROTECTING):
            for throw in (f"{device.name}:NO", f"{device.name}:NC"):
                if plan.draft.is_wired(throw):
                    draft = plan.draft.exchanged(throw, _throw(throw, throw)[1])
                    yield mutant(draft, device.name, operator.name, gate.name)


@GATES.fault("free-exit loop and safety device exchanged at the operator",
             "gate/safety-input-untouched", "gate/wrong-input", "gate/open-input-held")  # fmt: skip
def _exit_and_safety_exchanged(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        for loop, near, away in _on_input(plan, operator, "OPEN", "vehicle-loop"):
            for terminal in _safety_inputs(plan, operator):
                end = near if plan.joined(near, f"{operator.name}:OPEN") else away
                safety = f"{operator.name}:{terminal}"
                other = next(e for r in plan.draft.touching(safety) for e in r.ends if e != safety)
                draft = plan.draft.without_ends(end, safety).with_run(end, safety)
                draft = draft.with_run(other, f"{operator.name}:OPEN")
                yield mutant(draft, loop.name, operator.name, gate.name, device_of(other))


@GATES.fault("lock on the leaf that nothing releases before the drive starts", "gate/lock-releases-before-drive")
def _lock_on_the_leaf(plan: Standing) -> Iterator[Mutant]:
    for gate, _operator in _operators(plan):
        if gate.get("locks"):
            continue
        source = next(((p, m) for d, p, m in plan.sources if d.kind != "transformer"), None)
        if source is not None:
            name = spare_name(plan.draft, "ML")
            draft = plan.draft.with_part("magnetic-lock", name, "rated 24 Vdc, 100 mA", "suppression built in")
            draft = draft.saying(gate.name, "locks", f"locks {name}")
            yield mutant(draft.with_run(source[0], f"{name}:+").with_run(f"{name}:-", source[1]), name, gate.name)


@GATES.fault("command wires and a safety loop in one cable", "gate/safety-loop-failure")
def _command_in_the_safety_cable(plan: Standing) -> Iterator[Mutant]:
    for gate, operator in _operators(plan):
        cables = {
            run.cable for t in _safety_inputs(plan, operator) for run in plan.draft.touching(f"{operator.name}:{t}")
        }
        for cable in sorted(cables - {""}):
            for run in plan.draft.touching(f"{operator.name}:OPEN"):
                if not run.conductor:
                    wanted = plan.draft.by_name[cable].says("conductors").split(" of ")[1]
                    draft = plan.draft.with_run_changed(run, replace(run, conductor=f"{cable}/violet"))
                    draft = draft.saying(cable, "conductors", f"conductors 8 of {wanted}").saying(cable, "colours")
                    yield mutant(draft, operator.name, cable, gate.name)
