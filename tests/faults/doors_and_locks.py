"""Mistakes in the choice of a lock, and in what the plan says of a door."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.plan.model import Device
from tests.faults.draft import spare_name
from tests.faults.fault import Collection, Mutant, mutant
from tests.faults.standing import OWING, OWING_ALARM, Standing, amount

DOORS = Collection()


def _rating(lock: Device) -> str:
    return f"rated {amount(lock.get('rated-volts')):g} Vdc, {amount(lock.get('rated-amps')) * 1000:g} mA"


def _band(plan: Standing, lock: Device) -> tuple[str, ...]:
    return tuple(e for e in plan.draft.by_name[lock.name].entries if e.startswith("tolerates "))


def _owing(plan: Standing) -> Iterator[tuple[Device, Device]]:
    yield from plan.doors(*OWING, "stair re-entry")


@DOORS.fault("fail-secure bolt on a door that power may hold shut", "egress/fail-safe-where-needed")
def _bolt_on_an_exit(plan: Standing) -> Iterator[Mutant]:
    for door, lock in _owing(plan):
        entries = (_rating(lock), *_band(plan, lock), "fails secure", "suppression built in")
        yield mutant(plan.draft.with_kind(lock.name, "electric-bolt", *entries), lock.name, door.name)


@DOORS.fault("fail-safe strike on a fire door", "egress/fire-door-latches")
def _fail_safe_strike_on_a_fire_door(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors():
        if amount(door.get("fire-rating")) > 0 and lock.kind == "electric-strike":
            yield mutant(plan.draft.saying(lock.name, "fails", "fails safe"), lock.name, door.name)


@DOORS.fault("a magnet as all that keeps a fire door shut", "egress/fire-door-latches")
def _magnet_alone_on_a_fire_door(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors(*OWING):
        if lock.kind == "magnetic-lock" and not plan.draft.by_name[door.name].says("latched"):
            yield mutant(plan.draft.saying(door.name, "fire rated", "fire rated 90 min"), lock.name, door.name)


@DOORS.fault("strike on a stair door: unlocked, it is unlatched", "egress/stair-re-entry")
def _strike_on_a_stair_door(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors("stair re-entry"):
        entries = (_rating(lock), "fails safe", "suppression built in")
        yield mutant(plan.draft.with_kind(lock.name, "electric-strike", *entries), lock.name, door.name)


@DOORS.fault("magnet on a door that its lever or bar is said to open", "egress/free-door-is-free")
def _magnet_on_a_free_door(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors("free by lever", "free by panic bar"):
        entries = (_rating(lock), *_band(plan, lock), "suppression built in")
        yield mutant(plan.draft.with_kind(lock.name, "magnetic-lock", *entries), lock.name, door.name)


@DOORS.fault("no egress class on a door with an electric lock", "egress/class-declared")
def _class_forgotten(plan: Standing) -> Iterator[Mutant]:
    for door, _ in plan.doors():
        yield mutant(plan.draft.saying(door.name, "egress"), door.name)


@DOORS.fault("a door that opens on fire alarm alone, on a way out", "egress/alarm-only-release")
def _alarm_only(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors():
        on_a_way_out = door.get("on-exit-path") is True or door.get("stair") is True
        yield mutant(
            plan.draft.saying(door.name, "egress", "egress alarm only"),
            door.name,
            lock.name,
            harmless="" if on_a_way_out else "the door lies on no way out",
        )


@DOORS.fault("no clause claimed for a door that power may hold shut", "egress/clause-claimed")
def _clause_forgotten(plan: Standing) -> Iterator[Mutant]:
    for door, _ in _owing(plan):
        yield mutant(plan.draft.saying(door.name, "claimed"), door.name)


@DOORS.fault("the clause of another class claimed", "egress/clause-claimed")
def _wrong_clause(plan: Standing) -> Iterator[Mutant]:
    for door, _ in _owing(plan):
        other = "IBC 2018, 1010.1.9.8" if door.get("egress") == "sensor release" else "IBC 2021, 1010.2.12"
        yield mutant(plan.draft.saying(door.name, "claimed", f'claimed under "{other}"'), door.name)


# --- what stands beside the door -----------------------------------------------------------------------------


def _thirty_seconds(plan: Standing) -> str:
    return "" if plan.plan.jurisdiction == "us" else "thirty seconds, height and distance are asked in the US alone"


@DOORS.fault("button that holds five seconds", "egress/button-holds-long-enough")
def _short_hold(plan: Standing) -> Iterator[Mutant]:
    for door, button in _buttons(plan):
        draft = plan.draft.saying(button.name, "holds", "holds 5 s")
        timed = any(c.device.kind == "timer-relay" for lock in plan.named(door, "locks") for c in plan.feed(lock))
        why = "a timer relay that the button starts keeps the feed open for thirty seconds" if timed else ""
        yield mutant(draft, button.name, door.name, harmless=why or _thirty_seconds(plan))


@DOORS.fault("button seven feet from the door", "egress/button-location")
def _button_far_away(plan: Standing) -> Iterator[Mutant]:
    for door, button in _buttons(plan):
        draft = plan.draft.saying(button.name, "mounted", "mounted 44 in above floor, 7 ft from door")
        yield mutant(draft, button.name, door.name, harmless=_thirty_seconds(plan))


@DOORS.fault("button too high for a seated hand", "egress/button-location")
def _button_too_high(plan: Standing) -> Iterator[Mutant]:
    for door, button in _buttons(plan):
        draft = plan.draft.saying(button.name, "mounted", "mounted 60 in above floor, 40 in from door")
        yield mutant(draft, button.name, door.name, harmless=_thirty_seconds(plan))


@DOORS.fault("button that does not say what it is for", "egress/button-marking")
def _button_mismarked(plan: Standing) -> Iterator[Mutant]:
    for door, button in _buttons(plan):
        draft = plan.draft.saying(button.name, "marked", 'marked "BELL"')
        yield mutant(draft, button.name, door.name, harmless=_thirty_seconds(plan))


@DOORS.fault("a sensor-release door without its button", "egress/button-present")
def _button_forgotten(plan: Standing) -> Iterator[Mutant]:
    for door, button in _buttons(plan):
        draft = plan.draft.saying(door.name, "button")
        for contact in plan.feed(plan.named(door, "locks")[0]):
            if contact.device is button:
                draft = draft.bridged(*contact.ends)
        yield mutant(draft.without_part(button.name), door.name, harmless=_thirty_seconds(plan))


@DOORS.fault("a sensor-release door without its sensor", "egress/sensor-present")
def _sensor_forgotten(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors("sensor release"):
        draft = plan.draft.saying(door.name, "sensor")
        for contact in plan.feed(lock):
            if contact.device in plan.named(door, "sensor"):
                draft = draft.bridged(*contact.ends).without_part(contact.device.name)
        yield mutant(draft, door.name)


@DOORS.fault("a touch button in the place of the direct-acting one", "egress/button-cuts-power-directly")
def _touch_button(plan: Standing) -> Iterator[Mutant]:
    for door, button in _buttons(plan):
        lock = plan.named(door, "locks")[0]
        supply = plan.source_of(f"{lock.name}:+")
        if supply is not None and any(c.device is button and c.throw == "NC" for c in plan.feed(lock)):
            kept = [e for e in plan.draft.by_name[button.name].entries if not e.startswith("ac ")]
            draft = plan.draft.without_ends(*(f"{button.name}:{t}2" for t in ("COM", "NO", "NC")))
            entries = ("rated 24 Vdc, 20 mA", "tolerates 11 Vdc to 30 Vdc", *kept)
            draft = draft.with_kind(button.name, "touch-exit-button", *entries)
            draft = draft.with_run(supply[1], f"{button.name}:power+").with_run(f"{button.name}:power-", supply[2])
            yield mutant(draft, lock.name, door.name, button.name)


@DOORS.fault("an emergency release screwed on beside the door and never wired", "egress/way-out-without-effect")
def _release_never_wired(plan: Standing) -> Iterator[Mutant]:
    for door, _ in plan.doors():
        name = spare_name(plan.draft, "ER")
        draft = plan.draft.with_part("emergency-release", name, "contacts 3 A at 30 Vdc", "inductive 1.5 A")
        yield mutant(draft.saying(door.name, "release", f"release {name}"), name, door.name)


def _buttons(plan: Standing) -> Iterator[tuple[Device, Device]]:
    for door in plan.plan.with_base("door"):
        if door.get("egress") == "sensor release":
            for button in plan.named(door, "button"):
                yield door, button


# --- delayed egress ----------------------------------------------------------------------------------------


@DOORS.fault("a delay of 45 seconds", "egress/delayed-egress-limits")
def _long_delay(plan: Standing) -> Iterator[Mutant]:
    for door, _ in plan.doors("delayed"):
        draft = plan.draft.saying(door.name, "egress", "egress delayed 45 s")
        yield mutant(draft, door.name, harmless=_delay_asked(plan))


@DOORS.fault("a delay of 30 seconds that nobody agreed to", "egress/delayed-egress-agreed")
def _delay_not_agreed(plan: Standing) -> Iterator[Mutant]:
    for door, _ in plan.doors("delayed"):
        yield mutant(plan.draft.saying(door.name, "egress", "egress delayed 30 s"), door.name)


@DOORS.fault("a delay that takes 30 lbf to start", "egress/delayed-egress-limits")
def _hard_to_start(plan: Standing) -> Iterator[Mutant]:
    for door, _ in plan.doors("delayed"):
        draft = plan.draft.saying(door.name, "starts", "starts at 30 lbf within 3 s")
        yield mutant(draft, door.name, harmless=_delay_asked(plan))


@DOORS.fault("delayed egress without its sign", "egress/delayed-egress-unstated")
def _no_sign(plan: Standing) -> Iterator[Mutant]:
    for door, _ in plan.doors("delayed"):
        yield mutant(plan.draft.saying(door.name, "sign"), door.name)


def _delay_asked(plan: Standing) -> str:
    return "" if plan.plan.jurisdiction == "us" else "the limits of delay and force are those of US codes"


# --- two locks on one door ---------------------------------------------------------------------------------


@DOORS.fault(
    "a second lock on the door, fed past everything that lets go",
    "egress/lock-is-controllable",
    "egress/fire-alarm-release",
    "egress/one-releasing-operation",
)
def _second_lock_never_released(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors(*OWING):
        supply = plan.source_of(f"{lock.name}:+")
        if supply is not None:
            name = spare_name(plan.draft, "ML")
            entries = (_rating(lock), *_band(plan, lock), "suppression built in")
            draft = plan.draft.with_part("magnetic-lock", name, *entries)
            locks = ", ".join([*(each.name for each in plan.named(door, "locks")), name])
            draft = draft.saying(door.name, "locks", f"locks {locks}")
            yield mutant(draft.with_run(supply[1], f"{name}:+").with_run(f"{name}:-", supply[2]), name, door.name)


@DOORS.fault(
    "one of two locks fed around the button or bar",
    "egress/one-releasing-operation",
    "egress/hardware-release-direct",
)
def _one_lock_of_two_released(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors(*OWING):
        ways_out = [d for slot in ("sensor", "button", "hardware", "release") for d in plan.named(door, slot)]
        passed = [c for c in plan.feed(lock) if c.device in ways_out and f"{lock.name}:+" in plan.nets]
        if len(plan.named(door, "locks")) < 2 or not passed or lock is plan.named(door, "locks")[0]:
            continue
        draft = plan.draft.without_ends(f"{lock.name}:+").with_run(passed[0].ends[0], f"{lock.name}:+")
        yield mutant(draft, door.name, lock.name)


@DOORS.fault("the alarm breaks the minus of one lock of two", "egress/fire-alarm-release")
def _alarm_in_one_minus_of_two(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors(*OWING_ALARM):
        alarms = [c for c in plan.feed(lock) if c.device.kind == "fire-alarm-relay"]
        others = [other for other in plan.named(door, "locks") if other is not lock]
        minus = f"{lock.name}:-"
        if others and len(alarms) == 1 and len(plan.draft.touching(minus)) == 1:
            common, throw = alarms[0].ends
            supply = plan.source_of(f"{lock.name}:+")
            assert supply is not None
            draft = plan.draft.bridged(common, throw).without_ends(minus)
            draft = draft.with_run(minus, common).with_run(throw, supply[2])
            yield mutant(draft, door.name, *(other.name for other in others))
