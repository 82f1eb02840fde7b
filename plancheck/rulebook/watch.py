"""A rule watched at work: which things it went through, and what each expression in it came to.

Nothing is worked out here. While a rule is put together, what the check of an expression gives is wrapped in
something that runs it and notes the result; so what is told is what the judge saw. A rule that nobody watches is
put together without any of this.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from plancheck.circuit.facts import NotAssessed
from plancheck.circuit.variation import AS_DRAWN, Variation
from plancheck.rulebook import nodes
from plancheck.rulebook.claims import Unknown
from plancheck.rulebook.naming import label
from plancheck.rulebook.quantify import Source, Variable
from plancheck.rulebook.scope import Checked, Frame, Run, Scope, Witness
from plancheck.rulebook.template import at_condition, show
from plancheck.rulebook.types import Type
from plancheck.rulebook.witness import worded
from plancheck.rulebook.wording import clipped

UNCERTAIN, NOT_ASKED = "uncertain", "not asked: decided without it"
_SILENT = (nodes.Amount, nodes.Text)
"""Literals: their value is what is written."""

Bound = tuple[tuple[str, str], ...]
"""Variables with the things bound to them, by name."""


@dataclass(slots=True, eq=False)
class Step:
    """An expression and what it came to; `parts` are those within it, as far as they were asked."""

    node: nodes.Expression
    said: str
    bound: Bound
    """Variables bound within the rule's expressions, by `some`, `every` and `count`."""
    variation: Variation = AS_DRAWN
    value: str = ""
    shown: str = ""
    """The condition of which the values within are, where the expression looks at conditions."""
    role: str = ""
    """`where`, in an expression that leaves things or conditions out."""
    parts: list[Step] = field(default_factory=list)
    raw: tuple[Type, Any] | None = None
    """A value that differs between conditions, until it is known which one is shown."""


@dataclass(frozen=True, slots=True)
class Went:
    """The rule went through the things of a variable."""

    group: int
    level: int
    variable: Variable
    bound: Bound
    things: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """A `where` or what is required was asked of bound things. `reason` tells why there was no answer."""

    group: int
    level: int
    keyword: str
    bound: Bound
    answer: bool | None
    reason: str
    step: Step | None


class Watch:
    """What is noted of one rule. `record` grows while the rule judges; `groups` are its `for each` lines."""

    def __init__(self) -> None:
        self.record: list[Went | Asked] = []
        self.groups: list[str] = []
        self._open: list[Step] | None = None
        """Where the next step is noted; None while nothing is."""
        self._texts: dict[int, str] = {}
        """What is written of each expression."""
        self._outer = 0
        """Variables of the group at hand; those past them are bound within expressions."""

    # --- where the rule is put together ------------------------------------------------------------------

    def group(self, for_each: nodes.ForEachMember, variables: Sequence[Variable], frame: Frame) -> list[Variable]:
        """Begins a group; what its variables go through is noted."""
        self.groups.append(f"for each {frame.text(for_each)}")
        self._outer = len(variables)
        number = len(self.groups) - 1
        return [replace(v, source=self._source(number, level, variables)) for level, v in enumerate(variables)]

    def _source(self, group: int, level: int, variables: Sequence[Variable]) -> Source:
        variable, before = variables[level], variables[:level]

        def source(scope: Scope) -> Any:
            things = variable.source(scope)
            names = tuple(label(scope.inventory, thing) for thing in things)
            self.record.append(Went(group, level, variable, _bound(before, scope), names))
            return things

        return source

    def asked(self, keyword: str, level: int, checked: Checked, variables: Sequence[Variable]) -> Run:
        """A `where`, or what is required, that notes what became of it."""
        group, run, known = len(self.groups) - 1, checked.run, variables[: level + 1]

        def asked(scope: Scope) -> Any:
            steps: list[Step] = []
            self._open = steps
            answer, reason = None, ""
            try:
                answer = run(scope)
            except (Unknown, NotAssessed) as why:
                reason = str(why)
                raise
            finally:
                self._open = None
                step = steps[0] if steps else None
                self.record.append(Asked(group, level, keyword, _bound(known, scope), answer, reason, step))
            return answer

        return asked

    def checked(self, node: nodes.Expression, found: Checked, frame: Frame) -> Checked:
        """An expression that notes its value."""
        if isinstance(node, _SILENT):
            return found
        said, outer = _said(node, frame), self._outer
        self._texts[id(node)] = said
        names = tuple((name, index) for name, (_, index) in frame.variables.items() if index >= outer)

        def noted(scope: Scope) -> Any:
            if self._open is None:
                return found.run(scope)
            bound = tuple((name, label(scope.inventory, scope.things[index])) for name, index in names)
            return self._noted(Step(node, said, bound, scope.variation), found, scope)

        return replace(found, run=noted)

    # --- where it is at work -----------------------------------------------------------------------------

    def _noted(self, step: Step, found: Checked, scope: Scope) -> Any:
        assert self._open is not None
        outer = self._open
        outer.append(step)
        self._open = step.parts
        try:
            value = found.run(scope)
        except (Unknown, NotAssessed) as why:
            step.value = f"no answer: {why}"
            _settle(step.parts, scope, None)
            raise
        finally:
            self._open = outer
        if found.conditional:
            step.raw = found.type, value
        else:
            step.value = _shown(scope, found.type, value)
        self._complete(step, found, scope)
        return value

    def _complete(self, step: Step, found: Checked, scope: Scope) -> None:
        """What only the whole expression knows: which parts are a `where`, which were not asked, which condition."""
        node = step.node
        if isinstance(node, nodes.Junction):
            asked = {id(part.node) for part in step.parts}
            left = [part for part in node.parts if id(part) not in asked]
            step.parts += [Step(part, self._texts[id(part)], step.bound, value=NOT_ASKED) for part in left]
        elif isinstance(node, nodes.Quantified):
            for part in step.parts:
                part.role = "where" if part.node is node.where else ""
        elif isinstance(node, nodes.InCondition):
            self._show_condition(step, node, found, scope)
            for part in step.parts:
                part.role = "where" if any(part.node is each for each in node.where) else ""

    def _show_condition(self, step: Step, node: nodes.InCondition, found: Checked, scope: Scope) -> None:
        """Takes one condition, of those that decide where there are such, and tells the values in it."""
        outer, again = self._open, list[Step]()
        # After failures the values are those under the failure shown: the same expressions are run once more with it.
        self._open = again if node.failure is not None else None
        try:
            shown = _deciding(found, scope, node)
        finally:
            self._open = outer
        variation = shown.variation if shown else AS_DRAWN
        if node.failure is not None:
            step.parts = _of_variation([*step.parts, *again], variation)
        if shown is not None:
            failed = f"after {variation.failure.what}, " if variation.failure else ""
            step.shown = failed + worded(scope, shown)
            if node.failure is not None and not failed:
                step.shown += " with nothing failed"
        _settle(step.parts, scope, shown or Witness({}, (), variation))


