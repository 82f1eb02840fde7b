"""One `for each` of a rule, put together: what it goes through, what it demands, and what a finding of it says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

from plancheck.rulebook import nodes, types
from plancheck.rulebook.check import check, path, yes_no
from plancheck.rulebook.quantify import Variable, domain
from plancheck.rulebook.rule import Demand, EvidenceLine, Group, Place, Texts
from plancheck.rulebook.scope import Checked, Frame, Run, Wrong
from plancheck.rulebook.template import OF_CONDITIONS, OF_FAILURES, Template, template
from plancheck.rulebook.things import ancestry

if TYPE_CHECKING:
    from plancheck.rulebook.fixing import Fixing

CARRIES = frozenset({"device", "load", "contact", "suppressor", "protector", "wire", "input"})
"""Classes through which a path of current, or of metal, can be drawn."""
_CALM = (nodes.Is, nodes.IsOneOf, nodes.IsGiven, nodes.Predicate, nodes.Path)
"""Expressions that a missing value cannot upset, so that they may be asked before what stands to their left."""


def assemble_group(
    node: nodes.GroupNode, frame: Frame, first: Group | None, whole: bool, known_right: bool
) -> Group | None:
    """The group, or None, every mistake noted. Where the rule was not `whole`, what is missing is not asked for.

    The `first` group of a rule lends the others its remedy. Of a rule that is known to be right, what it demands
    waits for the first thing that it goes through, and its texts for the first finding.
    """
    before = len(frame.mistakes)
    try:
        variables = tuple(domain(node.for_each.domain, frame))
    except Wrong:
        return None
    if frame.watch is not None:
        variables = tuple(frame.watch.group(node.for_each, variables, frame))
    elif known_right:
        return _later(node, frame, first, variables)
    parts = _Parts(node.for_each, node.members, frame, whole)
    require = parts.require()
    demand = parts.demand(variables, require)
    texts = parts.texts(require, first)
    if len(frame.mistakes) > before or demand is None or texts is None:
        return None
    if frame.watch is not None:
        watched = frame.watch.asked("require", len(variables) - 1, demand.require, variables)
        demand = replace(demand, require=replace(demand.require, run=watched))
    return Group(variables, lambda: demand, lambda: texts, lambda: frame.reaches_far)


def _later(node: nodes.GroupNode, frame: Frame, first: Group | None, variables: tuple[Variable, ...]) -> Group:
    @cache
    def parts() -> _Parts:
        return _Parts(node.for_each, node.members, frame, True)

    @cache
    def demand() -> Demand:
        found = parts().demand(variables, parts().require())
        assert found is not None, frame.mistakes
        return found

    @cache
    def texts() -> Texts:
        found = parts().texts(demand().require, first)
        assert found is not None, frame.mistakes
        return found

    def reaches_far() -> bool:
        demand(), texts()
        return frame.reaches_far

    return Group(variables, demand, texts, reaches_far)


class _Parts:
    def __init__(
        self, for_each: nodes.ForEachMember, members: Sequence[nodes.Member], frame: Frame, whole: bool
    ) -> None:
        self.for_each = for_each
        self.members = members
        self.frame = frame
        self.whole = whole

    def _one(self, found: list[nodes.Member], what: str, needed: bool) -> nodes.Member | None:
        if not found and needed and self.whole:
            expected = f"a line “{what} …” below it"
            hint = "One “for each” goes through several things: for each load X of lock L, or door D, cable C."
            self.frame.wrong(self.for_each, f"This “for each” has no “{what}”", "none", expected, hint)
        for extra in found[1:]:
            self.frame.wrong(extra, f"“{what}” is said twice", "a second one", "one for each “for each”")
        return found[0] if found else None

    def demand(self, variables: Sequence[Variable], require: Checked | None) -> Demand | None:
        """What is asked of each thing and what is required of it, or None where any of it is missing or wrong."""
        wheres = self.wheres(variables)
        at, also_at, path_of = self.at(variables), self.also_at(), self.path()
        return Demand(wheres, require, at, also_at, path_of) if require and at else None

    def wheres(self, variables: Sequence[Variable]) -> tuple[tuple[Run, ...], ...]:
        """What is asked as soon as each variable is bound; what no condition decides stands as far out as it can."""
        levels: list[list[Run]] = [[] for _ in variables]
        for member in self.members:
            if isinstance(member, nodes.ExpressionMember) and member.keyword == "where":
                for part in _conjuncts(member.expression):
                    self.frame.touched.clear()
                    try:
                        checked = yes_no(part, self.frame, "A “where”")
                    except Wrong:
                        continue
                    used = [i for i in self.frame.touched if i < len(variables)]
                    level = max(used, default=0) if _is_calm(part) else len(variables) - 1
                    watch = self.frame.watch
                    run = checked.run if watch is None else watch.asked("where", level, checked, variables)
                    levels[level].append(run)
        return tuple(tuple(level) for level in levels)

    def require(self) -> Checked | None:
        found: list[nodes.Member] = [
            m for m in self.members if isinstance(m, nodes.ExpressionMember) and m.keyword == "require"
        ]
        member = self._one(found, "require", True)
        if not isinstance(member, nodes.ExpressionMember):
            return None
        try:
            return yes_no(member.expression, self.frame, "What a rule requires")
        except Wrong:
            return None

    def texts(self, require: Checked | None, first: Group | None) -> Texts | None:
        """The texts, or None where one of them is missing or wrong."""
        shows = self.shown(require)
        found, required = self.template("found", shows), self.template("required", shows)
        headline = self.template("headline", shows, needed=False)
        remedy = self.template("remedy", shows, needed=first is None)
        evidence = self.evidence(shows)
        if remedy is None and first is not None:
            remedy = first.texts().remedy
        fixes = self.fixes(shows)
        return Texts(headline, found, required, remedy, evidence, fixes) if found and required and remedy else None

    def shown(self, require: Checked | None) -> frozenset[str]:
        """What texts may say of the condition and the failure that a finding shows."""
        if require is not None and require.witness is None:
            return frozenset()
        asked = [m.expression for m in self.members if isinstance(m, nodes.ExpressionMember) and m.keyword == "require"]
        return OF_FAILURES if any(_asks_after_failures(e) for e in asked) else OF_CONDITIONS

    def template(self, keyword: str, shows: frozenset[str], *, needed: bool = True) -> Template | None:
        found: list[nodes.Member] = [
            m for m in self.members if isinstance(m, nodes.TextMember) and m.keyword == keyword
        ]
        member = self._one(found, keyword, needed)
        if not isinstance(member, nodes.TextMember):
            return None
        try:
            return template(member.text, self.frame, shows)
        except Wrong:
            return None

    def fixes(self, shows: frozenset[str]) -> tuple[Fixing, ...]:
        from plancheck.rulebook.fixing import fixing

        found = []
        for member in self.members:
            if isinstance(member, nodes.FixMember):
                try:
                    found.append(fixing(member, self.frame, shows))
                except Wrong:
                    continue
        return tuple(found)

    # --- evidence ----------------------------------------------------------------------------------------

    def evidence(self, shows: frozenset[str]) -> tuple[EvidenceLine, ...]:
        lines = []
        for member in self.members:
            if isinstance(member, nodes.EvidenceMember):
                try:
                    lines.append(self._evidence(member, shows))
                except Wrong:
                    continue
        return tuple(lines)

    def _evidence(self, member: nodes.EvidenceMember, shows: frozenset[str]) -> EvidenceLine:
        frame = self.frame
        what = template(member.what, frame, shows)
        frame.in_condition = bool(shows)
        try:
            value = check(member.value, frame)
            against = check(member.against, frame) if member.against is not None else None
        finally:
            frame.in_condition = False
        if against is not None and member.against is not None and not _comparable(value, against):
            raise frame.wrong(
                member.against, "The limit is not of the sort of the value", f"{against.type}", f"{value.type}"
            )
        return EvidenceLine(what, value, member.bound or self._bound(member), against)

    def _bound(self, member: nodes.EvidenceMember) -> str:
        """Most or least, from the comparison in `require` in which the two expressions stand."""
        if member.against is None:
            return ""
        pair = self.frame.text(member.value), self.frame.text(member.against)
        for one in self.members:
            if isinstance(one, nodes.ExpressionMember) and one.keyword == "require":
                for sign, left, right in self._comparisons(one.expression):
                    if pair in ((left, right), (right, left)):
                        return "most" if (sign[0] == "<") == (pair == (left, right)) else "least"
        return ""

    def _comparisons(self, node: nodes.Expression) -> list[tuple[str, str, str]]:
        match node:
            case nodes.Compare():
                return [(node.sign, self.frame.text(node.left), self.frame.text(node.right))]
            case nodes.Junction(parts=parts):
                return [c for part in parts for c in self._comparisons(part)]
            case nodes.Not(inner=inner):
                return self._comparisons(inner)
            case nodes.InCondition(body=body):
                return self._comparisons(body)
            case nodes.Quantified(body=body) if body is not None:
                return self._comparisons(body)
        return []

    # --- places ------------------------------------------------------------------------------------------

    def _places(self, keyword: str) -> list[nodes.PlaceMember]:
        return [m for m in self.members if isinstance(m, nodes.PlaceMember) and m.keyword == keyword]

    def at(self, variables: Sequence[Variable]) -> Place | None:
        member = self._one(list(self._places("at")), "at", False)
        if not isinstance(member, nodes.PlaceMember):
            last = variables[-1].index
            return Place(None, lambda scope: scope.things[last])
        return self._place(member.paths[0], member)

    def also_at(self) -> tuple[Place, ...]:
        found = [self._place(node, member) for member in self._places("also at") for node in member.paths]
        return tuple(place for place in found if place is not None)

    def _place(self, node: nodes.Path, member: nodes.PlaceMember) -> Place | None:
        """A thing's own place; or, for a slot of a device, where its value stands."""
        try:
            checked = path(node, self.frame)
            if len(node.names) > 1:
                holder = path(nodes.Path(node.names[:-1], node.start, node.names[-2].end), self.frame)
                return Place(member, _placed(checked), node.names[-1].text, holder.run)
        except Wrong:
            return None
        if checked.type.form not in ("thing", "list"):
            self.frame.wrong(node, "A finding points at a thing", f"{checked.type}", "a variable, or a slot of one")
            return None
        return Place(member, checked.run)

    def path(self) -> Run | None:
        member = self._one(list(self._places("path")), "path", False)
        if not isinstance(member, nodes.PlaceMember):
            return None
        node = member.paths[0]
        try:
            checked = path(node, self.frame)
        except Wrong:
            return None
        if checked.type.form != "thing" or not CARRIES & set(ancestry(checked.type.of)):
            expected = "a device, load, contact, suppressor, protector, wire or input"
            self.frame.wrong(node, "No current passes through this", f"{checked.type}", expected)
            return None
        return checked.run


