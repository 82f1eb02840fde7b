"""Mistakes in what lets a lock go: alarm, button, sensor, loss of power."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from plancheck.plan.model import Device
from tests.faults.behind import fed, rated
from tests.faults.draft import Draft, spare_name
from tests.faults.fault import MANY_CIRCUITS, Collection, Mutant, mutant
from tests.faults.standing import OWING, OWING_ALARM, Contact, Standing

RELEASES = Collection()
RELAY = ("tolerates 19 Vdc to 30 Vdc", "contacts 3 A at 30 Vdc", "inductive 1.5 A", "suppression built in")


def _alarmed(plan: Standing) -> Iterator[tuple[Device, Device, Contact, tuple[Device, str, str]]]:
    """Each lock with the alarm contact in its feed: door, lock, contact, supply."""
    for door, lock in plan.doors(*OWING_ALARM):
        supply = plan.source_of(f"{lock.name}:+")
        for contact in plan.feed(lock):
            if contact.device.kind == "fire-alarm-relay" and supply is not None:
                yield door, lock, contact, supply


@RELEASES.fault("receiver feeds the lock around the alarm relay", "egress/fire-alarm-release")
def _receiver_around_the_alarm(plan: Standing) -> Iterator[Mutant]:
    for door, lock, _, (_, plus, minus) in _alarmed(plan):
        name = spare_name(plan.draft, "RX")
        draft = plan.draft.with_part(
            "radio-receiver", name, "channels 1", "channel 1 timed 8 s", "rated 24 Vdc, 45 mA",
            "tolerates 11 Vdc to 30 Vdc", "contacts 5 A at 30 Vdc", "inductive 2 A",
        )  # fmt: skip
        draft = draft.with_run(plus, f"{name}:power+").with_run(f"{name}:power-", minus)
        draft = draft.with_run(plus, f"{name}:COM").with_run(f"{name}:NC", f"{lock.name}:+")
        yield mutant(draft, lock.name, door.name)


@RELEASES.fault("alarm contact bridged, or left out of the feed", "egress/fire-alarm-release")
def _no_alarm_contact(plan: Standing) -> Iterator[Mutant]:
    for door, lock, contact, _ in _alarmed(plan):
        yield mutant(plan.draft.with_run(*contact.ends), lock.name, door.name)


@RELEASES.fault("lock's branch taken off before the alarm contact", "egress/fire-alarm-release")
def _branch_before_the_alarm(plan: Standing) -> Iterator[Mutant]:
    contacts = {contact.ends: None for _, _, contact, _ in _alarmed(plan)}
    for common, throw in contacts:
        for run in plan.draft.touching(throw):
            moved = replace(run, ends=tuple(common if e == throw else e for e in run.ends))
            draft = plan.draft.with_run_changed(run, moved)
            behind = {lock.name for _, lock, _, _ in _alarmed(Standing(draft))}
            freed = [(lock.name, door.name) for door, lock, _, _ in _alarmed(plan) if lock.name not in behind]
            if freed:
                yield mutant(draft, *(name for pair in freed for name in pair))


@RELEASES.fault(
    "a battery supply feeds the lock past the alarm relay",
    "egress/fire-alarm-release",
    "egress/supply-loss-release",
    heavy=MANY_CIRCUITS,
)
def _battery_past_the_alarm(plan: Standing) -> Iterator[Mutant]:
    for door, lock, _, (_, _, minus) in _alarmed(plan):
        name = spare_name(plan.draft, "PS")
        draft = plan.draft.with_part("supply", name, "output 24 Vdc, 1 A", "battery 7 Ah", "standby 4 h")
        draft = draft.with_run(f"{name}:+", f"{lock.name}:+").with_run(f"{name}:-", minus)
        yield mutant(draft, lock.name, door.name)


@RELEASES.fault(
    "a relay that the lock's own volts hold in, fed from before the alarm contact",
    "electrical/seal-in",
    "egress/fire-alarm-release",
)
def _seal_in_past_the_alarm(plan: Standing) -> Iterator[Mutant]:
    for door, lock, _, (_, plus, minus) in _alarmed(plan):
        name = spare_name(plan.draft, "K")
        draft = plan.draft.with_part("relay", name, "coil 24 Vdc, 20 mA", *RELAY)
        draft = draft.with_run(f"{lock.name}:+", f"{name}:A1").with_run(f"{name}:A2", minus)
        draft = draft.with_run(plus, f"{name}:COM").with_run(f"{name}:NO", f"{lock.name}:+")
        yield mutant(draft, lock.name, door.name)


@RELEASES.fault("a release relay that needs power to release", "egress/open-wire-releases")
def _release_by_power(plan: Standing) -> Iterator[Mutant]:
    for door, lock, contact, (_, plus, minus) in _alarmed(plan):
        name = spare_name(plan.draft, "K")
        common, throw = contact.ends
        volts = rated(fed(plan)[lock.name][1])[0]
        coil = (f"coil {volts:g} Vdc, 20 mA", f"tolerates {volts * 0.8:g} Vdc to {volts * 1.25:g} Vdc", *RELAY[1:])
        draft = plan.draft.with_part("relay", name, *coil)
        draft = draft.renamed({common: f"{name}:COM", throw: f"{name}:NC"})
        draft = draft.with_run(plus, common).with_run(contact.twin, f"{name}:A1").with_run(f"{name}:A2", minus)
        yield mutant(draft, lock.name, door.name)


@RELEASES.fault("alarm trigger taken from a sounder circuit: silenced, the doors lock again",
                "egress/stays-released-until-reset")  # fmt: skip
def _follows_sounders(plan: Standing) -> Iterator[Mutant]:
    for alarm in plan.of_kind("fire-alarm-relay"):
        draft = plan.draft.saying(alarm.name, "latches", "follows sounders")
        owing = [
            lock for _, lock in plan.doors(*OWING_ALARM, "alarm only") if alarm in [c.device for c in plan.feed(lock)]
        ]
        why = "" if owing or _acts_by_relay(plan, alarm) else "no lock that owes release on alarm hangs on it"
        yield mutant(draft, alarm.name, harmless=why)


def _acts_by_relay(plan: Standing, alarm: Device) -> bool:
    """Whether the alarm's contact feeds a coil or a trigger rather than a lock."""
    reached = {d.name for d, load in plan.loads() if d.kind == "relay" and alarm in
               [step[0] for step in plan.way(f"{d.name}:{load.a}")]}  # fmt: skip
    return bool(reached) or any(plan.draft.is_wired(f"{d.name}:trigger") for d in plan.of_kind("fire-trigger-supply"))


