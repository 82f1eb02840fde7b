"""What hangs on each supply, as a sum; what its battery has to give, step by step; what each protector carries."""

from __future__ import annotations

import math
from collections.abc import Iterator

from plancheck.circuit.demand import greatest_in, where_greatest
from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.readings import demands
from plancheck.circuit.values import source_limit
from plancheck.circuit.variation import AS_DRAWN
from plancheck.plan.graph import Branch
from plancheck.plan.model import Device
from plancheck.review.operation import Works
from plancheck.review.schedules.table import Amount, Cell, Schedule
from plancheck.rulebook.claims import Unknown
from plancheck.rulebook.rule import Rulebook
from plancheck.rulebook.witness import AT_REST, away_from_rest, listed
from plancheck.rulebook.words_of_batteries import BATTERY_WORDS

BATTERY_RULE = "electrical/battery-standby"
"""The rule whose margin the calculation shows."""

Row = tuple[Cell, ...]


def supply_loads(works: Works) -> Schedule:
    """The most that is asked of each output, circuit by circuit, in the worst condition for it.

    Of several sources at one output, such as mains and reserve, that of which most is asked.
    """
    outputs: dict[tuple[str, str], Branch] = {}
    for source in works.facts.branches("source"):
        before = outputs.get((source.a, source.b))
        if before is None or _most(works.facts, source) > _most(works.facts, before):
            outputs[source.a, source.b] = source
    rows = tuple(row for source in outputs.values() for row in _load(works.facts, source))
    head = ("Output", "Circuit", "Loads on it", "Current", "In which condition")
    return Schedule("supplies", "Supply loads", head, rows, frozenset({3}))


def _most(facts: Facts, source: Branch) -> float:
    try:
        return facts.greatest_amps(source)[0]
    except NotAssessed:
        return math.inf


def _load(facts: Facts, source: Branch) -> Iterator[Row]:
    name = f"{source.a} {source.b.partition(':')[2]}"
    try:
        total, worst = facts.greatest_amps(source)
        terms = list(_terms(facts, source, total, worst))
    except NotAssessed as why:
        yield name, "", "", f"not assessed: {why}", ""
        return
    for number, (loads, amps, _) in enumerate(terms, 1):
        yield name, str(number), ", ".join(loads), Amount(amps, "current"), ""
    for *_, condition in terms:
        worst = condition | worst
    said = listed([*away_from_rest(facts, worst)]) or AT_REST
    yield name, "sum", " + ".join(str(Amount(amps, "current")) for _, amps, _ in terms), Amount(total, "current"), said
    limit = source_limit(source)
    if math.isinf(limit):
        yield name, "rated", "", "states no limit", ""
        return
    yield name, "rated", "", Amount(limit, "current"), ""
    share = f"{100 * total / limit:.0f} % of what it is rated for"
    yield (
        name,
        "spare",
        f"{Amount(limit, 'current')} − {Amount(total, 'current')}",
        Amount(limit - total, "current"),
        share,
    )


Term = tuple[list[str], float, dict[str, bool]]


def _terms(facts: Facts, source: Branch, total: float, worst: dict[str, bool]) -> Iterator[Term]:
    """Each circuit of a source that carries something: the devices of its loads, its share of the most, and where."""
    homes = facts.engine.homes.get(source.key, ())
    rest = {key: signal.rests_on for key, signal in facts.signals.items()}
    for network, number in homes:
        states = facts.engine.states(network)
        if isinstance(states, str):
            raise NotAssessed(states)
        asked = demands(states, number, facts.engine.told_apart(states, number))
        # What is asked of a source that cannot give it is told of all that hangs on it at once.
        amps = total if len(homes) == 1 else greatest_in(asked, worst)
        loads = list(dict.fromkeys(b.device for b in network.branches if b.what == "load"))
        if amps > 0 or loads:
            yield loads, amps, where_greatest(asked, worst, rest)


