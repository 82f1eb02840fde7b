"""Compares two plans that have been reviewed. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from plancheck.finding import Finding
from plancheck.plan.graph import ConnectionGraph
from plancheck.plan.model import Device, Plan, Sighting, Value, Wire
from plancheck.review.comparing.comparison import Change, Comparison
from plancheck.review.comparing.names import Names, in_new_names, renamed
from plancheck.review.comparing.nets import net_changes
from plancheck.review.document import document_of, sequence
from plancheck.review.report import PlanReport
from plancheck.review.review import Reviewed
from plancheck.review.sequence import DoorSequence, Outcome
from plancheck.units import Quantity, show

VOLTS_APART = 0.1
"""Volts at a lock that differ by less are the same."""


def compared(old: Reviewed, new: Reviewed) -> Comparison:
    """Everything that changed from one revision to another."""
    before, after = old.facts.plan, new.facts.plan
    names = renamed(old.facts.graph, new.facts.graph)
    states, gaps = _states(old, new, names)
    come, gone, changed = _findings(old.report, new.report, names)
    unread = [f"{report.source.name} was not read as a whole" for report in (old.report, new.report) if report.mistakes]
    unjudged = [f"{r.source.name}: {why}" for r in (old.report, new.report) for why in r.not_assessed]
    return Comparison(
        before,
        after,
        tuple(_title(before, after)),
        tuple(n for n in after.devices if n not in before.devices and n not in names.values()),
        tuple(n for n in before.devices if n not in after.devices and n not in names),
        tuple(names.items()),
        tuple(_data(before, after, names)),
        net_changes(old.facts.graph, new.facts.graph, names),
        tuple(_conductors(old.facts.graph, new.facts.graph, names)),
        tuple(states),
        come,
        gone,
        changed,
        tuple(dict.fromkeys([*unread, *unjudged, *gaps])),
    )


def _title(old: Plan, new: Plan) -> Iterator[Change]:
    def ambient(plan: Plan) -> str:
        return f"{show(plan.ambient_low, 'temperature')} to {show(plan.ambient_high, 'temperature')}"

    def said(plan: Plan) -> dict[str, str]:
        return {
            "title": plan.title,
            "revision": plan.revision,
            "date": plan.dated,
            "jurisdiction": plan.jurisdiction,
            "editions": ", ".join(edition.text for edition in plan.editions),
            "ambient": ambient(plan),
            "packs adopted": ", ".join(plan.adopts),
        }

    after = said(new)
    for what, before in said(old).items():
        if before != after[what]:
            yield Change("title block", what, before, after[what])


# --- data ----------------------------------------------------------------------------------------------------


def _data(old: Plan, new: Plan, names: Names) -> Iterator[Change]:
    """Slot by slot, and the kind; titles say nothing of the circuit."""
    for name, device in old.devices.items():
        other = new.devices.get(names.get(name, name))
        if other is None:
            continue
        if device.kind != other.kind:
            yield Change(other.name, "kind", _kind(device), _kind(other))
        for slot in dict.fromkeys([*device.values, *other.values]):
            before, after = device.values.get(slot), other.values.get(slot)
            if not _same(before, after, names):
                yield Change(other.name, slot.replace("-", " "), _told(before, names), _told(after, {}))


def _kind(device: Device) -> str:
    return device.kind.replace("-", " ")


def _same(old: Value | None, new: Value | None, names: Names) -> bool:
    match old, new:
        case Quantity(), Quantity():
            close = abs(old.value - new.value) <= 1e-9 * max(abs(old.value), abs(new.value))
            return close and (old.dimension, old.form) == (new.dimension, new.form)
    return _told(old, names) == _told(new, {})


def _told(value: Value | None, names: Names) -> str:
    match value:
        case None | False:
            return ""
        case True:
            return "yes"
        case Quantity():
            return value.text
        case float():
            return f"{value:g}"
        case str():
            return in_new_names(value, names)
        case _:
            return ", ".join(_element(each, names) for each in value)


def _element(each: str | Sighting, names: Names) -> str:
    if isinstance(each, str):
        return names.get(each, each)
    return in_new_names(" ".join(each.at.text.split()), names)


# --- conductors ----------------------------------------------------------------------------------------------

Run = tuple[str, str]
"""The two terminals of a wire, sorted."""


def _conductors(old: ConnectionGraph, new: ConnectionGraph, names: Names) -> Iterator[Change]:
    """Wires between the same terminals with another run; then those that are no more, and those that are new."""
    before, after = _runs(old, names), _runs(new, {})
    for ends in dict.fromkeys([*before, *after]):
        was, now = before.get(ends, Counter()), after.get(ends, Counter())
        gone, come = list((was - now).elements()), list((now - was).elements())
        for i in range(max(len(gone), len(come))):
            yield Change(
                f"{ends[0]} to {ends[1]}",
                "conductor",
                gone[i] if i < len(gone) else "",
                come[i] if i < len(come) else "",
            )


def _runs(graph: ConnectionGraph, names: Names) -> Mapping[Run, Counter[str]]:
    found: dict[Run, Counter[str]] = {}
    for wire in graph.plan.wires:
        ends = sorted(f"{names.get(end.device, end.device)}:{end.terminal}" for end in (wire.a, wire.b))
        found.setdefault((ends[0], ends[1]), Counter())[_run(graph.plan, wire, names)] += 1
    return found


def _run(plan: Plan, wire: Wire, names: Names) -> str:
    cable = plan.devices.get(wire.cable)
    told = [f"{names.get(wire.cable, wire.cable)}/{wire.colour}"] if wire.cable else []
    for slot in ("area", "length"):
        value = wire.values.get(slot, cable.get(slot) if cable else None)
        if isinstance(value, Quantity) and (not cable or slot in wire.values):
            told.append(value.text)
    return " ".join(told) or "jumper"


# --- states and findings -------------------------------------------------------------------------------------


def _states(old: Reviewed, new: Reviewed, names: Names) -> tuple[list[Change], list[str]]:
    """How locks and inputs stand at each event of the sequence of operation."""
    before, after = _sequences(old), _sequences(new)
    changes: list[Change] = []
    gaps = [f"{name}: some of its sequence" for name, door in after.items() if not door.wholly_assessed]
    for name, door in before.items():
        other = after.get(names.get(name, name))
        if other is not None:
            changes += _rows(door, other, names)
    return changes, gaps


def _sequences(reviewed: Reviewed) -> dict[str, DoorSequence]:
    document = document_of(reviewed)
    return {door.name: door for door in sequence(document, document.works.holders).doors}


def _rows(old: DoorSequence, new: DoorSequence, names: Names) -> Iterator[Change]:
    rows = {row.event: row for row in new.rows}
    for row in old.rows:
        event = in_new_names(row.event, names)
        if event not in rows:
            continue
        now = {outcome.part: outcome for outcome in rows[event].outcomes}
        for outcome in row.outcomes:
            part = in_new_names(outcome.part, names)
            if part in now and not _stands_alike(outcome, now[part]):
                yield Change(f"{new.name} {part}".strip(), event, _stands(outcome), _stands(now[part]))


def _stands_alike(old: Outcome, new: Outcome) -> bool:
    if (old.state, old.always) != (new.state, new.always):
        return False
    if old.volts is None or new.volts is None:
        return old.volts is new.volts
    return abs(old.volts - new.volts) < VOLTS_APART


def _stands(outcome: Outcome) -> str:
    volts = "" if outcome.volts is None else f" {show(outcome.volts, 'voltage')}"
    return f"{outcome.state}{volts}, {'whatever else is the case' if outcome.always else 'as things are'}"


def _findings(
    old: PlanReport, new: PlanReport, names: Names
) -> tuple[tuple[Finding, ...], tuple[Finding, ...], tuple[Change, ...]]:
    """Findings come, gone, and of another severity or standing under a variance or no more."""
    before = {_key(finding, names): finding for finding in old.findings}
    after = {_key(finding, {}): finding for finding in new.findings}
    come = [finding for key, finding in after.items() if key not in before]
    gone = [finding for key, finding in before.items() if key not in after]
    # A rule that speaks of several things names the first of them in the plan: in another order, another.
    again = Counter((f.rule, in_new_names(f.headline, names)) for f in gone) & Counter(
        (f.rule, f.headline) for f in come
    )
    come = _without(come, again, {})
    gone = _without(gone, again, names)
    changed = [
        Change(finding.subject, finding.rule, _standing(before[key]), _standing(finding))
        for key, finding in after.items()
        if key in before and _standing(before[key]) != _standing(finding)
    ]
    return tuple(come), tuple(gone), tuple(changed)


def _without(findings: list[Finding], again: Counter[tuple[str, str]], names: Names) -> list[Finding]:
    left, kept = Counter(again), []
    for finding in findings:
        said = finding.rule, in_new_names(finding.headline, names)
        if left[said]:
            left[said] -= 1
        else:
            kept.append(finding)
    return kept


def _key(finding: Finding, names: Names) -> tuple[str, str, str]:
    return finding.rule, in_new_names(finding.subject, names), in_new_names(finding.variant, names)


def _standing(finding: Finding) -> str:
    return finding.severity.value + (", under a variance" if finding.variance else "")
