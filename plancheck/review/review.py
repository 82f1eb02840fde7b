"""A plan's text and a rulebook become a report. Pure: no files, no clock."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import date

from plancheck.circuit.facts import Facts
from plancheck.circuit.network import Network
from plancheck.finding import Mistake
from plancheck.nearest import did_you_mean
from plancheck.plan.include import Include
from plancheck.plan.kinds import Kinds
from plancheck.plan.model import Plan
from plancheck.plan.resolve import resolve
from plancheck.review.adopted import NOTHING, Adopted
from plancheck.review.assumptions import assumptions
from plancheck.review.editions import editions_unknown
from plancheck.review.report import PlanReport, in_order, reading_finding
from plancheck.rulebook.judge import judge
from plancheck.rulebook.rule import Rulebook
from plancheck.rulebook.shown_changes import with_shown_changes
from plancheck.source import Source, Span

PARTLY_READ = (
    "Part of the text could not be read. The rules were held against the rest: what they miss may stand "
    "in the part that was not read, and so may more mistakes."
)


@dataclass(frozen=True)
class Reviewed:
    """A report with the facts, kinds and rules that it was judged by, for documents of the same plan."""

    report: PlanReport
    facts: Facts
    kinds: Kinds
    rulebook: Rulebook


def review_text(
    source: Source,
    kinds: Kinds,
    rulebook: Rulebook,
    include: Include,
    today: date,
    *,
    packs: Collection[str] = (),
    adopted: Adopted = NOTHING,
    excerpt: bool = False,
    on_progress: Callable[[int, int], None] | None = None,
) -> PlanReport:
    """Review one plan. `packs` names the packs at hand, which the plan may adopt; `adopted` are those that apply.

    An `excerpt`, such as a rule's own example, need not be a whole plan with its headers, and may show a `change`.
    """
    return reviewed_text(
        source,
        kinds,
        rulebook,
        include,
        today,
        packs=packs,
        adopted=adopted,
        excerpt=excerpt,
        on_progress=on_progress,
    ).report


def reviewed_text(
    source: Source,
    kinds: Kinds,
    rulebook: Rulebook,
    include: Include,
    today: date,
    *,
    packs: Collection[str] = (),
    adopted: Adopted = NOTHING,
    excerpt: bool = False,
    on_progress: Callable[[int, int], None] | None = None,
) -> Reviewed:
    """Review one plan as `review_text` does, and keep what was worked out."""
    shown, rulebook, wrong = with_shown_changes(source, rulebook) if excerpt else (source, rulebook, [])
    plan, mistakes = resolve(shown, kinds, include, adopted.texts)
    mistakes += wrong
    mistakes += packs_missing(plan, packs)
    if not mistakes and not excerpt:
        mistakes += nothing_drawn(plan, bool(plan.devices))
    facts = Facts(plan)
    verdicts = judge(rulebook, facts, today, on_progress)
    findings = [reading_finding(mistake) for mistake in mistakes] + list(verdicts.findings)
    unjudged = {f"{gap.rule} for {gap.subject}: {gap.reason}" for gap in verdicts.gaps}
    unsolved = {f"The circuit around {_around(network)}: {why}" for network, why in facts.networks_not_assessed()}
    report = PlanReport(
        source=source,
        plan=plan,
        findings=in_order(findings),
        rules_run=tuple(sorted(verdicts.rules_run)),
        conditions=facts.conditions_examined(),
        not_assessed=(*([PARTLY_READ] if mistakes else []), *sorted(unsolved), *sorted(unjudged)),
        assumed=(*assumptions(plan, facts), *editions_unknown(plan, rulebook)),
        mistakes=tuple(mistakes),
        gaps=len(verdicts.gaps) + len(unsolved),
        packs=adopted.packs,
        house=adopted.house,
        changes=rulebook.cases,
        rules_of_review=frozenset(rule.id for rule in rulebook.rules if rule.late),
        unjudged_rules=frozenset(verdicts.rules_run if unsolved else (gap.rule for gap in verdicts.gaps)),
    )
    return Reviewed(report, facts, kinds, rulebook)


def _around(network: Network) -> str:
    """Names the devices of a network, as many as a reader needs to find it."""
    names = list(dict.fromkeys(branch.device for branch in network.branches if branch.device))
    return ", ".join(names[:4]) + (" …" if len(names) > 4 else "")


def nothing_drawn(plan: Plan, drawn: bool) -> list[Mistake]:
    """A text that names no plan, or draws nothing, must not look like one without faults."""
    start = Span(plan.source, 0, 0)
    if "plan" not in plan.header_at:
        return [Mistake(start, "This names no plan", "no `plan` header", 'a line such as: plan "Rear entrance"')]
    if not drawn:
        return [Mistake(plan.header_at["plan"], "This plan draws nothing", "no device", "devices and wires")]
    return []


def packs_missing(plan: Plan, packs: Collection[str]) -> list[Mistake]:
    """Mistakes for the packs that a plan adopts and nobody gave."""
    at = plan.header_at.get("adopt") or plan.header_at.get("plan")
    if at is None:
        return []
    return [
        Mistake(
            at,
            f"The plan adopts the pack “{name}”, which is not at hand",
            found=f"“{name}”",
            expected="a pack whose folder is given with the review",
            hint=did_you_mean(name, packs) or "Give the folder of the pack with --packs.",
        )
        for name in plan.adopts
        if name not in packs
    ]
