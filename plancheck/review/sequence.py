"""The sequence of operation, worked out: for each door and gate, how its locks and inputs stand, event by event."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from plancheck.circuit.conditions import HELD, Truth
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.replay import index_of, level_at, truth_at
from plancheck.plan.model import Device, Sighting, Signal
from plancheck.review.operation import (
    Holder,
    Part,
    Works,
    mask_of,
    support,
)
from plancheck.rulebook.witness import in_words
from plancheck.units import Quantity

UNCERTAIN, VARIES, CHATTERS, NOT_ASSESSED = "uncertain", "varies", "chatters", "not assessed"

CAUTIONS = (
    "Worked out from what the plan says, not from the site; times are repeated as the plan states them and are not "
    "worked out.",
    "This is an aid, not a decision: check local code; the authority having jurisdiction decides. Licensed practice "
    "and the devices' own listings and instructions govern.",
    "Test every way out, the alarm and the loss of power at the door itself before anyone relies on it.",
)


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a lock or input stands in a row. `state` is a word of the part, or uncertain, varies, chatters, not assessed.

    `always`: whatever else is the case. `alone`: what else, each by itself, would change it; `together`: what has a
    say only in combination; `on`: what came before that it depends on. `volts` are those at the lock.
    """

    part: str
    state: str
    volts: float | None = None
    always: bool = False
    alone: tuple[str, ...] = ()
    together: tuple[str, ...] = ()
    on: tuple[str, ...] = ()
    after: str = ""
    """How it stands when the event is over, where that is otherwise than in normal condition."""
    path: tuple[str, ...] = ()
    why: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the sequence. `section`: normal, credential, way out, protection, other, situation, after."""

    section: str
    event: str
    outcomes: tuple[Outcome, ...]
    notes: tuple[str, ...] = ()
    setting: Mapping[str, bool] = field(default_factory=dict)
    """Signals by key, as the row sets them."""


@dataclass(frozen=True, slots=True)
class DoorSequence:
    """The sequence of one door or gate; of locks that no door names where `name` is empty."""

    name: str
    title: str
    is_gate: bool
    says: tuple[str, ...]
    """What the plan says of it, and of its parts without power."""
    rows: tuple[Row, ...]

    @property
    def wholly_assessed(self) -> bool:
        """Whether every row could be worked out."""
        return not any(o.state == NOT_ASSESSED for row in self.rows for o in row.outcomes)


def sequence_of(works: Works, holder: Holder) -> DoorSequence:
    """The sequence of operation of one door or gate."""
    device = holder.device
    rows = tuple(_rows(works, holder)) if holder.parts else ()
    title = device.title if device else ""
    return DoorSequence(holder.name, title, holder.is_gate, tuple(_says(works, holder)), rows)


def _rows(works: Works, holder: Holder) -> Iterator[Row]:
    felt = works.influences(holder)
    told: set[str] = set()
    desk = _Desk(works, holder)
    yield desk.row("normal", "in normal condition", {})
    sections = (("credential", works.credentials(holder)), ("way out", works.ways_out(holder)))
    for section, signals in sections:
        for signal in signals:
            told.add(signal.key)
            yield desk.of_signal(section, signal)
    told.update(key for setting in works.situations.values() for key in setting)
    for signal in felt:
        if signal.key not in told:
            yield desk.of_signal("protection" if signal.role == "obstruction" else "other", signal)
    events = list(_situations(works, felt))
    for name, setting, notes in events:
        yield desk.row("situation", name, setting, notes)
    for name, setting, _ in events:
        if (row := desk.after(name, setting)) is not None:
            yield row


Event = tuple[str, Mapping[str, bool], tuple[str, ...]]


def _situations(works: Works, felt: tuple[Signal, ...]) -> Iterator[Event]:
    """The situations of the rules, and before the first that takes reserves away, batteries exhausted by themselves."""
    exhausted = _exhausted(works, felt)
    reserves = set(works.facts.role("reserve"))
    for name, setting in works.situations.items():
        if exhausted and reserves & set(setting):
            yield "batteries exhausted", exhausted, ()
            exhausted = {}
        absent = works.absent(name)
        notes = [f"the plan draws no {role}" for role in absent]
        if setting and not any(s.key in setting for s in felt):
            notes.append("changes nothing here")
        yield name, setting, tuple(notes)
    if exhausted:
        yield "batteries exhausted", exhausted, ()


def _exhausted(works: Works, felt: tuple[Signal, ...]) -> dict[str, bool]:
    """Reserves that this door or gate feels, used up, with the mains of the same devices gone before them."""
    empty = {s.device for s in felt if s.role == "reserve"}
    roles = ("mains", "reserve")
    return {s.key: False for s in works.facts.signals.values() if s.device in empty and s.role in roles}


class _Desk:
    """Works out the rows of one door or gate."""

    def __init__(self, works: Works, holder: Holder) -> None:
        self.works, self.facts, self.holder = works, works.facts, holder
        self.normal = works.start.condition
        self.truths: list[tuple[Part, Truth | str]] = []
        for part in holder.parts:
            try:
                self.truths.append((part, part.truth(self.facts)))
            except NotAssessed as reason:
                self.truths.append((part, str(reason)))

    def of_signal(self, section: str, signal: Signal) -> Row:
        """The row of one signal, away from its rest."""
        event = in_words(self.facts, signal.key, not signal.rests_on)
        notes = tuple(_of_device(self.works, signal, self.holder))
        row = self.row(section, event, {signal.key: not signal.rests_on}, notes)
        if any(signal.key in support(t) for _, t in self.truths if isinstance(t, Truth)):
            return row
        return Row(section, event, row.outcomes, (*row.notes, "changes nothing by itself or with others"), row.setting)

    def row(self, section: str, event: str, setting: Mapping[str, bool], notes: tuple[str, ...] = ()) -> Row:
        """How every part stands while some signals are as told and everything else is at rest."""
        time = self.works.start.fork()
        time.change(setting)
        then = dict(time.condition)
        time.change({key: self.works.rest[key] for key in setting})
        outcomes = tuple(self._outcome(p, t, setting, then, time.condition) for p, t in self.truths)
        return Row(section, event, outcomes, notes, setting)

    def after(self, name: str, setting: Mapping[str, bool]) -> Row | None:
        """How every part stands when a situation that changes any of them is over, and whether by itself."""
        time = self.works.start.fork()
        time.change(setting)
        during = dict(time.condition)
        time.change({key: self.works.rest[key] for key in setting})
        later = time.condition
        outcomes = tuple(self._outcome(part, truth, {}, later, later) for part, truth in self.truths)
        moved = [(p, t) for p, t in self.truths if isinstance(t, Truth) and self._moves(t, during, later)]
        if not moved:
            return None
        notes = (self._way_back(part, truth, later) for part, truth in moved)
        return Row("after", f"after {name}", outcomes, (*notes, *_latching(self.works.cone(self.holder), setting)))

    def _moves(self, truth: Truth, during: Mapping[str, bool], later: Mapping[str, bool]) -> bool:
        """Whether a part stands otherwise than in normal condition, in a situation or when it is over."""
        return not truth_at(truth, during) is truth_at(truth, later) is truth_at(truth, self.normal)

    def _way_back(self, part: Part, truth: Truth, later: Mapping[str, bool]) -> str:
        word = self._word(part, truth, later)
        if truth_at(truth, later) is not truth_at(truth, self.normal):
            return f"{part.subject} stays “{word}” until something else resets it"
        return f"{part.subject} goes back to “{word}” by itself"

    def _outcome(
        self,
        part: Part,
        truth: Truth | str,
        setting: Mapping[str, bool],
        then: Mapping[str, bool],
        later: Mapping[str, bool],
    ) -> Outcome:
        if isinstance(truth, str):
            return Outcome(part.subject, NOT_ASSESSED, why=truth)
        depends = support(truth, setting)
        open_ones = [s for s in depends if s in self.facts.signals]
        state, on = self._state(part, truth, then, tuple(s for s in depends if s not in self.facts.signals))
        alone = [s for s in open_ones if _flips(truth, s, then)]
        joining = [s for s in open_ones if s not in alone and _joins(truth, s, then, setting)]
        normal = truth_at(truth, self.normal)
        after = "" if truth_at(truth, later) is normal else self._word(part, truth, later)
        return Outcome(
            part.subject,
            state,
            self._volts(part, then),
            always=not depends and state in (part.on, part.off),
            alone=tuple(in_words(self.facts, s, not then.get(s)) for s in alone),
            together=tuple(in_words(self.facts, s, not then.get(s)) for s in joining),
            on=on,
            after=after,
            path=self._path(part, then) if not setting else (),
        )

    def _state(
        self, part: Part, truth: Truth, then: Mapping[str, bool], hidden: tuple[str, ...]
    ) -> tuple[str, tuple[str, ...]]:
        """The state in one condition, and what else than signals of the plan it depends on there."""
        word = self._word(part, truth, then)
        mask = mask_of(truth.space, {s: then.get(s, False) for s in truth.space.signals if s not in hidden})
        if not hidden or any(mask & m == mask for m in (truth.yes, truth.no)):
            return word, ()
        on = tuple(in_words(self.facts, s, not then.get(s)) for s in hidden)
        held_in = all(s.endswith(HELD) for s in hidden)
        return (VARIES if held_in and word != UNCERTAIN else UNCERTAIN), on

    def _word(self, part: Part, truth: Truth, condition: Mapping[str, bool]) -> str:
        verdict = truth_at(truth, condition)
        if verdict is None:
            restless = any(truth_at(self.facts.chattering(load), condition) for load in part.loads)
            return CHATTERS if restless else UNCERTAIN
        return part.on if verdict else part.off

    def _volts(self, part: Part, condition: Mapping[str, bool]) -> float | None:
        """The greatest volts at the loads of a lock."""
        try:
            found = [abs(level_at(self.facts.volts(load), condition)) for load in part.loads]
        except NotAssessed:
            return None
        return max((v for v in found if math.isfinite(v)), default=None)

    def _path(self, part: Part, condition: Mapping[str, bool]) -> tuple[str, ...]:
        paths = (self.facts.path(load, condition) for load in part.loads)
        return next((path for path in paths if path), ())


def _flips(truth: Truth, signal: str, condition: Mapping[str, bool]) -> bool:
    """Whether one signal by itself changes a truth, from a condition on."""
    here = index_of(truth.space.signals, condition)
    there = here ^ 1 << truth.space.signals.index(signal)
    return any((mask >> here ^ mask >> there) & 1 for mask in (truth.yes, truth.no))


def _joins(truth: Truth, signal: str, condition: Mapping[str, bool], setting: Mapping[str, bool]) -> bool:
    """Whether a signal changes a truth where others have changed already, and would not have by themselves."""
    space = truth.space
    verdict = truth_at(truth, condition)
    same = truth.yes if verdict else truth.no if verdict is False else truth.maybe
    same &= mask_of(space, setting)
    run = 1 << space.signals.index(signal)
    on = space.on(signal)
    turned = (same & on) >> run if condition.get(signal) else (same & ~on) << run
    return bool(turned & ~same)


# --- what the plan says ------------------------------------------------------------------------------------


def _says(works: Works, holder: Holder) -> Iterator[str]:
    device, facts = holder.device, works.facts
    if device is None:
        yield "No door and no gate of the plan names these locks."
    elif device.base == "door":
        egress = device.get("egress")
        yield f"Way out, as the plan says: {egress}." if egress else "The plan does not say how people leave by it."
    if not holder.parts:
        yield "The plan draws no lock and no wired input for it: there is nothing to work out."
    for part in holder.parts:
        if part.sense is None:
            yield from _without_power(facts, part)
    for name in holder.unwired:
        yield f"{name}: not wired."


def _without_power(facts: Facts, part: Part) -> Iterator[str]:
    device = facts.plan.devices[part.device]
    kind = device.kind.replace("-", " ")
    try:
        held = facts.state_without_power(part.device, "secured")
    except NotAssessed as reason:
        yield f"{part.subject}, {kind}: {reason}."
        return
    yield f"{part.subject}, {kind}: {'stays locked' if held else 'lets go'} without power."


def _of_device(works: Works, signal: Signal, holder: Holder) -> Iterator[str]:
    """What the plan says of the device behind a signal: its times, and who works it."""
    device = works.facts.plan.devices.get(signal.device)
    if device is None:
        return
    yield from _times(device, signal)
    for other, sighting in works.workers.get(signal.key, ()):
        title = f" “{other.title}”" if other.title else ""
        yield f"{other.name}{title}" + (f": {_text(sighting)}" if sighting else "")
    if device.name in holder.ways_out or device in holder.named or not holder.device:
        return
    if signal.role in ("exit", "approach") and not holder.is_gate:
        yield f"{device.name} is not among the ways out that {holder.name} names"


def _times(device: Device, signal: Signal) -> Iterator[str]:
    number = signal.key[len(signal.key.rstrip("0123456789")) :]
    for slot, value in device.values.items():
        if isinstance(value, Quantity) and value.dimension == "time":
            yield f"{slot.replace('-', ' ')} {value.text}"
        for one in value if isinstance(value, tuple) else ():
            if isinstance(one, Sighting) and number and float(number) in one.values.values():
                yield _text(one)


def _text(sighting: Sighting) -> str:
    return " ".join(sighting.at.text.split())


def _latching(devices: Iterable[Device], setting: Mapping[str, bool]) -> Iterator[str]:
    """Flags of the devices behind signals that a situation sets: that a relay latches, what it follows."""
    for device in devices:
        if any(s.key in setting and s.role not in ("mains", "reserve") for s in device.signals.values()):
            flags = [slot.replace("-", " ") for slot, value in device.values.items() if value is True]
            if flags:
                yield f"{device.name}, as the plan says: {', '.join(flags)}"
