"""Mistakes of wires: where they go, what they share, what was left off."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from plancheck.plan.model import Device
from tests.faults.alike import does_the_same
from tests.faults.behind import behind_cable, fed, rated
from tests.faults.draft import Part, Run, device_of, spare_name
from tests.faults.fault import MANY_CIRCUITS, Collection, Mutant, mutant
from tests.faults.standing import Standing

WIRES = Collection()


@WIRES.fault("return left unconnected", "wiring/terminal-unwired")
def _return_left_off(plan: Standing) -> Iterator[Mutant]:
    for name, (_, load) in fed(plan).items():
        yield mutant(plan.draft.without_ends(f"{name}:{load.b}"), name)


@WIRES.fault("two locks in series", "electrical/series-loads")
def _locks_in_series(plan: Standing) -> Iterator[Mutant]:
    for name, (device, load) in fed(plan).items():
        if device.base == "lock":
            other = spare_name(plan.draft, "XL")
            part = plan.draft.by_name[name]
            draft = plan.draft.with_part(part.kind, other, *part.entries)
            if not part.says("suppression"):
                draft = draft.saying(other, "suppression built in", "suppression built in")
            minus = f"{name}:{load.b}"
            runs = [
                r
                for r in plan.draft.touching(minus)
                if not any(device_of(e) != name and _quenches(plan, e) for e in r.ends)
            ]
            for run in runs:
                draft = draft.with_run_changed(
                    run, replace(run, ends=tuple(f"{other}:-" if e == minus else e for e in run.ends))
                )
            yield mutant(draft.with_run(minus, f"{other}:+"), name, other)


def _quenches(plan: Standing, end: str) -> bool:
    part = plan.draft.by_name.get(device_of(end))
    return part is not None and part.kind in ("diode", "clamp", "snubber")


@WIRES.fault("a lock's return landed on the neighbour's plus", "electrical/series-loads")
def _return_on_the_neighbours_plus(plan: Standing) -> Iterator[Mutant]:
    locks = [(device, load) for device, load in fed(plan).values() if device.base == "lock"]
    for (one, load), (other, its) in pairwise(locks):
        sources = plan.source_of(f"{one.name}:{load.a}"), plan.source_of(f"{other.name}:{its.a}")
        if sources[0] is None or sources[1] is None or sources[0][0] is not sources[1][0]:
            continue
        minus = f"{one.name}:{load.b}"
        if any(
            device_of(e) not in (one.name, *_diodes(plan)) and plan.joined(e, minus) and _passes_on(plan, e, minus)
            for r in plan.draft.touching(minus)
            for e in r.ends
        ):
            continue
        own = {c.device.name for c in plan.feed(other)} - {c.device.name for c in plan.feed(one)}
        if not own:
            continue
        draft = plan.draft.without_ends(minus)
        for name in _diodes(plan):
            for t in ("1", "2", "anode", "cathode"):
                if plan.joined(f"{name}:{t}", minus):
                    draft = draft.without_ends(f"{name}:{t}").with_run(f"{name}:{t}", minus)
        yield mutant(draft.with_run(minus, f"{other.name}:{its.a}"), one.name, other.name)


def _diodes(plan: Standing) -> list[str]:
    return [p.name for p in plan.draft.of_kind("diode", "clamp", "snubber")]


def _passes_on(plan: Standing, end: str, minus: str) -> bool:
    """Whether other things take their return by way of this end."""
    return any(minus in run.ends and len(run.ends) > 2 for run in plan.draft.touching(end))


@WIRES.fault("one conductor used for two circuits", "wiring/conductor-used-twice")
def _conductor_used_twice(plan: Standing) -> Iterator[Mutant]:
    for cable in plan.draft.of_kind("cable"):
        runs = [run for run in plan.draft.runs if run.cable == cable.name]
        for run in runs[1:]:
            draft = plan.draft.with_run_changed(run, replace(run, conductor=runs[0].conductor))
            yield mutant(draft, cable.name, *map(device_of, (*run.ends, *runs[0].ends)))


@WIRES.fault("more conductors drawn than the cable has", "wiring/more-conductors-than-cable")
def _more_conductors_than_the_cable(plan: Standing) -> Iterator[Mutant]:
    for cable in plan.draft.of_kind("cable"):
        used = {run.conductor for run in plan.draft.runs if run.cable == cable.name}
        if len(used) > 1:
            wanted = re.sub(r"conductors \d+", f"conductors {len(used) - 1}", cable.says("conductors"))
            draft = plan.draft.saying(cable.name, "conductors", wanted).saying(cable.name, "colours")
            yield mutant(
                draft, cable.name, *(device_of(e) for r in plan.draft.runs if r.cable == cable.name for e in r.ends)
            )


@WIRES.fault(
    "splice to the wrong colour: two conductors of a cable exchanged at the far end",
    "electrical/polarity",
    "electrical/load-never-fed",
    "electrical/dead-short",
    "electrical/series-loads",
    "electrical/suppression-polarity",
    "egress/lock-is-controllable",
    "egress/fire-alarm-release",
    "egress/hardware-release-direct",
    "gate/dry-input-fed",
    "gate/safety-input-untouched",
    "gate/stop-not-bridged",
    "gate/open-input-held",
    "electrical/foreign-voltage",
)
def _wrong_colour(plan: Standing) -> Iterator[Mutant]:
    for cable in plan.draft.of_kind("cable"):
        runs = [run for run in plan.draft.runs if run.cable == cable.name]
        for one, other in pairwise(runs):
            if one.conductor == other.conductor or _same_way(one) != _same_way(other):
                continue
            yield _ends_exchanged(plan, one, other, cable)


def _same_way(run: Run) -> bool:
    return len(run.ends) == 2


def _ends_exchanged(plan: Standing, one: Run, other: Run, cable: Part) -> Mutant:
    """The two runs with their ends at one side of the cable exchanged: that side on which devices stand alike."""
    far, near = _far_sides(plan, one, other)
    draft = plan.draft.with_run_changed(one, _with_end(one, far, other.ends[near]))
    draft = draft.with_run_changed(other, _with_end(other, near, one.ends[far]))
    devices = {device_of(e) for e in (*one.ends, *other.ends)}
    behind = {d.name for d, _ in behind_cable(plan, cable)}
    devices |= behind | {lock.name for _, lock in plan.doors() if behind & {c.device.name for c in plan.feed(lock)}}
    why = SAME if does_the_same(plan, Standing(draft)) else ""
    supplied = sorted({d.name for d, _, _ in plan.sources})
    return mutant(draft, *sorted(devices), cable.name, *_doors(plan, devices), *supplied, harmless=why)


def _far_sides(plan: Standing, one: Run, other: Run) -> tuple[int, int]:
    """Which ends of two runs stand beside each other: those at one device, if there is one."""
    sides = _far(plan, one), _far(plan, other)
    if device_of(one.ends[sides[0]]) == device_of(other.ends[sides[1]]):
        return sides
    shared = [(i, j) for i in (0, -1) for j in (0, -1) if device_of(one.ends[i]) == device_of(other.ends[j])]
    return next(((i % len(one.ends), j % len(other.ends)) for i, j in shared), sides)


def _far(plan: Standing, run: Run) -> int:
    """Which end of a run is the one away from the supply, or from the operator."""
    home = {device.name for device, _, _ in plan.sources} | {
        p.name for p in plan.draft.of_kind("fuse", "fire-alarm-relay", "radio-receiver")
    }
    return 0 if device_of(run.ends[-1]) in home else len(run.ends) - 1


def _with_end(run: Run, at: int, end: str) -> Run:
    return replace(run, ends=tuple(end if i == at else e for i, e in enumerate(run.ends)))


def _doors(plan: Standing, devices: set[str]) -> list[str]:
    return sorted({door for name in devices if (door := plan.door_of(name))})


SAME = "every contact stays in its circuit; the coil whose ends are exchanged minds no polarity"


@WIRES.fault("the returns of two supplies joined at what they feed", "wiring/return-shared-between-supplies")
def _return_shared_between_supplies(plan: Standing) -> Iterator[Mutant]:
    returns = []
    for name, (device, load) in fed(plan).items():
        source = plan.source_of(f"{name}:{load.b}")
        if device.base == "lock" and source is not None and source[0].kind == "supply":
            returns.append((name, f"{name}:{load.b}", source))
    for (one, minus, source), (other, its, another) in pairwise(returns):
        if source[0] is not another[0] and not plan.joined(source[2], another[2]):
            yield mutant(plan.draft.with_run(minus, its), one, other, source[0].name, another[0].name)


@WIRES.fault(
    "the minus switched on a supply whose minus is earthed",
    "electrical/return-switched",
    "electrical/return-switched-release",
)
def _minus_switched(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors():
        contacts = plan.feed(lock)
        plus, minus = f"{lock.name}:+", f"{lock.name}:-"
        source = plan.source_of(plus)
        if (
            len(contacts) != 1
            or source is None
            or source[0].kind != "supply"
            or lock.get("suppression-built-in") is not True
        ):
            continue
        common, throw = contacts[0].ends
        if not plan.joined(throw, plus):
            continue
        feed = next((e for r in plan.draft.touching(common) for e in r.ends if e != common), "")
        draft = plan.draft.without_ends(common, minus).renamed({plus: minus})
        draft = draft.with_run(feed, plus).with_run(common, source[2])
        draft = draft.saying(source[0].name, "earthed", "earthed")
        yield mutant(draft, contacts[0].device.name, lock.name, door.name, source[0].name)


@WIRES.fault("a wire landed on an empty position of the terminal block", "wiring/wire-to-nowhere")
def _wrong_position(plan: Standing) -> Iterator[Mutant]:
    for block in plan.draft.of_kind("terminal-block"):
        wired = [e for run in plan.draft.runs for e in run.ends if device_of(e) == block.name]
        count = int(block.says("positions").split()[1])
        draft = plan.draft.saying(block.name, "positions", f"positions {count + 1}")
        for end in dict.fromkeys(wired):
            side = end.partition(":")[2][0]
            yield mutant(draft.renamed({end: f"{block.name}:{side}{count + 1}"}), block.name)


@WIRES.fault("a device drawn and never wired", "wiring/device-unused")
def _device_never_wired(plan: Standing) -> Iterator[Mutant]:
    name = spare_name(plan.draft, "SB")
    yield mutant(plan.draft.with_part("push-button", name, "contacts 3 A at 30 Vdc"), name)


@WIRES.fault(
    "a second supply's plus on a lock's feed, past its fuse",
    "electrical/paralleled-sources",
    heavy=MANY_CIRCUITS,
)
def _second_supply_on_the_feed(plan: Standing) -> Iterator[Mutant]:
    for _door, lock in plan.doors():
        source = plan.source_of(f"{lock.name}:+")
        feed = plan.feed(lock)
        if source is None or not feed or source[0].kind == "transformer":
            continue
        name = spare_name(plan.draft, "PS")
        draft = plan.draft.with_part("supply", name, f"output {rated(fed(plan)[lock.name][1])[0]:g} Vdc, 1 A")
        draft = draft.with_run(f"{name}:+", feed[0].ends[0]).with_run(f"{name}:-", source[2])
        yield mutant(draft, name, source[0].name)


@WIRES.fault("two supplies in parallel, terminal to terminal", "electrical/paralleled-sources")
def _supplies_in_parallel(plan: Standing) -> Iterator[Mutant]:
    for device, plus, minus in plan.sources:
        if device.kind == "supply":
            name = spare_name(plan.draft, "PS")
            draft = plan.draft.with_part("supply", name, plan.draft.by_name[device.name].says("output"))
            yield mutant(draft.with_run(f"{name}:+", plus).with_run(f"{name}:-", minus), name, device.name)


@WIRES.fault(
    "a wet output tied to a circuit of another supply",
    "electrical/foreign-voltage",
    "electrical/back-feed",
    heavy=MANY_CIRCUITS,
)
def _wet_output_into_another_circuit(plan: Standing) -> Iterator[Mutant]:
    for _door, lock in plan.doors():
        source = plan.source_of(f"{lock.name}:+")
        feed = [c for c in plan.feed(lock) if c.device.kind in ("radio-receiver", "reader", "keypad")]
        if source is None or not feed or source[0].kind == "transformer":
            continue
        name = spare_name(plan.draft, "PS")
        volts = rated(fed(plan)[lock.name][1])[0]
        draft = plan.draft.with_part("supply", name, f"output {volts:g} Vdc, 1 A")
        draft = draft.with_run(f"{name}:+", feed[-1].ends[1]).with_run(f"{name}:-", source[2])
        yield mutant(draft, name, feed[-1].device.name, source[0].name)


@WIRES.fault("volts led into a reader's dry input", "electrical/foreign-voltage")
def _volts_into_a_dry_input(plan: Standing) -> Iterator[Mutant]:
    for reader in plan.of_kind("reader"):
        source = plan.source_of(f"{reader.name}:power+")
        if source is None or plan.draft.is_wired(f"{reader.name}:request"):
            continue
        name = spare_name(plan.draft, "SB")
        draft = plan.draft.with_part("push-button", name, "contacts 3 A at 30 Vdc")
        draft = draft.with_run(source[1], f"{name}:COM").with_run(f"{name}:NO", f"{reader.name}:request")
        yield mutant(draft.with_run(f"{reader.name}:input-com", source[2]), reader.name)


@WIRES.fault("a lock fed across plus and plus", "egress/lock-is-controllable", "electrical/series-loads")
def _both_ends_on_plus(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors():
        source = plan.source_of(f"{lock.name}:+")
        minus = f"{lock.name}:-"
        if source is not None and source[0].kind == "supply" and len(plan.draft.touching(minus)) == 1:
            yield mutant(plan.draft.without_ends(minus).with_run(minus, source[1]), lock.name, door.name)


@WIRES.fault("plus and minus of a supply joined at a terminal", "electrical/dead-short")
def _poles_joined(plan: Standing) -> Iterator[Mutant]:
    for device, plus, minus in plan.sources:
        yield mutant(plan.draft.with_run(plus, minus), device.name)


@WIRES.fault(
    "the last of three locks chained behind the others", "electrical/loop-drop", "electrical/least-volts-at-load"
)
def _locks_chained(plan: Standing) -> Iterator[Mutant]:
    by_feed: dict[tuple[str, ...], list[Device]] = {}
    for _, lock in plan.doors():
        by_feed.setdefault(tuple(c.device.name for c in plan.feed(lock)), []).append(lock)
    for locks in by_feed.values():
        cabled = [
            lock for lock in locks if all(any(r.cable for r in plan.draft.touching(f"{lock.name}:{t}")) for t in "+-")
        ]
        if len(cabled) >= 3:
            draft = plan.draft
            for before, lock in pairwise(cabled):
                for end in ("+", "-"):
                    run = next(r for r in draft.touching(f"{lock.name}:{end}") if r.cable)
                    draft = draft.with_run_changed(
                        run, replace(run, ends=(f"{before.name}:{end}", f"{lock.name}:{end}"))
                    )
            yield mutant(draft, *(lock.name for lock in cabled))
