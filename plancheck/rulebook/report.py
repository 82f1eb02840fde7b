"""A violated demand written up as a finding: words, evidence, path, places."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from plancheck.circuit.conditions import Levels
from plancheck.circuit.facts import NotAssessed
from plancheck.finding import Evidence, Finding
from plancheck.plan.model import Device, Plan
from plancheck.rulebook.claims import Unknown
from plancheck.rulebook.naming import key, label, place
from plancheck.rulebook.replay import replay
from plancheck.rulebook.rule import EvidenceLine, Group, Place, Rule
from plancheck.rulebook.scope import Checked, Scope, Witness
from plancheck.rulebook.template import show, value_at
from plancheck.rulebook.things import Inventory, Thing
from plancheck.source import Span
from plancheck.units import SI_UNIT, in_trade_unit

DIGITS = 6
"""Significant digits of the numbers in evidence: more than any of them means, few enough to read."""


class Judged(NamedTuple):
    """A demand that fails for some bound things; `limits` says which limits were taken, if that was open."""

    rule: Rule
    group: Group
    number: int
    things: tuple[Thing, ...]
    limits: str


def write(judged: Judged, scope: Scope) -> Finding:
    """The finding."""
    rule, group, inventory = judged.rule, judged.group, scope.inventory
    demand = group.demand()
    witness = demand.require.witness(scope, True) if demand.require.witness else None
    # Looking for a witness may have bound inner variables anew; those of the group stand as they were.
    scope.things[: len(judged.things)] = judged.things
    subject, at = _subject(demand.at, scope)
    texts = group.texts()
    found = texts.found(scope, witness)
    also_at = _also_at(group, scope, at, witness)
    shown = replay(scope, demand.path(scope), witness) if demand.path and witness else None
    return Finding(
        rule=rule.id,
        severity=rule.severity,
        life_safety=rule.life_safety,
        subject=label(inventory, subject),
        headline=texts.headline(scope, witness) if texts.headline else found,
        found=found,
        required=texts.required(scope, witness) + (f" ({judged.limits})" if judged.limits else ""),
        remedy=texts.remedy(scope, witness),
        at=at,
        also_at=tuple(also_at),
        path=tuple(terminal for terminal, _ in shown.readings) if shown else (),
        evidence=tuple(_evidence(line, scope, witness) for line in texts.evidence),
        basis=rule.basis_in(inventory.plan.jurisdiction, inventory.plan.editions, _egress(judged.things)),
        condition=dict(witness.condition) if witness else None,
        failure=witness.variation.failure.what if witness and witness.variation.failure else "",
        failures=tuple(each.what for each in witness.failures) if witness else (),
        dead=tuple(sorted(witness.variation.dead)) if witness else (),
        replay=shown,
        about=tuple(dict.fromkeys(name for names in also_at.values() for name in names)),
        variant=_variant(judged, inventory, subject),
        proposed=tuple(each for fixing in texts.fixes for each in fixing(scope, witness)),
    )


def _egress(things: Sequence[Thing]) -> list[str]:
    """Egress classes of the doors among some things."""
    classes = [thing.get("egress") for thing in things if isinstance(thing, Device) and thing.base == "door"]
    return [each for each in classes if isinstance(each, str)]


def excess(require: Checked, scope: Scope) -> float:
    """By how much a demand fails, where it compares numbers; else nothing can be said."""
    if require.margin is None:
        return 0.0
    try:
        margin = require.margin(scope)
    except (Unknown, NotAssessed):
        return 0.0
    return max((v for _, v in margin.parts if v == v), default=0.0) if isinstance(margin, Levels) else 0.0


def _variant(judged: Judged, inventory: Inventory, subject: Thing) -> str:
    """What else tells this finding from others of the rule on the subject: the other things, the group."""
    own = label(inventory, subject)
    others = [k for thing in judged.things if (k := key(thing)) != own]
    return " ".join(([f"#{judged.number + 1}"] if judged.number else []) + others)


# --- places ------------------------------------------------------------------------------------------------


def _subject(at: Place, scope: Scope) -> tuple[Thing, Span]:
    """The thing found wrong, and where the finding points."""
    led_to = at.run(scope)
    holder = at.holder(scope) if at.holder else None
    if holder is not None and _is_said(holder, at.slot):
        return holder, place(holder, at.slot)
    if led_to is None or isinstance(led_to, list):
        led_to = holder
    return (led_to, place(led_to)) if led_to is not None else (scope.inventory.plan, place(scope.inventory.plan))


def _is_said(holder: Thing, slot: str) -> bool:
    """Whether a device, or the header of the plan, gives a value for a slot: there it has a place of its own."""
    return slot in (
        holder.value_at if isinstance(holder, Device) else holder.header_at if isinstance(holder, Plan) else ()
    )


def _also_at(group: Group, scope: Scope, at: Span, witness: Witness | None) -> dict[Span, list[str]]:
    """Where else to look, and the names of what stands there: what the rule names, and the parts that have failed."""
    spans: dict[Span, list[str]] = {}
    for each in group.demand().also_at:
        holder = each.holder(scope) if each.holder else None
        led_to = each.run(scope)
        if holder is not None and _is_said(holder, each.slot):
            spans.setdefault(place(holder, each.slot), []).append(key(holder))
        else:
            for thing in led_to if isinstance(led_to, list) else [] if led_to is None else [led_to]:
                spans.setdefault(place(thing), []).append(key(thing))
    if witness is not None and witness.variation.failure is not None:
        parts = scope.inventory.facts.graph.by_key
        for part in witness.variation.failure.parts:
            spans.setdefault(parts[part].at, [])
    spans.pop(at, None)
    return spans


# --- evidence ----------------------------------------------------------------------------------------------


def _evidence(line: EvidenceLine, scope: Scope, witness: Witness | None) -> Evidence:
    value = value_at(scope, line.value, witness)
    limit = ""
    if line.against is not None:
        shown = show(scope, line.against.type, value_at(scope, line.against, witness))
        limit = f"at {line.bound} {shown}" if line.bound else shown
    what = line.what(scope, witness)
    of = line.value.type
    if of.form != "quantity" or not isinstance(value, float) or value != value:
        return Evidence(what, show(scope, of, value), "", limit)
    number, unit = in_trade_unit(value, of.dimension) if of.dimension in SI_UNIT else (value, of.dimension)
    return Evidence(what, float(f"{number:.{DIGITS}g}"), unit, limit)
