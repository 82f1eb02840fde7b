"""A rulebook held against a plan: findings, and what could not be judged."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from plancheck.circuit.facts import NotAssessed
from plancheck.finding import Finding, VarianceRecord
from plancheck.rulebook.change import near_rule
from plancheck.rulebook.claims import Unknown
from plancheck.rulebook.gaps import told_together
from plancheck.rulebook.limits import Alternative
from plancheck.rulebook.naming import devices_behind, label, place
from plancheck.rulebook.report import Judged, excess, write
from plancheck.rulebook.rule import Group, Rule, Rulebook
from plancheck.rulebook.scope import Run, Scope
from plancheck.rulebook.things import Gap, Inventory, VarianceCase

if TYPE_CHECKING:
    from plancheck.circuit.facts import Facts
    from plancheck.plan.model import Plan, Variance

Progress = Callable[[int, int], None]
"""Told how many rules are done, of how many."""


@dataclass(frozen=True, slots=True)
class Verdicts:
    """What the rules say of a plan. `rules_run` are ids; `conditions` counts the conditions that were judged."""

    findings: tuple[Finding, ...]
    gaps: tuple[Gap, ...]
    rules_run: tuple[str, ...]
    conditions: int


Named = tuple[Finding, frozenset[str]]
"""A finding, and the names that a variance for it may give."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """What the rules say of the things of a plan, or of a part of one, before anything is made of it."""

    findings: Sequence[Named] = ()
    gaps: Sequence[Gap] = ()
    conditions: int = 0


def judge(rulebook: Rulebook, facts: Facts, today: date, on_progress: Progress | None = None) -> Verdicts:
    """Hold every rule that applies to the plan against it; those about gaps and variances come last."""
    inventory = inventory_of(rulebook, facts)
    early, late = parted(rulebook, facts.plan)

    def told(done: int) -> None:
        if on_progress is not None:
            on_progress(done, len(early) + len(late))

    judgement = judge_things(early, inventory, told)
    return judge_rest(rulebook, inventory, judgement, facts.plan.variances, today, lambda done: told(len(early) + done))


def inventory_of(rulebook: Rulebook, facts: Facts) -> Inventory:
    """The things of a plan, or of a part of one, for rules to go through."""
    inventory = Inventory(facts, rulebook.vocabulary.device_slots, rulebook.topics)
    inventory.changes = rulebook.cases
    return inventory


def parted(rulebook: Rulebook, plan: Plan) -> tuple[list[Rule], list[Rule]]:
    """The rules that apply to a plan: those of its things, and those of what these leave behind."""
    rules = [r for r in rulebook.rules if r.runs_in(plan.jurisdiction)]
    return [r for r in rules if not r.late], [r for r in rules if r.late]


def judge_things(
    rules: Iterable[Rule], inventory: Inventory, on_progress: Callable[[int], None] | None = None, part: bool = False
) -> Judgement:
    """Hold rules against things; of a `part` nothing is asked that is asked of the plan as a whole."""
    run = _Run(inventory, on_progress, part)
    run.rules(rules)
    return Judgement(run.findings, list(run.gaps), run.scope.conditions)


def judge_rest(
    rulebook: Rulebook,
    inventory: Inventory,
    judged: Judgement,
    variances: Sequence[Variance],
    today: date,
    on_progress: Callable[[int], None] | None = None,
) -> Verdicts:
    """What has been judged, under the plan's variances, and what the rules about gaps and variances say of it."""
    early, late = parted(rulebook, inventory.plan)
    findings, cases = _under_variances(judged.findings, variances, rulebook, today)
    place_of = {rule.id: i for i, rule in enumerate(early)}
    gaps = sorted(judged.gaps, key=lambda gap: (place_of[gap.rule], gap.at.order, gap.subject, gap.reason))
    inventory.gaps, inventory.variances = told_together(gaps), cases
    # What the others spent must not silence those that tell of it: they count anew.
    rest = judge_things(late, inventory, on_progress)
    found = tuple(findings) + tuple(finding for finding, _ in rest.findings)
    every = dict.fromkeys((*gaps, *rest.gaps))
    rules = tuple(r.id for r in (*early, *late))
    return Verdicts(found, tuple(every), rules, judged.conditions + rest.conditions)


