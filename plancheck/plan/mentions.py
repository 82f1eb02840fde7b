"""Which names a statement puts on the plan, and of which it may speak: seen without resolving anything."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from plancheck.plan.kinds import Kinds
from plancheck.plan.typicals import names_placed
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Reference, Text, Word
from plancheck.syntax.read import REMEMBERED

_NAMES = re.compile(r"\"[^\"\r\n]*\"|[^\W\d_][^\s\"{}();,:#]*")
_LANGUAGE = frozenset(
    ("plan", "revision", "dated", "jurisdiction", "edition", "adopt", "ambient", "use", "device", "is", "typical",
     "place", "as", "to", "in", "wire", "variance", "on", "kind")
)  # fmt: skip
Defined = tuple[str, str]
"""What a statement defines for others to use: "kind", "typical" or "house device", and its name."""


@dataclass(frozen=True, slots=True)
class Mentions:
    """The names in one statement. `speaks` may hold words that name nothing: who reads it looks for those that do."""

    declares: tuple[str, ...] = ()
    speaks: tuple[str, ...] = ()
    defines: Defined | None = None
    uses: tuple[Defined, ...] = ()


_KEPT: dict[str, Mentions] = {}
"""By a statement's text: the same text always gives the same node."""


def mentions(text: str, node: nodes.Node | None, kinds: Kinds) -> Mentions:
    """The names in a statement; of one that could not be read, those that it may have declared. Remembered."""
    if node is None:
        return Mentions(declares=tuple(spoken_of(text, kinds)))
    found = _KEPT.get(text)
    if found is None:
        if len(_KEPT) >= REMEMBERED:
            _KEPT.clear()
        found = _KEPT[text] = _mentions(node)
    return found


def _mentions(node: nodes.Node) -> Mentions:
    match node:
        case nodes.Header():
            return Mentions()
        case nodes.KindNode(name=name):
            return Mentions(defines=("kind", name.text))
        case nodes.HouseDevice(name=text):
            return Mentions(speaks=_names(_words(node)), defines=("house device", text.text), uses=tuple(_uses(node)))
        case nodes.Typical(name=name):
            return Mentions(speaks=_names(_words(node)), defines=("typical", name.text), uses=tuple(_uses(node)))
        case nodes.Declaration(name=name):
            declares: tuple[str, ...] = (name.text,)
        case nodes.Place():
            declares = tuple(names_placed(node))
        case _:
            declares = ()
    return Mentions(declares, _names(_words(node)), uses=tuple(_uses(node)))


def spoken_of(text: str, kinds: Kinds) -> list[str]:
    """Names in the first line of a statement that could not be read: what it may have declared.

    Words of the language and of the kinds are not taken for names: half a line of a lock declares no “secure”.
    """
    line = re.split(r"[\r\n]", text, maxsplit=1)[0]
    return [name for name in _NAMES.findall(line[:400])[:4] if name not in kinds.words and name not in _LANGUAGE]


def _names(words: Iterable[str]) -> tuple[str, ...]:
    """Every name that words may be of: `D101/ML:COM` may be of `D101/ML`, and of what D101 is the place of."""
    found: dict[str, None] = {}
    for word in words:
        name = word.partition(":")[0]
        found[name] = None
        while "/" in name:
            name = name.rpartition("/")[0]
            found[name] = None
    return tuple(found)


def _words(node: nodes.Node) -> Iterator[str]:
    match node:
        case nodes.Declaration() | nodes.HouseDevice():
            yield from _of_entries(node.entries)
        case nodes.Wire(ends, conductor, entries):
            yield from (end.device for end in ends)
            yield from [conductor.text] if conductor else []
            yield from _of_entries(entries)
        case nodes.Place(first=first, entries=entries):
            yield first.text
            yield from _of_entries(entries)
        case nodes.Variance(on=on):
            yield on.text
        case nodes.Typical(body=body):
            for part in body:
                yield from _words(part)


def _of_entries(entries: Iterable[nodes.Entry]) -> Iterator[str]:
    for entry in entries:
        for item in entry.items:
            if isinstance(item, Word):
                yield item.text
            elif isinstance(item, Reference):
                yield item.device


def _uses(node: nodes.Node) -> Iterator[Defined]:
    match node:
        case nodes.Declaration(kind=kind) | nodes.HouseDevice(kind=kind):
            yield ("house device" if isinstance(kind, Text) else "kind", kind.text)
        case nodes.Place(typical=typical):
            yield ("typical", typical.text)
        case nodes.Typical(body=body):
            for part in body:
                yield from _uses(part)
