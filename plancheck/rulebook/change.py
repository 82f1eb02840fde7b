"""`change egress/x { reason "…"; limit most = 3 %; severity error }`: what an in-house pack makes of a rule of others.

Here a change is checked against the rule that it speaks of; `changed` says what comes of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, TypeVar

from plancheck.nearest import did_you_mean, nearest
from plancheck.rulebook import nodes, types
from plancheck.rulebook.assemble import Assembling, read_limit, read_severity
from plancheck.rulebook.change_cases import Change, NewLimit
from plancheck.rulebook.nodes_of_packs import ChangeNode, ChangePart, OffPart, ReasonPart

if TYPE_CHECKING:
    from plancheck.rulebook.rule import Rule

P = TypeVar("P", bound=ChangePart)
WATCHED = "change"
"""The class of things of which rules ask that watch over packs: a pack must not silence these."""
MOST_PARTS = 50
"""Limits and other parts of one change: several times what any rule has."""


def near_rule(name: str, known: Mapping[str, object]) -> str:
    """The rule of a like id, its pack said right or wrong; empty where none is near."""
    bare = {rule_id.partition("/")[2]: rule_id for rule_id in known}
    return nearest(name, known) or bare.get(nearest(name.partition("/")[2], bare) or "", "")


def read_change(node: ChangeNode, rule: Rule, work: Assembling) -> Change | None:
    """The change of a rule, or None where anything about it is wrong. Which pack wants it, `work` knows."""
    if any(variable.of == WATCHED for group in rule.groups for variable in group.variables):
        expected = "a change of another rule"
        work.wrong(node, f"{rule.id} watches over changes, and none may touch it", f"“{rule.id}”", expected)
        return None
    if len(node.parts) > MOST_PARTS:
        work.wrong(node, "This change has too many parts", f"{len(node.parts)}", f"at most {MOST_PARTS}")
        return None
    off, severity = _one(node, OffPart, "off", work), _one(node, nodes.SeverityMember, "severity", work)
    members = _parts(node, nodes.LimitMember)
    if not (off or severity or members):
        work.wrong(node, "This changes nothing", "a reason at most", "“limit …”, “severity …” or “off”")
    if off and (severity or members):
        work.wrong(off, "What is switched off has no limits and no severity", "both", "“off”, or what is to change")
    reason = _reason(node, work)
    limits = tuple(new for member in members if (new := _new_limit(member, rule, work)))
    _each_once(limits, work)
    wanted = read_severity(severity, work) if severity else None
    if work.mistakes:
        return None
    return Change(work.pack, rule.id, reason, off is not None, wanted, limits, work.file.span(node))


def _parts(node: ChangeNode, of: type[P]) -> list[P]:
    return [part for part in node.parts if isinstance(part, of)]


def _one(node: ChangeNode, of: type[P], what: str, work: Assembling) -> P | None:
    found = _parts(node, of)
    for extra in found[1:]:
        work.wrong(extra, f"“{what}” is said twice", "a second one", "one")
    return found[0] if found else None


def _reason(node: ChangeNode, work: Assembling) -> str:
    part = _one(node, ReasonPart, "reason", work)
    said = part.text.text.strip() if part else ""
    if not said:
        at = part.text if part else node
        hint = "It is printed with every plan that the change acts on."
        work.wrong(at, "A change gives its reason", "none", 'reason "…"', hint)
    return said


def _new_limit(member: nodes.LimitMember, rule: Rule, work: Assembling) -> NewLimit | None:
    name = member.name.text
    of_name = [limit for limit in rule.limits if limit.name == name]
    if not of_name:
        known = sorted({limit.name for limit in rule.limits})
        expected = ", ".join(known) or "no limit: the rule has none"
        work.wrong(member.name, f"{rule.id} has no limit “{name}”", f"“{name}”", expected, did_you_mean(name, known))
        return None
    limit = read_limit(member, work)
    if limit is None:
        return None
    if not types.same_dimension(limit.type, of_name[0].type):
        headline = f"“{name}” of {rule.id} is {of_name[0].type}"
        work.wrong(member.amount, headline, f"{limit.type}", f"one such as {of_name[0].text}")
        return None
    if limit.tag and rule.only_in and limit.tag != rule.only_in:
        work.wrong(member, f"{rule.id} runs only in {rule.only_in}", f"a limit in {limit.tag}", "one where it runs")
        return None
    if limit.edition and limit.edition not in [each.edition for each in of_name]:
        expected = ", ".join(each.edition.text for each in of_name if each.edition) or "none: leave the edition out"
        work.wrong(member, f"{rule.id} has no “{name}” under {limit.edition.text}", limit.edition.text, expected)
        return None
    return NewLimit(limit, rule.slope(name))


def _each_once(limits: tuple[NewLimit, ...], work: Assembling) -> None:
    seen: set[tuple[str, str]] = set()
    for new in limits:
        key = new.limit.name, new.limit.where
        if key in seen:
            at = nodes.Name(new.limit.name, new.limit.at.start, new.limit.at.end)
            work.wrong(at, f"The limit “{new.limit.name}” is given twice", "a second one", "one for each place")
        seen.add(key)
