"""Which packs a plan adopts, seen before anything else of it is read: what it may say depends on them."""

from __future__ import annotations

import re

from plancheck.source import Source
from plancheck.syntax import nodes, read_statements
from plancheck.syntax.nodes import Text

_ADOPT = re.compile(r"(?:\A|(?<=[\r\n\ufeff]))adopt\b")


def adopted_by(source: Source) -> tuple[str, ...]:
    """Names of the packs, in order; what is wrong about them is told when the plan is read."""
    if _ADOPT.search(source.text) is None:
        return ()
    headers = (s.node for s in read_statements(source)[0] if isinstance(s.node, nodes.Header))
    texts = (item for h in headers if h.keyword.text == "adopt" for item in h.items if isinstance(item, Text))
    return tuple(dict.fromkeys(text.text for text in texts))
