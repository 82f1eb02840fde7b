"""What may explain readings: single failures and exchanged wires, each worked out and read like the job on site."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations

from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.reached import reached
from plancheck.circuit.replay import Replay
from plancheck.circuit.scene import Scene, scene
from plancheck.circuit.values import LEAST, LEAST_AMPS, MOST, RATED, UNLOADED, Study
from plancheck.circuit.variation import AS_DRAWN, Variation
from plancheck.plan.model import Plan, Wire
from plancheck.review.acceptance import METER, SHARE

APART = 1.0
"""Volts by which two predictions must differ for a meter to tell them apart."""

_SAME = 2
"""Decimals of volts to which two predictions are one."""


@dataclass(frozen=True, slots=True)
class Read:
    """Volts read between two terminals, the signals of `setting` being away from rest."""

    plus: str
    minus: str
    volts: float
    setting: Mapping[str, bool]


@dataclass(frozen=True, slots=True)
class NextReading:
    """What to read next, to tell explanations apart: by volts, those that predict them."""

    plus: str
    minus: str
    setting: Mapping[str, bool]
    outcomes: tuple[tuple[float, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Band:
    """Volts at the supplies' rated volts, and the least and most that their bands and the loads allow."""

    volts: float
    least: float
    most: float

    def misses(self, read: float) -> float:
        """By how many volts a reading lies outside, adjustment and meter allowed for; 0 within."""
        low = self.least - SHARE * abs(self.least) - METER
        high = self.most + SHARE * abs(self.most) + METER
        return max(low - read, read - high, 0.0)


@dataclass(frozen=True, eq=False)
class Candidate:
    """Something that may be so on site: a plan, drawn otherwise perhaps, under a variation."""

    what: str
    facts: Facts
    variation: Variation = AS_DRAWN
    _scenes: dict[tuple[object, Study], Scene] = field(default_factory=dict)

    def volts(self, plus: str, minus: str, setting: Mapping[str, bool], study: Study = RATED) -> float:
        """What a meter would show. Raises NotAssessed."""
        key = tuple(setting.items()), study
        if key not in self._scenes:
            replay = Replay(self.facts.engine, self.facts.signals)
            replay.change({k: on for k, on in setting.items() if k in self.facts.signals})
            self._scenes[key] = scene(self.facts, replay.condition, self.variation, study)
        seen = self._scenes[key]
        for end in (plus, minus):
            if end in seen.unknown:
                raise NotAssessed(f"the volts at {end} could not be worked out in this condition")
        return seen.between(plus, minus)

    def band(self, read: Read) -> Band:
        """What a meter would show, with the least and most that it may. Raises NotAssessed."""
        told = {study: self.volts(read.plus, read.minus, read.setting, study) for study in _STUDIES}
        return Band(told[RATED], min(told.values()), max(told.values()))


_STUDIES = (RATED, LEAST, LEAST_AMPS, MOST, UNLOADED)


@dataclass(frozen=True, slots=True)
class Prediction:
    """What a candidate says of all readings: volts of each, None where not known; how many it explains; its misses."""

    told: tuple[float | None, ...]
    explained: int
    misfit: float


def ranked_by(
    reads: Sequence[Read], candidates: Iterable[Candidate], spread: tuple[float, float]
) -> list[tuple[Candidate, Prediction]]:
    """Candidates with what they predict: those that explain most readings first, then those that miss least.

    `spread` are the least and most parts of their rated volts that supplies may have.
    """
    found = [(candidate, _predicted(candidate, reads, spread)) for candidate in candidates]
    return sorted(found, key=lambda each: (-each[1].explained, round(each[1].misfit, _SAME)))


def _predicted(candidate: Candidate, reads: Sequence[Read], spread: tuple[float, float]) -> Prediction:
    told: list[float | None] = []
    explained, misfit = 0, 0.0
    for read in reads:
        try:
            volts = candidate.volts(read.plus, read.minus, read.setting)
        except NotAssessed:
            told.append(None)
            misfit += abs(read.volts)
            continue
        told.append(round(volts, _SAME))
        ends = [volts * part for part in spread]
        missed = Band(volts, min(ends), max(ends)).misses(read.volts)
        explained += missed == 0
        misfit += missed
    return Prediction(tuple(told), explained, misfit)


