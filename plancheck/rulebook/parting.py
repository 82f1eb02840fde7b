"""Members of a rule parted: its own, and those of each of its groups."""

from __future__ import annotations

from collections.abc import Iterable

from plancheck.rulebook import nodes

OF_GROUP = frozenset(
    {"where", "require", "at", "also at", "path", "headline", "found", "required", "evidence", "remedy", "fix"}
)
"""Members that belong to the `for each` above them."""


def keyword_of(member: nodes.Member) -> str:
    """The words with which a member begins, where it may belong to a group."""
    match member:
        case (
            nodes.TextMember(keyword=keyword)
            | nodes.ExpressionMember(keyword=keyword)
            | nodes.PlaceMember(keyword=keyword)
        ):
            return keyword
        case nodes.EvidenceMember():
            return "evidence"
        case nodes.FixMember():
            return "fix"
    return ""


def parted(members: Iterable[nodes.Member]) -> tuple[tuple[nodes.Member, ...], tuple[nodes.GroupNode, ...]]:
    """Members of the rule's head, those that stand above every `for each` by mistake among them; and its groups."""
    head: list[nodes.Member] = []
    groups: list[tuple[nodes.ForEachMember, list[nodes.Member]]] = []
    for member in members:
        if isinstance(member, nodes.ForEachMember):
            groups.append((member, []))
        elif groups and keyword_of(member) in OF_GROUP:
            groups[-1][1].append(member)
        else:
            head.append(member)
    return tuple(head), tuple(nodes.GroupNode(first, tuple(others)) for first, others in groups)
