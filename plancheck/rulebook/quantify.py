"""`for each`, `some`, `every`, `count`: which things a rule goes through, and what it says of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from plancheck.nearest import did_you_mean
from plancheck.plan.model import Device
from plancheck.rulebook import nodes, types
from plancheck.rulebook.check import path, yes_no
from plancheck.rulebook.claims import ALWAYS, NEVER, Claim, Unknown, both, either, total
from plancheck.rulebook.scope import MOST_VARIABLES, Checked, Frame, Run, Scope, Witness, as_claim
from plancheck.rulebook.things import BELONGS, CLASSES, OF_THE_WHOLE, Belongs, Thing, ancestry, belonging

Source = Callable[[Scope], Sequence[Thing]]


@dataclass(frozen=True, slots=True)
class Variable:
    """A variable of a domain: what it ranges over, given those before it."""

    name: str
    of: str
    index: int
    source: Source


def domain(items: tuple[nodes.DomainItem, ...], frame: Frame) -> list[Variable]:
    """Check a domain and bind its variables in the frame, outermost first."""
    return [variable for item in items for variable in _item(item, frame)]


def _item(item: nodes.DomainItem, frame: Frame) -> list[Variable]:
    of = _class(item.kind, frame)
    if item.within is None and (item.of_name is None or item.of_kind is not None):
        every = item.of_kind or item.kind
        frame.reaches_far |= every.text not in OF_THE_WHOLE and any(
            bound not in OF_THE_WHOLE for bound, _ in frame.variables.values()
        )
    if item.within is not None:
        held = path(item.within, frame)
        return [_bind(item.name, of, _listed(held, of, item.within, frame), frame)]
    if item.of_name is None:
        return [_bind(item.name, of, lambda scope: scope.inventory.every(of), frame)]
    found = []
    if item.of_kind is not None:
        owner = _class(item.of_kind, frame)
        found.append(_bind(item.of_name, owner, lambda scope: scope.inventory.every(owner), frame))
    holder, index = _holder(item.of_name, frame)
    frame.touched.add(index)
    how = belonging(of, holder)
    if how is None:
        owners = sorted({h for c, h in BELONGS if c == of}) or ["nothing"]
        raise frame.wrong(item, f"A {of} is not “of” a {holder}", f"{of} of {holder}", f"{of} of {' or '.join(owners)}")
    return [*found, _bind(item.name, of, _belonging(how, index), frame)]


def _holder(name: nodes.Name, frame: Frame) -> tuple[str, int]:
    """Class and place of a variable that must be bound already."""
    if name.text not in frame.variables:
        near = did_you_mean(name.text, frame.variables)
        hint = near or f"To go through all of them, say “of CLASS {name.text}”."
        expected = "a variable that is bound already"
        raise frame.wrong(name, f"Nothing here is called “{name.text}”", f"“{name.text}”", expected, hint)
    return frame.variables[name.text]


def _belonging(how: Belongs, index: int) -> Source:
    return lambda scope: how(scope.inventory, scope.things[index])


def _listed(held: Checked, of: str, node: nodes.Path, frame: Frame) -> Source:
    """What a list fact names; a single thing serves as a list of one."""
    if held.type.form not in ("list", "thing") or not _may_be(held.type.of, of):
        raise frame.wrong(node, f"This is no list of {of}s", f"{held.type}", f"a list of {of}s")
    run, narrower = held.run, of not in ancestry(held.type.of)

    def source(scope: Scope) -> Sequence[Thing]:
        value = run(scope)
        things = value if isinstance(value, list) else [] if value is None else [value]
        return [t for t in things if isinstance(t, Device) and t.base == of] if narrower else things

    return source


def _may_be(listed: str, wanted: str) -> bool:
    return listed in ancestry(wanted) or wanted in ancestry(listed)


def _class(name: nodes.Name, frame: Frame) -> str:
    if name.text not in CLASSES:
        hint = did_you_mean(name.text, CLASSES)
        if name.text in frame.vocabulary.device_slots:
            hint = f"That is a kind: for each device X, and below it: where X.kind is {name.text}."
        expected = ", ".join(CLASSES)
        raise frame.wrong(name, f"There is no class of things “{name.text}”", f"“{name.text}”", expected, hint)
    return name.text


def _bind(name: nodes.Name, of: str, source: Source, frame: Frame) -> Variable:
    if name.text in frame.variables or name.text in frame.limits:
        raise frame.wrong(name, f"“{name.text}” is taken already", f"“{name.text}”", "a name of its own")
    index = len(frame.variables)
    if index >= MOST_VARIABLES:
        raise frame.wrong(name, "Too many variables at once", f"{index + 1}", f"at most {MOST_VARIABLES}")
    frame.variables[name.text] = (of, index)
    return Variable(name.text, of, index, source)


# --- some, every, count ------------------------------------------------------------------------------------


def quantified(node: nodes.Quantified, frame: Frame) -> Checked:
    """Check `some …: EXPR`, `every …: EXPR` or `count …`."""
    outer = dict(frame.variables)
    try:
        variables = domain(node.domain, frame)
        where = yes_no(node.where, frame, "A “where”") if node.where is not None else None
        body = yes_no(node.body, frame, "What follows “:”") if node.body is not None else None
    finally:
        frame.variables = outer
    if body is None:
        return _count(variables, where)
    stops = node.how == "some"
    if body.conditional or (where is not None and where.conditional):
        return Checked(types.YES_NO, True, _conditional(variables, where, body, stops))
    return _static(variables, where, body, stops)


def bindings(variables: list[Variable], scope: Scope) -> Iterator[None]:
    """Bind the variables to each combination in turn."""
    first, *rest = variables
    for each in first.source(scope):
        scope.things[first.index] = each
        scope.step()
        if rest:
            yield from bindings(rest, scope)
        else:
            yield None


def _static(variables: list[Variable], where: Checked | None, body: Checked, stops: bool) -> Checked:
    judge, shows = _single(where, body, stops), body.witness

    def run(scope: Scope) -> bool | None:
        result: bool | None = not stops
        for _ in bindings(variables, scope):
            value = judge(scope)
            if value is stops:
                return stops
            if value is None:
                result = None
        return result

    def witness(scope: Scope, wanted: bool) -> Witness | None:
        assert shows
        for _ in bindings(variables, scope):
            if judge(scope) is not wanted and (found := shows(scope, wanted)):
                return found
        return None

    return Checked(types.YES_NO, False, run, witness=witness if shows else None)


def _single(where: Checked | None, body: Checked, stops: bool) -> Callable[[Scope], bool | None]:
    """What the binding at hand adds; `stops` ends the search."""
    said = body.run
    if where is None:
        return said
    chosen = where.run

    def judge(scope: Scope) -> bool | None:
        allowed = chosen(scope)
        if allowed is False:
            return not stops
        value: bool | None = said(scope)
        return value if allowed or value is not stops else None

    return judge


def _conditional(variables: list[Variable], where: Checked | None, body: Checked, stops: bool) -> Run:
    chosen = as_claim(where) if where else None
    said = as_claim(body)

    def run(scope: Scope) -> Claim:
        result = NEVER if stops else ALWAYS
        for _ in bindings(variables, scope):
            value = said(scope)
            if stops:
                result = either(result, both(chosen(scope), value) if chosen else value)
            else:
                result = both(result, either(chosen(scope).opposite(), value) if chosen else value)
        return result

    return run


def _count(variables: list[Variable], where: Checked | None) -> Checked:
    if where is None and len(variables) == 1:
        source = variables[0].source
        return Checked(types.NUMBER, False, lambda scope: float(len(source(scope))))
    if where is None:
        return Checked(types.NUMBER, False, lambda scope: float(sum(1 for _ in bindings(variables, scope))))
    chosen = where.run
    if where.conditional:
        return Checked(types.NUMBER, True, lambda scope: total(chosen(scope) for _ in bindings(variables, scope)))

    def run(scope: Scope) -> float:
        count = 0
        for _ in bindings(variables, scope):
            counts: Any = chosen(scope)
            if counts is None:
                raise Unknown("whether a thing counts is uncertain")
            count += counts
        return float(count)

    return Checked(types.NUMBER, False, run)
