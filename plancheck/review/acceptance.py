"""The acceptance test sheet: step by step what to do, what each lock must do, and what a meter must show. SI.

The steps are the rows of the sequence of operation; nothing is expected that was not worked out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.replay import level_at, truth_at
from plancheck.plan.graph import Branch
from plancheck.review.document import SequenceDocument
from plancheck.review.operation import Holder, Works
from plancheck.review.sequence import DoorSequence, Outcome, Row

CAUTIONS = (
    "Isolate and prove dead before opening a case or touching a terminal; take volts with insulated probes, one hand "
    "clear. Work on mains parts is for licensed practice.",
    "Tell the alarm company and the people in the building before the fire alarm is set off, and put the panel back "
    "in service after it.",
    "Do not defeat entrapment protection, not even for a test. Keep people clear of the gate while it can move.",
    "Keep somebody at each door who can let people out by another way while its release is tested.",
    "Test egress before leaving: every way out, the alarm and the loss of power, at the door itself.",
    "What is expected was worked out from the plan, not from the site. Check local code; the authority having "
    "jurisdiction decides. Licensed practice and the devices' own instructions govern.",
)

SHARE, METER = 0.05, 0.2
"""Part of the volts, and volts, by which a reading may lie outside the worked-out band: what a supply's adjustment and
a meter may differ by (common practice, no source)."""

TOLERANCE = (
    "The volts that may be read: from the least to the most that the supplies' bands and the loads allow, as worked "
    f"out, and {100 * SHARE:g} % and {METER:g} V besides for adjustment and meter (common practice, no source)."
)

_CERTAIN = ("held", "released")
OBSERVE = "observe and write down"


@dataclass(frozen=True, slots=True)
class Reading:
    """What a meter must show, its first lead at `plus`; `why` is set where that could not be worked out."""

    plus: str
    minus: str
    mode: str
    volts: float = math.nan
    least: float = math.nan
    most: float = math.nan
    why: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One step. `must` tells of each lock or input what it must do; `setting` are the signals that it sets, by key."""

    number: str
    door: str
    do: str
    event: str
    setting: Mapping[str, bool]
    must: tuple[tuple[str, str], ...]
    readings: tuple[Reading, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class AcceptanceSheet:
    """All steps, those at the supplies first, then door by door."""

    steps: tuple[Step, ...]
    cautions: tuple[str, ...] = field(default=CAUTIONS)
    tolerance: str = field(default=TOLERANCE)


def acceptance(works: Works, told: SequenceDocument, holders: Sequence[Holder]) -> AcceptanceSheet:
    """The sheet of some doors and gates; `told` is their sequence of operation."""
    steps = [_supplies(works)] if works.facts.branches("source") else []
    for number, (door, holder) in enumerate(zip(told.doors, holders, strict=True), 1):
        steps += _of_door(works, number, door, holder)
    return AcceptanceSheet(tuple(steps))


def _supplies(works: Works) -> Step:
    """The volts of every output, first of all."""
    facts, condition = works.facts, works.start.condition
    readings = []
    for source in facts.branches("source"):
        try:
            live = truth_at(facts.live(source), condition)
        except NotAssessed:
            live = None
        if live:
            readings.append(_of_source(source))
    do = "Leave everything at rest: mains on, batteries charged, no alarm, nobody at any door."
    return Step("0.1", "", do, "in normal condition", {}, (), tuple(readings))


def _of_source(source: Branch) -> Reading:
    volts = source.number("volts")
    mode = str(source.data.get("form") or "dc")
    if volts is None:
        return Reading(source.a, source.b, mode, why=f"{source.device} states no output voltage")
    ends = [end for end in (source.number("least"), volts, source.number("most")) if end is not None]
    return _within(source.a, source.b, mode, volts, min(ends), max(ends))


def _within(plus: str, minus: str, mode: str, volts: float, least: float, most: float) -> Reading:
    """A reading with what supply and meter add to the band."""
    return Reading(plus, minus, mode, volts, max(least * (1 - SHARE) - METER, 0.0), most * (1 + SHARE) + METER)


def _of_door(works: Works, number: int, door: DoorSequence, holder: Holder) -> Iterator[Step]:
    loads = {part.subject: part.loads for part in holder.parts}
    for step, row in enumerate(door.rows, 1):
        readings = () if row.section == "after" else tuple(_readings(works, row, loads))
        must = tuple((outcome.part, _must(outcome, row)) for outcome in row.outcomes)
        notes = row.notes if row.section == "after" else tuple(n for n in row.notes if n)
        yield Step(f"{number}.{step}", door.name, _do(row), row.event, row.setting, must, readings, notes)


def _do(row: Row) -> str:
    match row.section:
        case "normal":
            return "Leave everything at rest: mains on, batteries charged, no alarm, nobody at the door."
        case "after":
            return f"{row.event[:1].upper()}{row.event[1:]}, everything else at rest."
        case "situation":
            return f"Bring about: {row.event}."
    return f"Bring about: {row.event}. Afterwards let it go."


def _must(outcome: Outcome, row: Row) -> str:
    """What a lock must do; where nothing is certain, it is to be written down."""
    if outcome.state in _CERTAIN or outcome.state in ("quiet", "acts") or outcome.state.startswith("told to"):
        return outcome.state
    return f"{outcome.state}: {OBSERVE}"


def _readings(works: Works, row: Row, loads: Mapping[str, tuple[Branch, ...]]) -> Iterator[Reading]:
    time = works.start.fork()
    time.change(row.setting)
    for outcome in row.outcomes:
        for load in loads[outcome.part]:
            yield _at(works.facts, load, time.condition)


def _at(facts: Facts, load: Branch, condition: Mapping[str, bool]) -> Reading:
    form = facts.form_seen(load)
    mode = form if form in ("dc", "ac") else "dc"
    try:
        volts = abs(level_at(facts.volts(load), condition))
        least = abs(level_at(facts.least_volts(load), condition))
        most = abs(level_at(facts.greatest_volts(load), condition))
    except NotAssessed as why:
        return Reading(load.a, load.b, mode, why=str(why))
    if not all(map(math.isfinite, (volts, least, most))):
        return Reading(load.a, load.b, mode, why="the volts there could not be worked out")
    return _within(load.a, load.b, mode, volts, min(least, volts), max(most, volts))


def condition_words(setting: Mapping[str, bool]) -> str:
    """A setting so that it can be read back: signals by key, `EB1.pressed on; alarm on`; empty at rest."""
    return "; ".join(f"{key} {'on' if on else 'off'}" for key, on in setting.items())