@RELEASES.fault("nothing said of whether the alarm's trigger latches", "egress/alarm-reset-unstated")
def _reset_unstated(plan: Standing) -> Iterator[Mutant]:
    for alarm in plan.of_kind("fire-alarm-relay"):
        owing = any(alarm in [c.device for c in plan.feed(lock)] for _, lock in plan.doors(*OWING_ALARM))
        if owing:
            yield mutant(plan.draft.saying(alarm.name, "latches"), alarm.name)


@RELEASES.fault("the panel's battery holds a door without end", "egress/panel-power-does-not-hold")
def _panel_battery_holds(plan: Standing) -> Iterator[Mutant]:
    for supply in plan.of_kind("supply"):
        if plan.draft.by_name[supply.name].says("drops"):
            fed = [(door, lock) for door, lock in plan.doors(*OWING) if plan.source_of(f"{lock.name}:+")[0] is supply]  # type: ignore[index]
            for door, lock in fed:
                yield mutant(plan.draft.saying(supply.name, "drops"), lock.name, door.name, supply.name)


@RELEASES.fault("alarm releases an output that no lock hangs on", "egress/fire-alarm-release")
def _lock_on_the_constant_output(plan: Standing) -> Iterator[Mutant]:
    for supply in plan.of_kind("fire-trigger-supply"):
        draft = plan.draft.renamed({f"{supply.name}:+": f"{supply.name}:aux+"})
        for door, lock in plan.doors(*OWING_ALARM):
            if supply in [c.device for c in plan.feed(lock)]:
                yield mutant(draft, lock.name, door.name)


