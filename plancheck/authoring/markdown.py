"""Text as Markdown: whatever a plan says stays text."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

_ACTING = re.compile(r"([\\`*_\[\]<>~&|])")
_AT_THE_START = re.compile(r"^([#+\-=!]|\d+(?=[.)]))")


def plain(text: str) -> str:
    """A text that looks as it is: nothing in it acts, and it stays on its line."""
    text = _ACTING.sub(r"\\\1", " ".join(text.split()))
    return _AT_THE_START.sub(_escaped, text)


def _escaped(match: re.Match[str]) -> str:
    return match[0] if match[0].isdigit() else "\\" + match[0]


def code(text: str) -> str:
    """A text as it is typed."""
    text = " ".join(text.split())
    fence = "`" * (max((len(run) for run in re.findall("`+", text)), default=0) + 1)
    pad = " " if text[:1] == "`" or text[-1:] == "`" else ""
    return f"{fence}{pad}{text}{pad}{fence}" if text else ""


def heading(text: str) -> str:
    """A line that stands out."""
    return f"**{plain(text)}**"


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """A table of texts; a cell holds no line end."""
    lines = ["| " + " | ".join(map(plain, head)) + " |", "|" + " --- |" * len(head)]
    return lines + ["| " + " | ".join(map(plain, row)) + " |" for row in rows]


def paragraphs(parts: Iterable[str | Sequence[str]]) -> str:
    """Paragraphs, empty ones left out; one given as lines stays lines."""
    texts = (part if isinstance(part, str) else "\n".join(part) for part in parts)
    return "\n\n".join(text for text in texts if text)
