"""A new part of a plan, wired to two terminals of one that is there, in the hand of the text around it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from plancheck import proposed
from plancheck.authoring.drawn import Drawn, NotDrawn, declaration, mentions
from plancheck.authoring.edit import Edit
from plancheck.authoring.names import Names, Thing
from plancheck.authoring.sites import Sort
from plancheck.source import Span
from plancheck.syntax.nodes import Wire

_NUMBERED = re.compile(r"(.*?)(\d+)\Z", re.DOTALL)


def added(names: Names, step: proposed.Added, changed: Iterable[Edit]) -> list[Edit]:
    """A line that declares it, below the device that it is wired to, and a wire for each of its terminals.

    `changed` are edits made in the same breath, which it keeps clear of. Raises NotDrawn.
    """
    ends = [end.rpartition(":") for _, end in step.joins]
    thing = names.device(ends[0][0])
    if any(names.device(device) != thing for device, _, _ in ends):
        raise NotDrawn
    drawn, _ = declaration(names, thing)
    name = fresh_name(names, step.kind, thing.within)
    block = f" {{ {step.entries} }}" if step.entries else ""
    declared = f"{step.kind} {name}{block}"
    joins = zip(step.joins, ends, strict=True)
    lines = [f"wire {name}:{own} to {thing.name}:{terminal}" for (own, _), (_, _, terminal) in joins]
    below = _last_wire(names, thing, drawn, changed)
    if below is None:
        return [_below(drawn, [declared, *lines])]
    return [_below(drawn, [declared]), _below(below, lines)]


def fresh_name(names: Names, kind: str, within: str) -> str:
    """The next number behind the letters that the plan gives to devices of a kind, else behind the kind's initial."""
    taken = {thing.name for thing in names.declared if thing.sort in (Sort.DEVICE, Sort.PARAMETER)}
    same = (t.name for t, of in names.kind_by_device.items() if of == kind and t.within in ("", within))
    numbered = [match for name in same if (match := _NUMBERED.match(name))]
    letters = numbered[-1][1] if numbered else kind[0].upper()
    number = 1
    while f"{letters}{number}" in taken:
        number += 1
    return f"{letters}{number}"


def _last_wire(names: Names, thing: Thing, beside: Drawn, changed: Iterable[Edit]) -> Drawn | None:
    """The last wire at the thing, in the text that declares it and its typical, that no other edit changes."""
    busy = [edit.at for edit in changed]
    found = [
        drawn
        for drawn, _ in mentions(names, thing)
        if isinstance(drawn.node, Wire)
        and drawn.statement.source is beside.statement.source
        and (drawn.statement.offset == beside.statement.offset) == bool(thing.within)
        and not any(at.start < drawn.span.end and drawn.span.start < at.end for at in busy)
    ]
    return found[-1] if found else None


def _below(drawn: Drawn, lines: Iterable[str]) -> Edit:
    """Lines below a statement, set in as it is; behind a comment that ends its line."""
    source, at = drawn.statement.source, drawn.span
    start = source.line_starts[source.position(at.start)[0] - 1]
    inset = source.text[start : at.start]
    inset = inset if not inset.strip() else ""
    line, _ = source.position(max(at.start, at.end - 1))
    behind = source.line_starts[line - 1] + len(source.line(line))
    end = "\r\n" if "\r\n" in source.text else "\n"
    return Edit(Span(source, behind, behind), "".join(f"{end}{inset}{each}" for each in lines))