@RELEASES.fault("button wired to the controller's request input alone", "egress/button-cuts-power-directly")
def _button_only_asks(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors("sensor release"):
        readers = plan.named(door, "reader")
        for contact in plan.feed(lock):
            if contact.device in plan.named(door, "button") and readers:
                reader, button = readers[0].name, contact.device.name
                draft = plan.draft.bridged(*contact.ends)
                draft = draft.without_ends(f"{button}:COM2", f"{button}:NO2", f"{button}:NC2")
                draft = draft.with_run(f"{button}:COM", f"{reader}:input-com").with_run(
                    f"{button}:NO", f"{reader}:request"
                )
                yield mutant(draft, lock.name, door.name, button)


@RELEASES.fault("switch in the bar wired to the controller alone", "egress/hardware-release-direct")
def _bar_only_asks(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors("hardware release"):
        readers = plan.named(door, "reader")
        for contact in plan.feed(lock):
            if contact.device in plan.named(door, "hardware") and readers:
                reader, bar = readers[0].name, contact.device.name
                draft = plan.draft.bridged(*contact.ends)
                draft = draft.with_run(f"{bar}:COM", f"{reader}:input-com").with_run(f"{bar}:NO", f"{reader}:request")
                yield mutant(draft, lock.name, door.name, bar)


@RELEASES.fault(
    "alarm and button work the same one relay, whose contact may weld",
    "egress/releases-independent",
)
def _one_relay_for_two_releases(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors("sensor release"):
        feed = plan.feed(lock)
        supply = plan.source_of(f"{lock.name}:+")
        buttons = [c for c in feed if c.device in plan.named(door, "button")]
        alarms = [c for c in feed if c.device.kind == "fire-alarm-relay"]
        if supply is None or len(buttons) != 1 or len(alarms) != 1:
            continue
        told = plan.draft.is_wired(f"{buttons[0].device.name}:COM2")
        draft = _through_one_relay(plan, buttons[0], alarms[0], supply)
        why = "the button also asks the reader, whose contact opens the feed if the relay's has welded" if told else ""
        yield mutant(draft, lock.name, door.name, draft.parts[-2].name, harmless=why)


def _through_one_relay(plan: Standing, button: Contact, alarm: Contact, supply: tuple[Device, str, str]) -> Draft:
    name, second = spare_name(plan.draft, "K"), spare_name(plan.draft, "FA")
    draft = plan.draft.with_run(*alarm.ends)
    draft = draft.with_part("relay", name, "coil 24 Vdc, 20 mA", *RELAY)
    said = tuple(e for e in plan.draft.by_name[alarm.device.name].entries if not e.startswith("poles"))
    draft = draft.with_part("fire-alarm-relay", second, *said)
    throw = "NO" if alarm.device.get("held-in") else "NC"
    draft = draft.renamed({button.ends[0]: f"{name}:COM", button.ends[1]: f"{name}:NO"})
    draft = draft.with_run(supply[1], f"{second}:COM").with_run(f"{second}:{throw}", button.ends[0])
    return draft.with_run(button.ends[1], f"{name}:A1").with_run(f"{name}:A2", supply[2])


@RELEASES.fault("alarm relay's coil on a strike at the entrance: open to everybody on alarm",
                "egress/free-door-dropped-by-alarm")  # fmt: skip
def _entrance_dropped_by_the_alarm(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors("free by lever", "free by panic bar"):
        supply = plan.source_of(f"{lock.name}:+")
        if door.get("entrance") is True and supply is not None and lock.get("fails") == "secure":
            name = spare_name(plan.draft, "FA")
            draft = plan.draft.with_part("fire-alarm-relay", name, "contacts 3 A at 30 Vdc", "latches until reset")
            draft = draft.with_run(supply[1], f"{name}:COM").with_run(f"{name}:NO", f"{lock.name}:+")
            yield mutant(draft, lock.name, door.name)


@RELEASES.fault(
    "a supply of its own keeps the lock held when the first has failed",
    "egress/supply-loss-release",
    heavy=MANY_CIRCUITS,
)
def _second_supply_holds(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors(*OWING):
        supply = plan.source_of(f"{lock.name}:+")
        feed = [c for c in plan.feed(lock) if not c.device.kind.endswith("supply")]
        if supply is None or not feed:
            continue
        name, diode = spare_name(plan.draft, "PS"), spare_name(plan.draft, "DX")
        draft = plan.draft.with_part("supply", name, "output 24 Vdc, 1 A").with_part("diode", diode, "rated 400 V, 3 A")
        draft = draft.with_run(f"{name}:+", f"{diode}:anode").with_run(f"{diode}:cathode", feed[0].ends[0])
        yield mutant(draft.with_run(f"{name}:-", supply[2]), lock.name, door.name)
