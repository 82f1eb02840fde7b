"""A rules file as it stands before its author, and what is known of the rules around it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plancheck.plan.kinds import Kinds
from plancheck.rulebook.read import RulesFile
from plancheck.rulebook.rule import Rulebook
from plancheck.source import Source


@dataclass(frozen=True, slots=True)
class RulesView:
    """`file` is the text as it stands, `whole` all files of rules at hand, this one among them.

    `rulebook` is what came of them when they were last loaded, perhaps from an earlier state of the text.
    """

    file: RulesFile
    kinds: Kinds
    rulebook: Rulebook
    whole: Sequence[RulesFile]

    @property
    def source(self) -> Source:
        """The text."""
        return self.file.source