def _deciding(found: Checked, scope: Scope, node: nodes.InCondition) -> Witness | None:
    """A condition against the claim, or else one of those asked for; where one is enough, the other way about."""
    assert found.witness is not None
    try:
        if node.failure is None:
            return found.witness(scope, node.how != "some")
        return found.witness(scope, True) or found.witness(scope, False)
    except (Unknown, NotAssessed):
        return None


def _of_variation(steps: list[Step], variation: Variation) -> list[Step]:
    """The steps under one variation, each once."""
    seen: dict[tuple[int, Bound], Step] = {}
    for step in steps:
        if step.variation == variation:
            seen.setdefault((id(step.node), step.bound), step)
    whole = {id(part) for step in seen.values() for part in _within(step.node)}
    return [step for step in seen.values() if id(step.node) not in whole]


def _within(node: object) -> list[object]:
    """The expressions directly or indirectly within another."""
    found: list[object] = []
    for name in getattr(node, "__slots__", ()):
        value = getattr(node, name)
        for each in value if isinstance(value, tuple) else (value,):
            if hasattr(each, "__slots__") and not isinstance(each, nodes.Name):
                found += [each, *_within(each)]
    return found


def _settle(steps: Sequence[Step], scope: Scope, witness: Witness | None) -> None:
    """Put into words what differs between conditions, by the one that is shown."""
    for step in steps:
        if step.raw is not None:
            of, value = step.raw
            step.value = _shown(scope, of, at_condition(scope, value, witness))
            step.raw = None
        _settle(step.parts, scope, witness)


def _shown(scope: Scope, of: Type, value: Any) -> str:
    return UNCERTAIN if value is None and of.form == "yes/no" else show(scope, of, value)


def _bound(variables: Sequence[Variable], scope: Scope) -> Bound:
    return tuple((v.name, label(scope.inventory, scope.things[v.index])) for v in variables)


def _said(node: nodes.Expression, frame: Frame) -> str:
    """What is written, without what its parts say by themselves."""
    match node:
        case nodes.Junction(how=how):
            return "all of these" if how == "and" else "one of these at least"
        case nodes.Quantified(how=how, domain=domain):
            text = frame.text(nodes.Text("", domain[0].start, domain[-1].end))
            return clipped(f"{how} {text}")
        case nodes.InCondition(body=body):
            return clipped(frame.text(nodes.Text("", node.start, body.start)).rstrip(" :("))
        case nodes.IsGiven(left=left, negated=negated):
            return clipped(frame.text(left) + (" is not given" if negated else " is given"))
        case nodes.Not(inner=nodes.Junction() | nodes.Quantified() | nodes.InCondition()):
            return "not"
    return clipped(frame.text(node))