def batteries(works: Works, rulebook: Rulebook) -> Schedule:
    """Of each device with a standby: what standby and alarm take, the margin, what cold and age leave, the need."""
    rows = tuple(row for device in works.facts.plan.devices.values() for row in _battery(works, device, rulebook))
    head = ("Battery of", "Step", "Sum", "Comes to")
    note = "As the rule on standby works it out; amperes are the most that can draw together."
    return Schedule("batteries", "Battery calculation", head, rows, frozenset({3}), (note,))


def _battery(works: Works, device: Device, rulebook: Rulebook) -> Iterator[Row]:
    if device.get("standby-time") is None:
        return
    try:
        yield from _steps(works, device, rulebook)
    except (NotAssessed, Unknown) as why:
        yield device.name, "not assessed", str(why), ""


def _steps(works: Works, device: Device, rulebook: Rulebook) -> Iterator[Row]:
    def of(word: str) -> float:
        return _fact(works, device, word)

    name = device.name
    amps, seconds, taken = of("standby-amps"), of("drawn-for"), of("standby-taken")
    yield name, "standby", f"{Amount(amps, 'current')} × {Amount(seconds, 'time')}", Amount(taken, "charge")
    alarm = 0.0
    if device.get("alarm-time") is not None:
        amps, seconds, alarm = of("alarm-amps"), of("alarm-drawn-for"), of("alarm-taken")
        yield name, "alarm", f"{Amount(amps, 'current')} × {Amount(seconds, 'time')}", Amount(alarm, "charge")
    needed = taken + alarm
    margin = _margin(works, rulebook)
    if margin is not None:
        both = Amount(needed, "charge")
        needed *= margin
        yield name, "margin for ageing", f"{both} × {100 * margin:g} %", Amount(needed, "charge")
    cold, aged = of("cold-share"), of("aged-left")
    left = f"{Amount(needed, 'charge')} ÷ {Amount(cold, 'ratio')} ÷ {Amount(aged, 'ratio')}"
    needed /= cold * aged
    yield name, f"left at {Amount(of('coldest'), 'temperature')}, and as it ages", left, Amount(needed, "charge")
    held = of("reserve-charge")
    yield name, "stated", "", Amount(held, "charge")
    yield name, "spare", f"{Amount(held, 'charge')} − {Amount(needed, 'charge')}", Amount(held - needed, "charge")


_FACTS = {word.name: word for word in BATTERY_WORDS if word.of == "device"}


def _fact(works: Works, device: Device, word: str) -> float:
    """A fact as the rules ask for it, so that schedule and findings never differ."""
    value = _FACTS[word].read(works.inventory, device, AS_DRAWN)
    if not isinstance(value, float):
        raise Unknown(f"{device.name}: {_FACTS[word].says}, is not known")
    return value


def _margin(works: Works, rulebook: Rulebook) -> float | None:
    rule, plan = rulebook.get(BATTERY_RULE), works.facts.plan
    found = rule.limits_in(plan.jurisdiction, plan.editions) if rule else []
    return max((each.values["margin"] for each in found if "margin" in each.values), default=None)


def protectors(facts: Facts) -> Schedule:
    """Each protector: its rating, the most that it carries, and what it stands before."""
    rows = tuple(_protector(facts, branch) for branch in facts.branches("protector"))
    head = ("Protector", "Sort", "Rated", "Most current", "Share of rating", "Loads in its circuits")
    return Schedule("protectors", "Protector schedule", head, rows, frozenset({2, 3, 4}))


def _protector(facts: Facts, branch: Branch) -> Row:
    several = sum(other.what == "protector" for other in facts.branches(None, branch.device)) > 1
    name = f"{branch.device} {branch.name}" if several else branch.device
    rated = branch.number("amps")
    told: Cell = "" if rated is None else Amount(rated, "current")
    behind = dict.fromkeys(
        b.device for network, _ in facts.engine.homes.get(branch.key, ()) for b in network.branches if b.what == "load"
    )
    try:
        amps, _ = facts.greatest_amps(branch)
    except NotAssessed as why:
        return name, branch.style, told, f"not assessed: {why}", "", ", ".join(behind)
    share: Cell = Amount(amps / rated, "ratio") if rated else ""
    return name, branch.style, told, Amount(amps, "current"), share, ", ".join(behind)
