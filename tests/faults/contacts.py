"""Mistakes at contacts: which throw is used, and what becomes of the common."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.plan.model import Device
from tests.faults.draft import spare_name
from tests.faults.fault import Collection, Mutant, mutant
from tests.faults.standing import COMMANDED, OWING_ALARM, Contact, Standing

CONTACTS = Collection()
SWITCHING = (
    "radio-receiver", "relay", "exit-sensor", "exit-button", "bar-switch", "key-switch", "fire-alarm-relay",
    "push-button", "emergency-release",
)  # fmt: skip


def _commanded(plan: Standing, fails: str) -> Iterator[tuple[Device, Device, Contact]]:
    """The contacts in the feed of locks of one fail mode that follow a command, with door and lock."""
    for door, lock in plan.doors():
        if lock.get("fails") == fails:
            for contact in plan.feed(lock):
                if contact.device.kind in COMMANDED:
                    yield door, lock, contact


@CONTACTS.fault("magnet on the normally open contact, locked only while somebody asks", "wiring/contact-inverted")
def _magnet_on_normally_open(plan: Standing) -> Iterator[Mutant]:
    for door, lock, contact in _commanded(plan, "safe"):
        draft = plan.draft.exchanged(contact.ends[1], contact.twin)
        yield mutant(draft, contact.device.name, lock.name, door.name)


@CONTACTS.fault(
    "fail-secure lock on the normally closed contact, powered and unlocked all day", "wiring/contact-inverted"
)
def _strike_on_normally_closed(plan: Standing) -> Iterator[Mutant]:
    for door, lock, contact in _commanded(plan, "secure"):
        if contact.throw.startswith("NO"):
            draft = plan.draft.exchanged(contact.ends[1], contact.twin)
            yield mutant(draft, contact.device.name, lock.name, door.name)


@CONTACTS.fault("common and throw taken for each other, on the wrong throw as well", "wiring/contact-inverted")
def _common_and_throw_exchanged(plan: Standing) -> Iterator[Mutant]:
    for door, lock, contact in (*_commanded(plan, "secure"), *_commanded(plan, "safe")):
        common, throw = contact.ends
        names = (contact.device.name, lock.name, door.name)
        if contact.throw.startswith("NO") or lock.get("fails") == "safe":
            yield mutant(plan.draft.renamed({common: contact.twin, throw: common}), *names)
        yield mutant(
            plan.draft.exchanged(common, throw),
            *names,
            harmless="a contact has no direction: common and throw exchanged make and break the same",
        )


@CONTACTS.fault("alarm contact on the throw that closes on alarm", "egress/fire-alarm-release")
def _alarm_contact_on_the_wrong_throw(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors(*OWING_ALARM):
        for contact in plan.feed(lock):
            if contact.device.kind == "fire-alarm-relay":
                draft = plan.draft.exchanged(contact.ends[1], contact.twin)
                yield mutant(draft, lock.name, door.name, contact.device.name)


@CONTACTS.fault("sensor on the throw that closes on motion", "egress/sensor-releases")
def _sensor_on_the_wrong_throw(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors("sensor release"):
        for contact in plan.feed(lock):
            if contact.device.kind == "exit-sensor":
                draft = plan.draft.exchanged(contact.ends[1], contact.twin)
                yield mutant(draft, lock.name, door.name, contact.device.name)


@CONTACTS.fault("sensor whose relay acts on motion: dead, it locks people in", "egress/sensor-power-loss-release")
def _sensor_acts_on_motion(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors("sensor release"):
        for contact in plan.feed(lock):
            if contact.device.kind == "exit-sensor" and contact.throw == "NO":
                draft = plan.draft.exchanged(contact.ends[1], contact.twin)
                draft = draft.saying(contact.device.name, "relay", "relay acts on motion")
                yield mutant(draft, lock.name, door.name, contact.device.name)


@CONTACTS.fault("button's contact bridged", "egress/button-cuts-power-directly", "egress/hardware-release-direct")
def _button_bridged(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors("sensor release", "hardware release"):
        ways_out = {d.name for d in (*plan.named(door, "button"), *plan.named(door, "hardware"))}
        for contact in plan.feed(lock):
            if contact.device.name in ways_out:
                yield mutant(plan.draft.with_run(*contact.ends), lock.name, door.name, contact.device.name)


@CONTACTS.fault("button's contact beside the feed instead of in it", "egress/button-cuts-power-directly")
def _button_beside_the_feed(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors("sensor release"):
        buttons = plan.named(door, "button")
        for contact in plan.feed(lock):
            supply = plan.source_of(f"{lock.name}:+")
            if contact.device in buttons and supply is not None:
                draft = plan.draft.bridged(*contact.ends)
                draft = draft.with_run(supply[1], contact.ends[0]).with_run(contact.ends[1], f"{lock.name}:+")
                yield mutant(draft, lock.name, door.name, contact.device.name)


@CONTACTS.fault("common left without a wire", "wiring/terminal-unwired")
def _common_left_unwired(plan: Standing) -> Iterator[Mutant]:
    for _, lock in plan.doors():
        for contact in plan.feed(lock):
            if not contact.device.kind.endswith("supply"):
                yield mutant(plan.draft.without_ends(contact.ends[0]), contact.device.name)


@CONTACTS.fault(
    "normally open and normally closed both to the lock",
    "wiring/contact-without-effect",
    "wiring/contact-inverted",
    "egress/lock-is-controllable",
)
def _both_throws_to_the_lock(plan: Standing) -> Iterator[Mutant]:
    for fails in ("secure", "safe"):
        for door, lock, contact in _commanded(plan, fails):
            if not plan.draft.is_wired(contact.twin):
                draft = plan.draft.with_run(contact.ends[1], contact.twin)
                yield mutant(draft, contact.device.name, lock.name, door.name)


@CONTACTS.fault(
    "dry contact taken for one that gives volts: the lock hangs on its two terminals",
    "egress/lock-is-controllable",
    "wiring/terminal-unwired",
    "electrical/dead-short",
)
def _dry_taken_for_wet(plan: Standing) -> Iterator[Mutant]:
    for door, lock, contact in _commanded(plan, "secure"):
        draft = plan.draft.without_ends(contact.ends[0], f"{lock.name}:-")
        draft = draft.with_run(contact.ends[0], f"{lock.name}:-")
        yield mutant(draft, lock.name, contact.device.name, door.name)


@CONTACTS.fault("command contact bridged: nobody's credential counts", "wiring/contact-without-effect")
def _command_contact_bridged(plan: Standing) -> Iterator[Mutant]:
    for fails in ("secure", "safe"):
        for door, lock, contact in _commanded(plan, fails):
            yield mutant(plan.draft.with_run(*contact.ends), contact.device.name, lock.name, door.name)


@CONTACTS.fault("hold of a relay left out: locked only while the key is turned", "wiring/contact-inverted")
def _holding_contact_left_out(plan: Standing) -> Iterator[Mutant]:
    for relay in plan.of_kind("relay"):
        coil = f"{relay.name}:A1"
        for part in relay.primitives:
            if part.what == "contact" and plan.joined(f"{relay.name}:{part.b}", coil):
                draft = plan.draft.without_ends(f"{relay.name}:{part.a}", f"{relay.name}:{part.b}")
                if any(relay in [c.device for c in plan.feed(lock)] for _, lock in plan.doors()):
                    yield mutant(draft, relay.name)


@CONTACTS.fault("a relay's break contact in the feed of its own coil", "electrical/chatter")
def _relay_breaks_its_own_coil(plan: Standing) -> Iterator[Mutant]:
    for relay in plan.of_kind("relay"):
        coil, twin = f"{relay.name}:A1", relay.name
        used = {f"{relay.name}:{t}" for t in relay.terminals if plan.draft.is_wired(f"{relay.name}:{t}")}
        free = [p for p in relay.primitives if p.what == "contact" and "NC" in p.b]
        for part in free:
            common, throw = f"{relay.name}:{part.a}", f"{relay.name}:{part.b}"
            if throw in used or not plan.draft.is_wired(coil):
                continue
            loose = plan.draft.without_ends(common, throw, throw.replace("NC", "NO"))
            yield mutant(loose.renamed({coil: common}).with_run(throw, coil), twin)
            break


@CONTACTS.fault(
    "lock current led over a reader's small contact",
    "electrical/contact-rating",
)
def _lock_over_a_small_reader_contact(plan: Standing) -> Iterator[Mutant]:
    yield from _smaller_contacts(plan, ("reader", "keypad"))


@CONTACTS.fault("contact rated for far less than it switches", "electrical/contact-rating")
def _contact_too_small(plan: Standing) -> Iterator[Mutant]:
    yield from _smaller_contacts(plan, SWITCHING)


def _smaller_contacts(plan: Standing, kinds: tuple[str, ...]) -> Iterator[Mutant]:
    feeding = {c.device.name for _, lock in plan.doors() for c in plan.feed(lock)}
    for device in plan.of_kind(*kinds):
        if plan.draft.by_name[device.name].says("contacts"):
            draft = plan.draft.saying(device.name, "contacts", "contacts 5 mA at 30 Vdc")
            draft = draft.saying(device.name, "inductive", "inductive 2 mA")
            idle = not any(
                plan.joined(f"{device.name}:{p.a}", end) or plan.way(f"{device.name}:{p.a}")
                for p in device.primitives
                if p.what == "contact" and plan.draft.is_wired(f"{device.name}:{p.a}")
                for _, plus, minus in plan.sources
                for end in (plus, minus)
            )
            why = (
                "its contact only tells a dry input: it carries no load" if idle and device.name not in feeding else ""
            )
            yield mutant(draft, device.name, harmless=why)


@CONTACTS.fault("alarm contact tells the controller and no longer stands in the feed", "egress/alarm-cuts-power-itself")
def _alarm_tells_the_controller(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors(*OWING_ALARM):
        feed = plan.feed(lock)
        readers = [c.device for c in feed if c.device.kind == "reader"]
        for contact in feed:
            if contact.device.kind == "fire-alarm-relay" and readers:
                name = readers[0].name
                draft = plan.draft.with_run(*contact.ends)
                alarm = spare_name(plan.draft, "FA")
                draft = draft.with_part("fire-alarm-relay", alarm, "contacts 3 A at 30 Vdc", "latches until reset")
                draft = draft.with_run(f"{alarm}:COM", f"{name}:input-com").with_run(f"{alarm}:NO", f"{name}:alarm")
                yield mutant(draft, lock.name, door.name)


@CONTACTS.fault("alarm contact takes the power of a relay board that cuts the lock", "egress/alarm-cuts-power-itself")
def _alarm_takes_a_boards_power(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors(*OWING_ALARM):
        feed = plan.feed(lock)
        supply = plan.source_of(f"{lock.name}:+")
        for contact in feed:
            if contact.device.kind == "fire-alarm-relay" and supply is not None:
                common, throw = contact.ends
                board = spare_name(plan.draft, "KE")
                draft = plan.draft.with_part(
                    "electronic-relay", board, "rated 24 Vdc, 20 mA", "tolerates 11 Vdc to 30 Vdc",
                    "contacts 5 A at 30 Vdc", "inductive 2 A",
                )  # fmt: skip
                draft = draft.renamed({throw: f"{board}:NO"})
                draft = draft.with_run(supply[1], f"{board}:COM").with_run(throw, f"{board}:power+")
                yield mutant(draft.with_run(f"{board}:power-", supply[2]), lock.name, door.name)
                del common
