"""The table of single failures: what each of them does to every door and gate, worst first, alike ones together."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from plancheck.circuit.conditions import Truth, members
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.replay import index_of, level_at, truth_at
from plancheck.circuit.variation import FAILURE_KINDS, Failure, Variation
from plancheck.plan.model import Device
from plancheck.review.operation import (
    COMMANDS,
    Holder,
    Part,
    Works,
    certainly_off,
    mask_of,
)
from plancheck.rulebook.asked import asked_of
from plancheck.rulebook.witness import away_from_rest, in_words, listed

LOCKS_IN = "locks people in"
RUNS = "gate commanded by itself"
UNPROTECTED = "protection lost"
NOT_ASSESSED = "not assessed"
WEAKENS = "weakens a release"
NO_ANSWER = "no answer to a credential or command"
UNLOCKED = "left unlocked"
STILL = "gate stands still"
OTHER = "another change"
NOTHING = "no change"
EFFECTS = (LOCKS_IN, RUNS, UNPROTECTED, NOT_ASSESSED, WEAKENS, NO_ANSWER, UNLOCKED, STILL, OTHER, NOTHING)
"""What a failure can do, worst first."""

RELEASE_RULE = "egress/total-power-loss-release"
"""The rule whose `for each` and `where` say of which doors release is asked."""

HALTS = ("stop", "reverse")
"""Commands that keep a gate from harm; every other command moves it."""

NOT_COVERED = (
    "Electronics that fail otherwise than by going dead, or by a contact that sticks or welds; software.",
    "Two failures at once, and a hidden one that only a second shows.",
    "One cause that moves several contacts: a jammed button, a stuck armature, an alarm panel that does not act.",
    "Coils and other loads that are shorted inside.",
    "Mechanical failures: latches, bolts, keepers, hinges, closers, the leaf itself.",
    "The moment until a protector opens on a short: with twice its rating through it, it is taken to have opened.",
    "Whatever the plan does not draw: the mains side, the inside of the alarm panel, radio interference.",
)


@dataclass(frozen=True, slots=True)
class Effect:
    """What a failure does to a door or gate; `name` is empty for locks that nobody names."""

    name: str
    what: str
    says: str
    part: str = ""
    condition: tuple[tuple[str, bool], ...] = field(default=(), compare=False)
    """Where it shows, as (signal key, on); empty where no one condition tells it. Alike effects may differ in it."""

    @property
    def rank(self) -> int:
        """0 for the worst."""
        return EFFECTS.index(self.what)


@dataclass(frozen=True, slots=True)
class Group:
    """Failures with one and the same effect on everything."""

    effects: tuple[Effect, ...]
    failures: tuple[Failure, ...]
    evidence: str = ""
    """Volts and path behind the worst effect, for the first of the failures."""

    @property
    def worst(self) -> str:
        """The worst that they do."""
        return self.effects[0].what if self.effects else NOTHING


@dataclass(frozen=True)
class FailureTable:
    """Groups worst first, those without effect last; `beforehand` tells what is wrong with nothing failed."""

    groups: tuple[Group, ...]
    asking: tuple[str, ...] = ()
    """Doors of which release is asked."""
    beforehand: tuple[str, ...] = ()
    by_kind: Mapping[str, int] = field(default_factory=dict)
    by_effect: Mapping[str, int] = field(default_factory=dict)

    @property
    def wholly_assessed(self) -> bool:
        """Whether the effect of every failure could be worked out."""
        return not self.by_effect.get(NOT_ASSESSED)


def failure_table(works: Works, holders: Sequence[Holder]) -> FailureTable:
    """The table of all single failures, for some doors and gates."""
    failures = works.facts.failures
    asking, known = asks_release(works)
    found: dict[Failure, list[Effect]] = {}
    beforehand = [] if known else ["No rule says of which doors release is asked: it was taken as asked of all."]
    for holder in holders:
        silent = holder.device is not None and holder.device.base == "door" and holder.device.get("egress") is None
        if silent and holder.parts:
            beforehand.append(f"How people leave by {holder.name} the plan does not say: release was taken as owed.")
        bench = _Bench(works, holder, holder.name in asking or silent or (not known and not holder.is_gate))
        beforehand += bench.beforehand()
        alike: dict[Variation, tuple[Effect, ...]] = {}
        for variation, felt in failures.felt(key for part in holder.parts for key in part.keys):
            assert variation.failure is not None
            if felt not in alike:
                alike[felt] = bench.effects(felt)
            if alike[felt]:
                found.setdefault(variation.failure, []).extend(alike[felt])
    groups = _grouped(works.facts, [v.failure for v in failures.all if v.failure is not None], found)
    return FailureTable(
        groups,
        asking=tuple(h.name for h in holders if h.name in asking),
        beforehand=tuple(beforehand),
        by_kind=_by_kind(failures.all),
        by_effect=_by_effect(groups),
    )


def asks_release(works: Works) -> tuple[frozenset[str], bool]:
    """Names of the doors of which the rules ask release after a failure, and whether any rule says so."""
    rule = works.rulebook.get(RELEASE_RULE)
    if rule is None:
        return frozenset(), False
    things = (thing for bound in asked_of(rule, works.inventory) for thing in bound)
    return frozenset(t.name for t in things if isinstance(t, Device) and t.base == "door"), True


def _by_kind(failures: Sequence[Variation]) -> dict[str, int]:
    counts = Counter(v.failure.kind for v in failures if v.failure is not None)
    return {kind: counts[kind] for kind in FAILURE_KINDS}


def _by_effect(groups: Sequence[Group]) -> dict[str, int]:
    counts: Counter[str] = Counter()
    for group in groups:
        counts[group.worst] += len(group.failures)
    return {what: counts[what] for what in EFFECTS if counts[what]}


def _grouped(facts: Facts, every: Sequence[Failure], found: Mapping[Failure, list[Effect]]) -> tuple[Group, ...]:
    alike: dict[tuple[Effect, ...], list[Failure]] = {}
    for failure in every:
        effects = tuple(sorted(found.get(failure, ()), key=lambda e: e.rank))
        alike.setdefault(effects, []).append(failure)
    groups = (
        Group(effects, tuple(failures), _evidence(facts, effects, failures)) for effects, failures in alike.items()
    )
    return tuple(sorted(groups, key=lambda group: EFFECTS.index(group.worst)))


def _evidence(facts: Facts, effects: Sequence[Effect], failures: Sequence[Failure]) -> str:
    """Volts at the lock and the way of the current, for the first failure: what a meter would find."""
    if not effects or not effects[0].condition:
        return ""
    condition, variation = dict(effects[0].condition), Variation(failure=failures[0])
    for load in facts.branches("load", effects[0].part):
        try:
            volts = abs(level_at(facts.volts(load, variation), condition))
            path = facts.path(load, condition, variation)
        except NotAssessed:
            continue
        if path and math.isfinite(volts):
            from plancheck.units import show

            return f"{failures[0].what}: {show(volts, 'voltage')} at {effects[0].part} by {' → '.join(path)}"
    return ""


class _Bench:
    """Holds what failures make of one door or gate against what was drawn."""

    def __init__(self, works: Works, holder: Holder, asked: bool) -> None:
        self.works, self.facts, self.holder, self.asked = works, works.facts, holder, asked
        self.rest = works.rest
        self.drawn = [(part, _truth(part, self.facts)) for part in holder.parts]
        out = {s.key: not s.rests_on for s in works.ways_out(holder)}
        self.every_way = out | dict.fromkeys(self.facts.role("alarm"), True)
        ways = [(in_words(self.facts, key, on), {key: on}) for key, on in out.items()]
        self.ways = ways + [(name, setting) for name, setting in works.situations.items() if setting]
        asking = works.credentials(holder)
        self.asking = [(in_words(self.facts, s.key, not s.rests_on), {s.key: not s.rests_on}) for s in asking]
        hazards = [s for s in works.influences(holder) if s.role == "obstruction"]
        self.hazards = [(in_words(self.facts, s.key, not s.rests_on), {s.key: not s.rests_on}) for s in hazards]

    def beforehand(self) -> Iterator[str]:
        """What is amiss with nothing failed: failures are then no worse than the plan itself."""
        for part, truth in self.drawn:
            if isinstance(truth, str):
                yield f"{self.holder.name} {part.subject}: not assessed with nothing failed: {truth}.".strip()
            elif part.sense is None and self.asked and not certainly_off(truth, self.every_way):
                yield f"{part.subject} of {self.holder.name} does not surely let go even with nothing failed."

    def effects(self, variation: Variation) -> tuple[Effect, ...]:
        """What a failure does here."""
        found: dict[Effect, None] = {}
        for part, drawn in self.drawn:
            failed = _truth(part, self.facts, variation)
            if isinstance(drawn, str) or isinstance(failed, str):
                reason = drawn if isinstance(drawn, str) else failed
                found[self._effect(NOT_ASSESSED, f"{part.subject}: {reason}", part)] = None
            elif not _alike(drawn, failed):
                found.update(dict.fromkeys(self._changes(part, drawn, failed)))
        return tuple(found)

    def _changes(self, part: Part, drawn: Truth, failed: Truth) -> list[Effect]:
        changes = self._of_lock if part.sense is None else self._of_input
        return list(changes(part, drawn, failed)) or [self._other(part, drawn, failed)]

    def _of_lock(self, part: Part, drawn: Truth, failed: Truth) -> Iterator[Effect]:
        if self.asked and not certainly_off(failed, self.every_way):
            witness = self._witness(failed, mask_of(failed.space, self.every_way) & ~failed.no)
            condition = {**self.every_way, **witness}
            word = "stays" if truth_at(failed, condition) else "may stay"
            if self.every_way:
                says = f"{part.subject} {word} held even with {self._said(condition)}"
            else:
                says = f"{part.subject} {word} held: the door has no way out and no alarm that act on it"
            yield self._effect(LOCKS_IN, says, part, condition)
        elif lost := [words for words, setting in self.ways if self._lost(drawn, failed, setting)]:
            yield self._effect(WEAKENS, f"{listed(lost, 'or')} no longer releases {part.subject}", part)
        lost = [words for words, setting in self.asking if self._opens(drawn, setting) > self._opens(failed, setting)]
        if lost:
            yield self._effect(NO_ANSWER, f"{listed(lost, 'or')} no longer releases {part.subject}", part)
        yield from self._unlocked(part, drawn, failed)

    def _unlocked(self, part: Part, drawn: Truth, failed: Truth) -> Iterator[Effect]:
        # That an alarm releases what it did not release before is no loss.
        alarms = set(self.facts.role("alarm"))
        events = ((f"on {name}", s) for name, s in self.works.situations.items() if s and not alarms & set(s))
        settings = [("in normal condition", {}), *events]
        for words, setting in settings:
            condition = {**self.rest, **setting}
            now = truth_at(failed, condition)
            if truth_at(drawn, condition) and now is not True:
                word = "is" if now is False else "may be"
                yield self._effect(UNLOCKED, f"{part.subject} {word} released {words}", part)
                return

    def _of_input(self, part: Part, drawn: Truth, failed: Truth) -> Iterator[Effect]:
        moves = not part.safety and part.command not in HALTS
        lost = [w for w, s in (self.hazards if part.safety else self.asking) if self._acts(drawn, failed, s)]
        if lost:
            what = NO_ANSWER if moves else UNPROTECTED
            yield self._effect(what, f"{listed(lost, 'or')}: {part.subject} is no longer {part.on}", part)
        quiet = {s.key: s.rests_on for s in self.facts.signals.values() if s.role in COMMANDS}
        alone = mask_of(failed.space, {key: quiet[key] for key in failed.space.signals if key in quiet})
        if moves and (mask := alone & ~failed.no & _over(drawn, failed).no):
            condition = self._witness(failed, mask)
            word = "is" if truth_at(failed, condition) else "may be"
            yield self._effect(RUNS, f"{part.subject} {word} {part.on}, {self._said(condition)}", part, condition)
        elif not moves and truth_at(drawn, self.rest) is False and truth_at(failed, self.rest) is not False:
            yield self._effect(STILL, f"{part.subject} is {part.on} in normal condition", part)

    def _other(self, part: Part, drawn: Truth, failed: Truth) -> Effect:
        space = failed.space.joined(drawn.space)
        one, two = drawn.over(space), failed.over(space)
        condition = self._witness(two, (one.yes ^ two.yes) | (one.no ^ two.no))
        now = truth_at(two, condition)
        word = "uncertain" if now is None else part.on if now else part.off
        return self._effect(OTHER, f"{part.subject} is {word}, {self._said(condition)}", part)

    def _effect(self, what: str, says: str, part: Part, condition: Mapping[str, bool] | None = None) -> Effect:
        return Effect(self.holder.name, what, says, part.device, tuple((condition or {}).items()))

    def _lost(self, drawn: Truth, failed: Truth, setting: Mapping[str, bool]) -> bool:
        """Whether something let go as drawn, always or at least from normal condition, and does so no more."""
        if certainly_off(drawn, setting) and not certainly_off(failed, setting):
            return True
        condition = {**self.rest, **setting}
        return truth_at(drawn, condition) is False and truth_at(failed, condition) is not False

    def _opens(self, truth: Truth, setting: Mapping[str, bool]) -> bool:
        return truth_at(truth, {**self.rest, **setting}) is False

    def _acts(self, drawn: Truth, failed: Truth, setting: Mapping[str, bool]) -> bool:
        """Whether an input acted as drawn and does so no more."""
        condition = {**self.rest, **setting}
        before = truth_at(drawn, condition) is True and truth_at(drawn, self.rest) is False
        return before and truth_at(failed, condition) is not True

    def _witness(self, truth: Truth, mask: int) -> dict[str, bool]:
        """The condition of a mask that is nearest to rest, told in the signals of the space."""
        rest = index_of(truth.space.signals, self.rest)
        index = min(members(mask), key=lambda i: ((i ^ rest).bit_count(), i))
        return truth.space.condition(index)

    def _said(self, condition: Mapping[str, bool]) -> str:
        return listed(list(away_from_rest(self.facts, condition))) or "in normal condition"


def _truth(part: Part, facts: Facts, variation: Variation | None = None) -> Truth | str:
    try:
        return part.truth(facts) if variation is None else part.truth(facts, variation)
    except NotAssessed as reason:
        return str(reason)


def _alike(one: Truth, other: Truth) -> bool:
    space = one.space.joined(other.space)
    return one.over(space) == other.over(space)


def _over(truth: Truth, other: Truth) -> Truth:
    """A truth over the space of another, as far as that space tells its signals; the rest of them at rest."""
    return truth.over(other.space.joined(truth.space))
