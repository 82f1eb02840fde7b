"""A broken statement taken apart, so that every mistake in it is told and its sound parts are kept.

A block's inside is split into its parts, and each part is parsed alone under the rule that fits it. The work
grows with the text, however many parts are broken.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from plancheck.syntax import nodes
from plancheck.syntax.split import outline, split_block
from plancheck.syntax.tree import parser
from plancheck.syntax.wording import Slip, slip

MOST_SLIPS = 1_000
"""Mistakes told of one statement; past them it is not taken apart any further."""
DEEPEST = 8
"""Blocks stand in blocks four deep at most in a sound text; deeper ones are not taken apart."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What came of a statement's text: a node, as far as there is one, and what was wrong."""

    node: Any
    slips: tuple[Slip, ...] = ()


def recover(text: str, start: int = 0, end: int | None = None, rule: str = "statement", depth: int = 0) -> Reading:
    """Reads a stretch of text by `rule`, part by part where the whole does not parse."""
    from lark import TextSlice
    from lark.exceptions import UnexpectedInput

    end = len(text) if end is None else end
    try:
        return Reading(parser().parse(TextSlice(text, start, end), start=rule))
    except UnexpectedInput as error:
        whole = slip(error, text, start, end, rule)
    inside = outline(text, start, end)
    if inside is None or depth >= DEEPEST:
        return Reading(None, (whole,))
    opened, closed = inside
    behind = min(closed + 1, end)  # a block that nothing closes ends with its stretch
    head = _head(text, start, opened, rule)
    slips = list(head.slips)
    parts = _parts(text, opened + 1, closed, _rule_inside(text[start:opened], rule), slips, depth)
    slips += _behind(text, behind, end)
    if not slips:
        slips.append(whole)
    return Reading(_filled(head.node, parts, behind) if head.node is not None else None, tuple(slips))


def _parts(text: str, start: int, end: int, rule: str, slips: list[Slip], depth: int) -> list[Any]:
    parts = []
    for part_start, part_end in split_block(text, start, end):
        if len(slips) >= MOST_SLIPS:
            break
        part = recover(text, part_start, part_end, rule, depth + 1)
        slips += part.slips
        if part.node is not None:
            parts.append(part.node)
    return parts


def _head(text: str, start: int, opened: int, rule: str) -> Reading:
    """The statement as if its block were empty."""
    from lark import TextSlice
    from lark.exceptions import UnexpectedInput

    bare = text[: opened + 1] + "}"
    try:
        return Reading(parser().parse(TextSlice(bare, start, opened + 2), start=rule))
    except UnexpectedInput as error:
        return Reading(None, (slip(error, bare, start, opened + 1, rule),))


def _behind(text: str, start: int, end: int) -> list[Slip]:
    """Whatever stands behind the brace that closes a statement."""
    for part_start, part_end in split_block(text, start, end):
        found = text[part_start:part_end].strip()
        shown = found if len(found) <= 40 else found[:37] + "…"
        headline = "Something stands behind the end of the block"
        return [Slip(part_start, part_end, headline, f"“{shown}”", "the end of the line")]
    return []


def _rule_inside(head: str, rule: str) -> str:
    """Which rule the parts of a block follow, by the word that begins its head."""
    first = head.split(None, 1)[0] if head.strip() else ""
    if rule == "statement":
        return {"kind": "member", "typical": "statement"}.get(first, "entry")
    if rule == "member":
        return "member" if first == "repeat" else "setting"
    return "entry"


def _filled(node: Any, parts: list[Any], end: int) -> Any:
    """The node of an empty block with the parts that could be read put in."""
    match node:
        case nodes.KindNode():
            return replace(node, members=tuple(parts), end=end)
        case nodes.RepeatMember():
            return replace(node, members=tuple(parts))
        case nodes.PrimitiveMember():
            return replace(node, settings=tuple(parts))
        case nodes.Typical():
            return replace(node, body=tuple(parts), end=end)
        case _:
            return replace(node, entries=tuple(parts), end=end)
