"""Every place where a name is spoken of."""

from __future__ import annotations

from plancheck.authoring.names import Names
from plancheck.authoring.view import View
from plancheck.source import Span


def references(view: View, offset: int, declaration: bool) -> list[Span]:
    """All places of the thing at an offset, in every text of the plan; its `declaration` too, where asked for."""
    names = Names(view)
    found = names.at(offset)
    thing = names.thing(found.site) if found else None
    return [each.at for each in names.each(thing, declaration)] if thing else []


def sites_in_text(view: View, offset: int) -> list[Span]:
    """Those of them in the text itself: what an editor marks while the cursor stands on a name."""
    return [at for at in references(view, offset, True) if at.source is view.source]
