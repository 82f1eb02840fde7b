"""Another name for a thing, wherever it is spoken of."""

from __future__ import annotations

import re
from dataclasses import dataclass

from plancheck.authoring.edit import Edit
from plancheck.authoring.names import Found, Names, Thing
from plancheck.authoring.sites import Sort
from plancheck.plan.header import WHOLE_PLAN
from plancheck.plan.scope import HERE
from plancheck.source import Source, Span
from plancheck.syntax.nodes import Typical
from plancheck.syntax.read import read_statements

RENAMED = frozenset((Sort.DEVICE, Sort.TYPICAL, Sort.KIND, Sort.HOUSE_DEVICE, Sort.PARAMETER))


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a name cannot be given."""

    reason: str


def renameable(names: Names, offset: int) -> Span | None:
    """The name at an offset that can be another; None where none can."""
    found = names.at(offset)
    return found.at if found and not isinstance(_thing(names, found), Refusal) else None


def rename(names: Names, offset: int, new: str) -> list[Edit] | Refusal:
    """The edits, in all texts of a plan, that give the thing at an offset the name `new`; or why it cannot be."""
    found = names.at(offset)
    if found is None:
        return Refusal("there is no name here")
    thing = _thing(names, found)
    if isinstance(thing, Refusal):
        return thing
    reason = _unfit(names, thing, new)
    if reason:
        return Refusal(reason)
    return [Edit(each.at, new) for each in names.each(thing) if each.at.text == found.at.text]


def _thing(names: Names, found: Found) -> Thing | Refusal:
    thing = names.thing(found.site)
    if thing is None or thing.sort not in RENAMED:
        return Refusal("this is not a name that the plan gives")
    declared = names.declared.get(thing)
    if not declared:
        return Refusal(f"“{thing.name}” is not declared in this plan")
    if any(each.at.source.of_pack for each in declared):
        return Refusal(f"“{thing.name}” is declared in a pack")
    if thing in names.in_runs:
        return Refusal(f"“{thing.name}” is one of a run that is placed at once")
    if any("/" in each.at.text for each in declared):
        return Refusal(f"“{thing.name}” bears the name of a place")
    return thing


def _unfit(names: Names, thing: Thing, new: str) -> str:
    """Why a name is none, or another's already; empty where it will do."""
    if thing.sort is Sort.HOUSE_DEVICE:
        if not new.strip() or not new.isprintable() or '"' in new:
            return "a name in quotes holds neither quotes nor line ends"
    elif not _is_name(new):
        return f"“{new}” is not a name: a letter, then letters, figures, “-”, “_” or “.”"
    if new in (HERE, WHOLE_PLAN):
        return f"“{new}” is a word of the language"
    scopes = {thing.within, ""} if thing.sort in (Sort.DEVICE, Sort.PARAMETER) else {""}
    sorts = (Sort.DEVICE, Sort.PARAMETER) if thing.sort in (Sort.DEVICE, Sort.PARAMETER) else (thing.sort,)
    for within in scopes:
        if any(Thing(sort, new, within) in names.declared for sort in sorts):
            return f"there is “{new}” already"
    if thing.sort is Sort.KIND and new in names.kinds.by_name:
        return f"there is a kind “{new}” already"
    return ""


def _is_name(text: str) -> bool:
    """Whether the language reads a text as one name."""
    if "/" in text or not re.fullmatch(r"\S+", text):
        return False
    statements, mistakes = read_statements(Source("", f"typical {text} {{\n}}\n"))
    node = statements[0].node if statements else None
    return not mistakes and isinstance(node, Typical) and node.name.text == text