def spread_of(facts: Facts) -> tuple[float, float]:
    """The least and most parts of their rated volts that the supplies of a plan may have."""
    parts = [1.0]
    for source in facts.branches("source"):
        rated = source.number("volts")
        ends = (source.number("least"), source.number("most"))
        parts += [end / rated for end in ends if rated and end is not None]
    return min(parts), max(parts)


def near(facts: Facts, reads: Sequence[Read]) -> Plan:
    """As much of a plan as hangs together with what was read, with the cables between: what is tried is tried on it."""
    names = reached(facts, {end.partition(":")[0] for read in reads for end in (read.plus, read.minus)})
    wires = tuple(w for w in facts.plan.wires if w.a.device in names and w.b.device in names)
    kept = {*names, *(wire.cable for wire in wires if wire.cable)}
    devices = {name: device for name, device in facts.plan.devices.items() if name in kept}
    return replace(facts.plan, devices=devices, wires=wires)


def failed(facts: Facts) -> Iterator[Candidate]:
    """Every single failure of a plan."""
    for variation in facts.failures.all:
        if variation.failure is not None:
            yield Candidate(variation.failure.what, facts, variation)


def exchanged(part: Plan, reads: Sequence[Read]) -> list[tuple[str, Plan]]:
    """Every exchange of two wires that land on one device: what it is, and the plan as it is then.

    Two of one cable come first, then those at the devices where something was read.
    """
    names = {end.partition(":")[0] for read in reads for end in (read.plus, read.minus)}
    found = []
    for device, (one, side), (other, other_side) in _ends(part):
        first, second = getattr(part.wires[one], side), getattr(part.wires[other], other_side)
        wires = list(part.wires)
        wires[one] = replace(wires[one], **{side: second})
        wires[other] = replace(wires[other], **{other_side: first})
        both = part.wires[one], part.wires[other]
        cables = {wire.cable for wire in both}
        rank = len(cables) > 1 or "" in cables, device not in names
        what = f"{_named(both[0])} and {_named(both[1])} exchanged at {device}"
        found.append((rank, what, replace(part, wires=tuple(wires))))
    return [(what, plan) for _, what, plan in sorted(found, key=lambda each: each[0])]


End = tuple[int, str]
"""A wire by its number, and which of its ends: a or b."""


def _ends(plan: Plan) -> Iterator[tuple[str, End, End]]:
    """Two ends of different wires at one device, on different terminals."""
    at: dict[str, list[tuple[int, str, str]]] = defaultdict(list)
    for number, wire in enumerate(plan.wires):
        at[wire.a.device].append((number, "a", wire.a.key))
        at[wire.b.device].append((number, "b", wire.b.key))
    for device, ends in at.items():
        for (one, side, key), (other, other_side, other_key) in combinations(ends, 2):
            if one != other and key != other_key:
                yield device, (one, side), (other, other_side)


def _named(wire: Wire) -> str:
    return f"{wire.cable}/{wire.colour}" if wire.cable else f"wire {wire.a.key} to {wire.b.key}"


def next_reading(facts: Facts, reads: Sequence[Read], among: Sequence[Candidate]) -> NextReading | None:
    """The reading against a supply's return that parts candidates best; None where none does.

    In one of the conditions in which something was read, or with everything at rest: first where the least is left.
    """
    settings = list({tuple(r.setting.items()): r.setting for r in [*reads, Read("", "", 0.0, {})]}.values())
    minus = next((source.b for source in facts.branches("source")), "")
    best: NextReading | None = None
    fewest = len(among)
    for setting in settings:
        for plus in facts.graph.at:
            outcomes = _outcomes(among, plus, minus, setting)
            left = max((len(names) for _, names in outcomes), default=len(among))
            if left < fewest:
                best, fewest = NextReading(plus, minus, setting, outcomes), left
    return best


def _outcomes(
    among: Sequence[Candidate], plus: str, minus: str, setting: Mapping[str, bool]
) -> tuple[tuple[float, tuple[str, ...]], ...]:
    """Candidates by the volts that they predict, as far as a meter tells these apart; none where one is not known."""
    try:
        told = sorted((candidate.volts(plus, minus, setting), i) for i, candidate in enumerate(among))
    except NotAssessed:
        return ()
    found: list[tuple[float, list[str]]] = []
    for volts, i in told:
        if not found or volts - found[-1][0] >= APART:
            found.append((volts, []))
        found[-1][1].append(among[i].what)
    return tuple((volts, tuple(names)) for volts, names in found)
