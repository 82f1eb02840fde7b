"""Facts of the plan itself, of what could not be judged, and of the exceptions that a plan claims."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plancheck.circuit.facts import Facts, NotAssessed
from plancheck.circuit.variation import AS_DRAWN, Variation
from plancheck.rulebook import types
from plancheck.rulebook.things import Inventory
from plancheck.rulebook.types import DATE, TEXT, YES_NO
from plancheck.rulebook.vocabulary import Word

if TYPE_CHECKING:
    from plancheck.plan.model import Plan


def _has_a_short(inventory: Inventory, plan: Plan, variation: Variation) -> bool:
    return inventory.shorted_elsewhere or has_a_short(inventory.facts, variation)


def has_a_short(facts: Facts, variation: Variation = AS_DRAWN) -> bool:
    """Whether metal joins the poles of a source. A circuit that could not be worked out counts as none: that is told
    for itself."""
    for circuit in facts.circuits():
        try:
            if facts.shorted(circuit, variation).yes:
                return True
        except NotAssessed:
            continue
    return False


PLAN_WORDS = [
    Word("plan", "title", TEXT, "what the plan calls itself", lambda i, p, v: p.title or None),
    Word("plan", "revision", TEXT, "its revision", lambda i, p, v: p.revision or None),
    Word("plan", "dated", DATE, "the day of its revision", lambda i, p, v: p.dated or None),
    Word("plan", "jurisdiction", types.choice("us", "eu"), "whose codes hold", lambda i, p, v: p.jurisdiction or None),
    Word(
        "plan",
        "has-a-short",
        YES_NO,
        "metal joins the poles of some source in some condition, no load between",
        _has_a_short,
        kept=True,
    ),
    Word("gap", "rule", TEXT, "the rule that could not be judged", lambda i, g, v: g.rule),
    Word("gap", "subject", TEXT, "the thing it was asked of", lambda i, g, v: g.subject),
    Word("gap", "reason", TEXT, "why it could not", lambda i, g, v: g.reason),
    Word("gap", "life-safety", YES_NO, "that rule guards life", lambda i, g, v: g.life_safety),
    Word("variance", "rule", TEXT, "the rule it is an exception from", lambda i, c, v: c.variance.rule),
    Word("variance", "on", TEXT, "the thing it is for", lambda i, c, v: c.variance.on),
    Word("variance", "reason", TEXT, "the reason it gives", lambda i, c, v: c.variance.reason or None),
    Word("variance", "until", DATE, "the last day it holds", lambda i, c, v: c.variance.until or None),
    Word("variance", "known", YES_NO, "a rule of that name exists", lambda i, c, v: c.known),
    Word("variance", "near", TEXT, "the nearest rule where it names none", lambda i, c, v: c.near or None),
    Word("variance", "life-safety", YES_NO, "that rule guards life", lambda i, c, v: c.life_safety),
    Word("variance", "granted", YES_NO, "it says who granted it and their reference", lambda i, c, v: c.granted),
    Word("variance", "expired", YES_NO, "its last day is past", lambda i, c, v: c.expired),
    Word("variance", "used", YES_NO, "a finding stands under it", lambda i, c, v: c.used),
]
