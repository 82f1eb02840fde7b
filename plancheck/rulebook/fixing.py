"""What a rule proposes to do about a finding: checked with the rule, worked out with each finding.

A step speaks of things and never of text. Where a step cannot be worked out for the finding at hand (a contact has no
other throw, a size is in no table), the whole proposal is left out: half of it would mend nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from plancheck import proposed
from plancheck.circuit.facts import NotAssessed
from plancheck.nearest import did_you_mean
from plancheck.plan.model import Device
from plancheck.proposed import Proposed
from plancheck.rulebook import fix_nodes as nodes
from plancheck.rulebook import types
from plancheck.rulebook.check import check, path, yes_no
from plancheck.rulebook.claims import Unknown
from plancheck.rulebook.nodes import Path
from plancheck.rulebook.quantify import Variable, bindings, domain
from plancheck.rulebook.scope import Checked, Frame, Scope, Witness
from plancheck.rulebook.small_conductors import least_area
from plancheck.rulebook.template import Template, template, value_at
from plancheck.rulebook.things import ancestry
from plancheck.units import Quantity

Fixing = Callable[[Scope, Witness | None], Iterator[Proposed]]
Step = Callable[[Scope, Witness | None], Sequence[proposed.Step]]
"""Steps of the plan that one step of the rule comes to; none where it cannot be taken."""

TWO_ENDED = ("load", "suppressor")


def fixing(member: nodes.FixMember, frame: Frame, shows: frozenset[str]) -> Fixing:
    """Check a proposal. Raises Wrong, every mistake noted."""
    outer, before = dict(frame.variables), frame.in_condition
    frame.in_condition = bool(shows)
    try:
        variables = domain(member.domain, frame)
        where = yes_no(member.where, frame, "A “where”") if member.where is not None else None
        title = template(member.title, frame, shows)
        steps = [_step(step, frame, shows) for step in member.steps]
    finally:
        frame.variables, frame.in_condition = outer, before
    return _proposing(variables, where, title, steps)


def _proposing(variables: list[Variable], where: Checked | None, title: Template, steps: Sequence[Step]) -> Fixing:
    def propose(scope: Scope, shown: Witness | None) -> Iterator[Proposed]:
        try:
            for _ in bindings(variables, scope) if variables else (None,):
                if where is not None and value_at(scope, where, shown) is not True:
                    continue
                taken = [step(scope, shown) for step in steps]
                if all(taken):
                    yield Proposed(title(scope, shown), tuple(each for found in taken for each in found))
        except (Unknown, NotAssessed):
            return

    return propose


def _step(step: nodes.StepNode, frame: Frame, shows: frozenset[str]) -> Step:
    match step:
        case nodes.AddStep():
            return _add(step, frame, shows)
        case nodes.ExchangeStep():
            return _exchange(_thing(step.path, TWO_ENDED, frame))
        case nodes.MoveStep():
            return _move(_thing(step.path, ("contact",), frame))
        case nodes.WriteStep():
            return _write(_thing(step.path, ("item",), frame), template(step.entry, frame, shows))
        case nodes.TakeOutStep():
            return _take_out(_thing(step.path, ("item",), frame))
        case nodes.ThickenStep():
            return _thicken(step, frame)


def _thing(node: Path, classes: Sequence[str], frame: Frame) -> Checked:
    checked = path(node, frame)
    if checked.type.form != "thing" or not set(classes) & set(ancestry(checked.type.of)):
        hint = "Of a part, say its device: U.device." if "item" in classes else ""
        raise frame.wrong(node, "This cannot be done with such a thing", f"{checked.type}", _either(classes), hint)
    return checked


def _either(classes: Sequence[str]) -> str:
    return " or ".join("something that the plan declares" if of == "item" else f"a {of}" for of in classes)


# --- parts across parts ------------------------------------------------------------------------------------


def _add(step: nodes.AddStep, frame: Frame, shows: frozenset[str]) -> Step:
    across = _thing(step.across, TWO_ENDED, frame)
    first, second = _own_ends(step, frame)
    entries = template(step.entries, frame, shows) if step.entries else None

    def add(scope: Scope, shown: Witness | None) -> Sequence[proposed.Step]:
        ends = _ends(across.run(scope))
        if not ends:
            return ()
        if step.towards_plus is not None and _fed_from_b(scope, across.run(scope)):
            ends = ends[::-1]
        said = entries(scope, shown) if entries else ""
        return (proposed.Added(step.kind.text, said, ((first, ends[0]), (second, ends[1]))),)

    return add


def _own_ends(step: nodes.AddStep, frame: Frame) -> tuple[str, str]:
    """Both terminals of a kind, first the one that goes to plus."""
    kinds = frame.vocabulary.terminals
    name = step.kind.text
    if name not in kinds:
        raise frame.wrong(step.kind, f"There is no kind “{name}”", f"“{name}”", "a kind", did_you_mean(name, kinds))
    if len(kinds[name]) != 2:
        found = f"{len(kinds[name])} terminals of {name}"
        raise frame.wrong(step.kind, "What is put across something has two terminals", found, "two")
    first, second = kinds[name]
    plus = step.towards_plus.text if step.towards_plus else first
    if plus not in (first, second):
        assert step.towards_plus is not None
        found, expected = f"“{plus}”", f"{first} or {second}"
        raise frame.wrong(step.towards_plus, f"A {name} has no such terminal", found, expected)
    return (first, second) if plus == first else (second, first)


def _ends(thing: Any) -> tuple[str, str] | None:
    return (thing.a, thing.b) if thing is not None and ":" in thing.a and ":" in thing.b else None


def _fed_from_b(scope: Scope, thing: Any) -> bool:
    """Whether the greatest volts across a part, in whatever condition, stand with their plus at its second end."""
    levels = scope.inventory.facts.volts(thing)
    known = [value for _, value in levels.parts if value == value]
    return bool(known) and max(known, key=abs) < 0.0


def _exchange(thing: Checked) -> Step:
    def exchange(scope: Scope, shown: Witness | None) -> Sequence[proposed.Step]:
        ends = _ends(thing.run(scope))
        return (proposed.Exchanged(*ends),) if ends else ()

    return exchange


def _move(contact: Checked) -> Step:
    def move(scope: Scope, shown: Witness | None) -> Sequence[proposed.Step]:
        here = contact.run(scope)
        if here is None:
            return ()
        own = {here.a, here.b}
        others = (each for each in scope.inventory.facts.branches("contact", here.device) if each is not here)
        throws = [({each.a, each.b}, own) for each in others if len({each.a, each.b} & own) == 1]
        if len(throws) != 1:
            return ()
        there, here_ends = throws[0]
        (to,), (from_,) = there - here_ends, here_ends - there
        return () if scope.inventory.facts.graph.wires_at.get(to) else (proposed.Moved(from_, to),)

    return move


# --- what is declared --------------------------------------------------------------------------------------


def _write(thing: Checked, entry: Template) -> Step:
    def write(scope: Scope, shown: Witness | None) -> Sequence[proposed.Step]:
        found = thing.run(scope)
        return (proposed.Written(found.name, entry(scope, shown)),) if isinstance(found, Device) else ()

    return write


def _take_out(thing: Checked) -> Step:
    def take_out(scope: Scope, shown: Witness | None) -> Sequence[proposed.Step]:
        found = thing.run(scope)
        return (proposed.TakenOut(found.name),) if isinstance(found, Device) else ()

    return take_out


def _thicken(step: nodes.ThickenStep, frame: Frame) -> Step:
    cables = path(step.path, frame)
    if cables.type.form not in ("thing", "list") or cables.type.of != "cable":
        raise frame.wrong(step.path, "Only a cable has a larger size", f"{cables.type}", "a cable or a list of cables")
    amount = check(step.amount, frame) if step.amount is not None else None
    wanted = types.CURRENT if step.how == "for" else types.NUMBER
    if amount is not None and not types.same_dimension(amount.type, wanted):
        raise frame.wrong(step.amount, f"“{step.how}” wants another measure", f"{amount.type}", f"{wanted}")

    def thicken(scope: Scope, shown: Witness | None) -> Sequence[proposed.Step]:
        found = cables.run(scope)
        each = found if isinstance(found, list) else [found] if found is not None else []
        measure = value_at(scope, amount, shown) if amount is not None else 1.0
        areas = [_area(cable, step.how, measure) for cable in each]
        if any(area is None for area in areas):
            return ()
        return [proposed.Thickened(cable.name, area) for cable, area in zip(each, areas, strict=True) if area]

    return thicken


def _area(cable: Device, how: str, measure: Any) -> float | None:
    """The least area in m² that will do; None where nobody can say."""
    area = cable.get("area")
    if not isinstance(area, Quantity) or not isinstance(measure, float) or measure != measure:
        return None
    if how == "for":
        metal = cable.get("material")
        return least_area(measure, metal if isinstance(metal, str) else "copper")
    return area.value * measure