class _Run:
    """The rules at work on one plan."""

    def __init__(self, inventory: Inventory, on_progress: Callable[[int], None] | None, part: bool) -> None:
        self.inventory = inventory
        self.scope = Scope(inventory)
        self.on_progress = on_progress
        self.part = part
        self.findings: list[Named] = []
        self.gaps: dict[Gap, None] = {}

    def rules(self, rules: Iterable[Rule]) -> None:
        for done, rule in enumerate(rules, 1):
            self.scope.begin_rule()
            alternatives = rule.limits_in(self.inventory.plan.jurisdiction, self.inventory.plan.editions)
            for number, group in enumerate(rule.groups):
                if self.part and group.of_the_whole:
                    continue
                try:
                    self.walk(rule, group, number, alternatives, 0)
                except (Unknown, NotAssessed) as reason:
                    self.gap(rule, 0, str(reason))
            if self.on_progress is not None:
                self.on_progress(done)

    def walk(self, rule: Rule, group: Group, number: int, alternatives: list[Alternative], level: int) -> None:
        """Bind one variable to each of its things, and go on with the next; judge where all are bound."""
        scope = self.scope
        innermost = level + 1 == len(group.variables)
        scope.limits = alternatives[0].values
        things = scope.things
        for thing in group.variables[level].source(scope):
            things[level] = thing
            scope.step()
            try:
                if not _passes(group.wheres[level], scope):
                    continue
                if innermost:
                    self.judge(rule, group, number, alternatives)
                    continue
            except (Unknown, NotAssessed) as reason:
                self.gap(rule, level + 1, str(reason))
                continue
            self.walk(rule, group, number, alternatives, level + 1)

    def judge(self, rule: Rule, group: Group, number: int, alternatives: list[Alternative]) -> None:
        """Hold one binding to what the group requires, under each set of limits that may count."""
        scope = self.scope
        if len(alternatives) == 1:
            if group.require.run(scope) is not True:
                self.finding(rule, group, number, alternatives[0])
            return
        failed = []
        for each in alternatives:
            scope.limits = each.values
            if group.require.run(scope) is not True:
                failed.append((excess(group.require, scope), each))
        if failed:
            _, worst = max(failed, key=lambda pair: pair[0])
            scope.limits = worst.values
            self.finding(rule, group, number, worst)
        scope.limits = alternatives[0].values

    def finding(self, rule: Rule, group: Group, number: int, limits: Alternative) -> None:
        bound = self.scope.things[: len(group.variables)]
        finding = write(Judged(rule, group, number, tuple(bound), limits.said), self.scope)
        self.findings.append((finding, frozenset(name for thing in bound for name in devices_behind(thing))))

    def gap(self, rule: Rule, bound: int, reason: str) -> None:
        if bound:
            thing = self.scope.things[bound - 1]
            subject, at = label(self.inventory, thing), place(thing)
        else:
            subject, at = "the plan", place(self.inventory.plan)
        self.gaps[Gap(rule.id, subject, reason, at, rule.life_safety)] = None


def _passes(wheres: Sequence[Run], scope: Scope) -> bool:
    """Whether nothing asked is certainly false: an uncertain thing is judged."""
    for where in wheres:  # noqa: SIM110 - a generator would cost more than the tests
        if where(scope) is False:
            return False
    return True


# --- variances ---------------------------------------------------------------------------------------------


def _under_variances(
    found: Sequence[Named], variances: Sequence[Variance], rulebook: Rulebook, today: date
) -> tuple[list[Finding], list[VarianceCase]]:
    """Mark each finding that a variance in force covers, and tell what became of each variance."""
    used: set[int] = set()
    findings = []
    cases = [_case(v, rulebook, today) for v in variances]
    for finding, names in found:
        for i, case in enumerate(cases):
            if case.variance.rule == finding.rule and case.variance.on in names:
                used.add(i)
                if finding.variance is None and _in_force(case):
                    finding = replace(finding, variance=_record(case.variance))
        findings.append(finding)
    return findings, [replace(case, used=i in used) for i, case in enumerate(cases)]


def _case(variance: Variance, rulebook: Rulebook, today: date) -> VarianceCase:
    rule = rulebook.get(variance.rule)
    switched_off = {case.change.rule for case in rulebook.cases if case.switches_off}
    return VarianceCase(
        variance,
        known=rule is not None,
        near="" if rule or variance.rule in switched_off else near_rule(variance.rule, rulebook.by_id),
        life_safety=rule is not None and rule.life_safety,
        granted=bool(variance.granted_by and variance.reference and variance.until),
        expired=bool(variance.until) and variance.until < today.isoformat(),
        used=False,
    )


def _in_force(case: VarianceCase) -> bool:
    return bool(case.variance.reason) and not case.expired and (case.granted or not case.life_safety)


def _record(variance: Variance) -> VarianceRecord:
    return VarianceRecord(variance.reason, variance.granted_by, variance.reference, variance.until)
