"""Mistakes of radio: pairing, bands, channels, aerials; and of the plan as a document."""

from __future__ import annotations

from collections.abc import Iterator

from tests.faults.draft import Draft, spare_name
from tests.faults.fault import Collection, Mutant, mutant
from tests.faults.standing import Standing

RADIO = Collection()


def _worked(draft: Draft, transmitter: str) -> list[str]:
    """The entries of a transmitter that pair a button."""
    return [e for e in draft.by_name[transmitter].entries if e.startswith("button ")]


@RADIO.fault("transmitter and receiver on different bands", "wiring/band-mismatch")
def _other_band(plan: Standing) -> Iterator[Mutant]:
    for sender in plan.of_kind("transmitter"):
        if plan.draft.by_name[sender.name].says("band"):
            receivers = {e.split()[3].partition(":")[0] for e in _worked(plan.draft, sender.name)}
            draft = plan.draft.saying(sender.name, "band", "band 315 MHz")
            yield mutant(draft, sender.name, *receivers)


@RADIO.fault("transmitter paired to no channel", "wiring/transmitter-unpaired")
def _paired_to_nothing(plan: Standing) -> Iterator[Mutant]:
    for sender in plan.of_kind("transmitter"):
        yield mutant(plan.draft.saying(sender.name, "button"), sender.name)


@RADIO.fault("channel that nobody works", "wiring/channel-unworked")
def _channel_unworked(plan: Standing) -> Iterator[Mutant]:
    for sender in plan.of_kind("transmitter"):
        pairs = _worked(plan.draft, sender.name)
        for pair in pairs:
            kept = [each for each in pairs if each is not pair]
            channel = pair.split()[3]
            others = [p for t in plan.of_kind("transmitter") if t is not sender for p in _worked(plan.draft, t.name)]
            why = "another transmitter works the channel" if any(channel in each for each in others) else ""
            draft = plan.draft.saying(sender.name, "button", *kept)
            yield mutant(draft, channel.partition(":")[0], sender.name, harmless=why)


@RADIO.fault("latched channel at a door: open until somebody presses again", "wiring/latched-channel")
def _latched_at_a_door(plan: Standing) -> Iterator[Mutant]:
    for door, lock in plan.doors():
        for contact in plan.feed(lock):
            if contact.device.kind == "radio-receiver":
                number = contact.throw[2:] or "1"
                draft = plan.draft.saying(contact.device.name, f"channel {number}", f"channel {number} latched")
                yield mutant(draft, contact.device.name, lock.name, door.name)


@RADIO.fault("remote aerial fitted, the receiver's own aerial left joined", "wiring/antenna-link-not-opened")
def _own_aerial_left(plan: Standing) -> Iterator[Mutant]:
    for receiver in plan.of_kind("radio-receiver"):
        name = spare_name(plan.draft, "AN")
        draft = plan.draft.with_part("antenna", name).saying(
            receiver.name, "own antenna link", "own antenna link closed"
        )
        if not plan.draft.is_wired(f"{receiver.name}:antenna"):
            draft = draft.with_run(f"{name}:feed", f"{receiver.name}:antenna")
            yield mutant(draft, receiver.name, name)


@RADIO.fault("plan without a revision", "file/revision-missing")
def _no_revision(plan: Standing) -> Iterator[Mutant]:
    draft = plan.draft.without_header("revision")
    yield Mutant(draft, frozenset({""}), "the whole plan")
