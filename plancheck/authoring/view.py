"""A plan's text as it stands before its author, and what is known of the plan that it belongs to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from plancheck.finding import Finding
from plancheck.plan.kinds import Kinds
from plancheck.review.worked import Worked
from plancheck.rulebook.rule import Rulebook
from plancheck.source import Source
from plancheck.syntax.nodes import Statement


@dataclass(frozen=True, slots=True)
class View:
    """One text, and the plan around it.

    `statements` are those of the text as it stands now. `whole` are those of the plan: of this text, of all that it
    uses, and of packs. `worked` and `findings` are of the last review, perhaps of an earlier state of the text.
    """

    source: Source
    statements: Sequence[Statement]
    kinds: Kinds
    rulebook: Rulebook
    whole: Sequence[Statement] = ()
    worked: Worked = field(default_factory=Worked)
    findings: Sequence[Finding] = ()
