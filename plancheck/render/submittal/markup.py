"""Pieces of HTML that every part of the page is made of. All text goes through `text`."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator, Sequence
from html import escape
from typing import Any

from plancheck.render.columns import shown


def text(words: str) -> str:
    """A text that is shown as it is, whatever it holds."""
    return escape(shown(words), quote=True)


def data(value: Any) -> str:
    """JSON that may stand in a script element or, escaped once more, in an attribute."""
    told = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return told.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def table(
    caption: str, head: Sequence[str], rows: Iterable[Sequence[str]], numbers: Collection[int] = (), wide: str = ""
) -> Iterator[str]:
    """A table of cells that are HTML already; columns of `numbers` stand to the right; the first names its row."""
    yield f'<div class="scroll" role="region" aria-label="{text(caption)}" tabindex="0">'
    yield f"<table{f' class={wide}' if wide else ''}><caption>{text(caption)}</caption><thead><tr>"
    yield from (f'<th scope="col"{_number(i, numbers)}>{text(name)}</th>' for i, name in enumerate(head))
    yield "</tr></thead><tbody>"
    for row in rows:
        first, *others = row
        cells = "".join(f"<td{_number(i, numbers)}>{cell}</td>" for i, cell in enumerate(others, 1))
        yield f'<tr><th scope="row"{_number(0, numbers)}>{first}</th>{cells}</tr>'
    yield "</tbody></table></div>"


def _number(column: int, numbers: Collection[int]) -> str:
    return ' class="number"' if column in numbers else ""


def rows_of(pairs: Iterable[tuple[str, str]]) -> Iterator[str]:
    """A list of labels with what they say, as plain text; what says nothing is left out."""
    yield "<dl>"
    yield from (f"<dt>{text(label)}</dt><dd>{text(words)}</dd>" for label, words in pairs if words)
    yield "</dl>"


def listed(sentences: Iterable[str]) -> Iterator[str]:
    """Sentences as a list."""
    yield "<ul>"
    yield from (f"<li>{text(sentence)}</li>" for sentence in sentences)
    yield "</ul>"
