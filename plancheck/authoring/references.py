"""Every place where a name is spoken of."""

from __future__ import annotations

from plancheck.authoring.names import Names
from plancheck.source import Span


def references(names: Names, offset: int, declaration: bool) -> list[Span]:
    """All places of the thing at an offset, in every text of the plan; its `declaration` too, where asked for."""
    found = names.at(offset)
    thing = names.thing(found.site) if found else None
    return [each.at for each in names.each(thing, declaration)] if thing else []
