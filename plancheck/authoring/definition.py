"""Where what a name names is said to be."""

from __future__ import annotations

from plancheck.authoring.names import Found, Names
from plancheck.authoring.sites import Sort
from plancheck.authoring.view import View
from plancheck.source import Source, Span


def definition(names: Names, offset: int) -> list[Span]:
    """Where the thing at an offset is declared: in the plan, in what it uses, in a pack, or in a shipped text."""
    view = names.view
    found = names.at(offset)
    if found is None:
        return []
    if found.site.sort is Sort.RULE:
        rule = view.rulebook.get(found.site.name)
        return [rule.at] if rule else []
    if found.site.sort is Sort.FILE:
        used = used_text(view, found)
        return [Span(used, 0, 0)] if used else []
    thing = names.thing(found.site)
    declared = [each.at for each in names.declared.get(thing, ())] if thing else []
    if not declared and found.site.sort is Sort.KIND:
        kind = view.kinds.get(found.site.name)
        return [kind.at] if kind else []
    return declared


def used_text(view: View, found: Found) -> Source | None:
    """The text that a plan says to `use`: the one whose name ends alike."""
    wanted = found.site.name.replace("\\", "/").removeprefix("./")
    sources = {statement.source.name: statement.source for statement in view.whole}
    fits = [source for name, source in sources.items() if name == wanted or name.endswith("/" + wanted)]
    return min(fits, key=lambda source: len(source.name), default=None)