def _placed(checked: Checked) -> Run:
    """The thing or list that a path leads to; None for any other value."""
    if checked.type.form in ("thing", "list"):
        return checked.run
    return lambda scope: None


def _asks_after_failures(node: object) -> bool:
    """Whether a condition quantifier of an expression looks at single failures."""
    match node:
        case nodes.InCondition(failure=failure):
            return failure is not None
        case nodes.Junction(parts=parts):
            return any(map(_asks_after_failures, parts))
        case nodes.Not(inner=inner):
            return _asks_after_failures(inner)
        case nodes.Quantified(body=body):
            return _asks_after_failures(body)
        case nodes.Is(left=left, right=right):
            return _asks_after_failures(left) or _asks_after_failures(right)
    return False


def _comparable(value: Checked, against: Checked) -> bool:
    if value.type.form == "quantity":
        return types.same_dimension(value.type, against.type)
    return value.type.form == against.type.form or {value.type.form, against.type.form} <= {"text", "choice"}


def _conjuncts(node: nodes.Expression) -> list[nodes.Expression]:
    if isinstance(node, nodes.Junction) and node.how == "and":
        return [part for each in node.parts for part in _conjuncts(each)]
    return [node]


def _is_calm(node: nodes.Expression) -> bool:
    if isinstance(node, nodes.Not):
        return _is_calm(node.inner)
    if isinstance(node, nodes.Junction):
        return all(_is_calm(part) for part in node.parts)
    return isinstance(node, _CALM)
