"""The page that texts are laid out on: its width, its paint, and lines with a label before them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from plancheck.render.columns import padded, wrapped
from plancheck.render.paint import Paint

LABEL = 13
"""Columns that a label takes."""


@dataclass(frozen=True, slots=True)
class Page:
    """What is written on."""

    width: int = 100
    paint: Paint = field(default_factory=Paint)
    full: bool = False
    """Whether counterexamples are told step by step."""


def plural(count: int, noun: str) -> str:
    """A number of things."""
    return f"{count:,} {noun}" if count == 1 else f"{count:,} {noun}s"


def headed(title: str, page: Page) -> Iterator[str]:
    """A title with a line under it."""
    yield from map(page.paint.strong, wrapped(title, page.width))
    yield "─" * page.width


def entry(label: str, text: str, page: Page, columns: int = 0) -> Iterator[str]:
    """A label and its text, the text's further lines set in under its first."""
    first, *others = wrapped(text, (columns or page.width) - LABEL)
    yield page.paint.quiet(padded(label, LABEL)) + first
    yield from (" " * LABEL + line for line in others)
