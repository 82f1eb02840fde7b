"""The node of a whole rule: its own members, and its groups, which need not be looked at before they are judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from plancheck.syntax.packing import LATER

if TYPE_CHECKING:
    from plancheck.rulebook.nodes import ForEachMember, Member, Name


@dataclass(frozen=True, slots=True)
class GroupNode:
    """`for each …` and the members that belong to it."""

    for_each: ForEachMember
    members: Sequence[Member] = field(metadata=LATER)


@dataclass(frozen=True, slots=True)
class RuleNode:
    """`rule NAME { … }`; `whole` is False where a member could not be read, so that the rule may not run.

    `head` holds the members that belong to no group: those of the rule itself, and any that stand above the first
    `for each` by mistake.
    """

    name: Name
    head: tuple[Member, ...]
    groups: Sequence[GroupNode] = field(metadata=LATER)
    whole: bool
    start: int
    end: int

    @property
    def members(self) -> tuple[Member, ...]:
        """All members, in the order of the text."""
        grouped = [m for group in self.groups for m in (group.for_each, *group.members)]
        return tuple(sorted([*self.head, *grouped], key=lambda member: member.start))
