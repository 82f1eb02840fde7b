"""Groups: what belongs together, one join at a time (disjoint sets)."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Generic, TypeVar

Member = TypeVar("Member", bound=Hashable)


class Groups(Generic[Member]):
    """Members that joins have brought together; one never joined is a group of its own."""

    def __init__(self) -> None:
        self._leader: dict[Member, Member] = {}

    def leader(self, member: Member) -> Member:
        """The member that stands for the group of `member`."""
        leader = self._leader
        while leader.setdefault(member, member) != member:
            leader[member] = member = leader[leader[member]]
        return member

    def join(self, one: Member, other: Member) -> None:
        """Bring two groups together."""
        self._leader[self.leader(one)] = self.leader(other)

    def members(self) -> list[Member]:
        """Every member that was joined or asked about."""
        return list(self._leader)
