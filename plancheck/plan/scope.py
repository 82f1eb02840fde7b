"""How a name that stands in a typical becomes the name of a thing of the plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from plancheck.source import Span
from plancheck.syntax.nodes import Entry, Item, Reference, Word

HERE = "here"
"""In a typical, the name of the place itself."""


@dataclass(frozen=True, slots=True)
class Given(Word):
    """A word handed to a typical: as a name, it names `whole`, whatever the typical calls its own."""

    whole: str


@dataclass(frozen=True, slots=True)
class GivenReference(Reference):
    """A reference handed to a typical, or one whose device was: its device is a thing of the whole plan."""


@dataclass(frozen=True, slots=True)
class Scope:
    """Where a statement stands: at the top, or in a typical placed under `prefix`."""

    prefix: str = ""
    parameters: Mapping[str, tuple[Item, ...]] = field(default_factory=dict)
    local: frozenset[str] = frozenset()
    """First parts of the names that the typical declares."""
    placed_at: tuple[Span, ...] = ()
    """The `place` statement that brought it onto the plan."""

    def declared(self, name: str) -> str:
        """The whole name of a thing that is declared here."""
        if not self.prefix:
            return name
        return self.prefix if name == HERE else f"{self.prefix}/{name}"

    def whole(self, name: str) -> str:
        """The whole name of a thing that is spoken of here."""
        if not self.prefix:
            return name
        given = self.parameters.get(name)
        if given is not None:
            return given[0].whole if len(given) == 1 and isinstance(given[0], Given) else name
        if name == HERE:
            return self.prefix
        if name in self.local or name.partition("/")[0] in self.local:
            return f"{self.prefix}/{name}"
        return name

    def named(self, item: Word | Reference) -> str:
        """The whole name of the device that a word, or the first part of a reference, speaks of."""
        if isinstance(item, Given):
            return item.whole
        if isinstance(item, GivenReference):
            return item.device
        return self.whole(item.device if isinstance(item, Reference) else item.text)

    def entry(self, entry: Entry, leads: Mapping[str, object]) -> Entry:
        """An entry with the parameters filled in; the word that begins it only where it is no attribute."""
        if not self.parameters:
            return entry
        first = entry.items[0]
        keep = 1 if isinstance(first, Word) and first.text in leads else 0
        items = entry.items[:keep] + self.filled(entry.items[keep:])
        return replace(entry, items=items)

    def filled(self, items: tuple[Item, ...]) -> tuple[Item, ...]:
        """Items with the parameters' own in their place."""
        result: list[Item] = []
        for item in items:
            if isinstance(item, Word) and item.text in self.parameters:
                result += (replace(p, start=item.start, end=item.end) for p in self.parameters[item.text])
            elif isinstance(item, Reference) and item.device in self.parameters:
                result.append(GivenReference(self.whole(item.device), item.terminal, item.start, item.end))
            else:
                result.append(item)
        return tuple(result)

    def handed(self, items: tuple[Item, ...]) -> tuple[Item, ...]:
        """Items as they are handed to a typical placed here: names made whole."""
        return tuple(self._handed(item) for item in self.filled(items))

    def _handed(self, item: Item) -> Item:
        match item:
            case Given() | GivenReference():
                return item
            case Word(text, start, end):
                return Given(text, start, end, self.whole(text))
            case Reference(device, terminal, start, end):
                return GivenReference(self.whole(device), terminal, start, end)
        return item


TOP = Scope()
