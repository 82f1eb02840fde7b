"""Nodes as plain lists and tuples, to be kept and made into nodes again; parts of them only once they are looked at.

A node is a list of its class's name and its fields, a tuple stays one. Fields marked `LATER` are kept apart, as bytes:
what most runs never look at is not even unpacked. The second form is for JSON, which knows neither tuples nor bytes:
a tuple is a list that begins with 0, a field for later an object. To unpack runs no code but that of the nodes.
"""

from __future__ import annotations

import marshal
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any, TypeVar, overload

T_co = TypeVar("T_co", covariant=True)
LATER: Mapping[str, Any] = {"later": True}
"""Metadata of a field, a sequence, that is not needed at once."""

_WAITS = "later"
_PLAIN = frozenset({str, int, float, bool, type(None)})


class Later(Sequence[T_co]):
    """A tuple that is made when it is first looked into."""

    __slots__ = ("_made", "_make")

    def __init__(self, make: Callable[[], tuple[T_co, ...]]) -> None:
        self._make: Callable[[], tuple[T_co, ...]] | None = make
        self._made: tuple[T_co, ...] = ()

    @property
    def made(self) -> tuple[T_co, ...]:
        """The tuple."""
        if self._make is not None:
            self._made, self._make = self._make(), None
        return self._made

    @overload
    def __getitem__(self, index: int) -> T_co: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[T_co]: ...
    def __getitem__(self, index: int | slice) -> T_co | Sequence[T_co]:
        return self.made[index]

    def __len__(self) -> int:
        return len(self.made)

    def __iter__(self) -> Iterator[T_co]:
        return iter(self.made)

    def __eq__(self, other: object) -> bool:
        return self.made == (other.made if isinstance(other, Later) else other)

    def __hash__(self) -> int:
        return hash(self.made)

    def __repr__(self) -> str:
        return repr(self.made)


def packed(node: Any) -> Any:
    """A node, a tuple or a plain value, packed; fields marked `LATER` as bytes."""
    if isinstance(node, Later):
        node = node.made
    if is_dataclass(node) and not isinstance(node, type):
        return [type(node).__name__, *(_field(getattr(node, f.name), f.metadata) for f in fields(node))]
    if isinstance(node, tuple):
        return tuple(map(packed, node))
    return str(node) if isinstance(node, str) else node


def _field(value: Any, metadata: Mapping[str, Any]) -> Any:
    return marshal.dumps(packed(value), 4) if "later" in metadata else packed(value)


def packed_for_json(node: Any) -> Any:
    """The same in the form for JSON."""
    if isinstance(node, Later):
        node = node.made
    if is_dataclass(node) and not isinstance(node, type):
        parts = [(packed_for_json(getattr(node, f.name)), "later" in f.metadata) for f in fields(node)]
        return [type(node).__name__, *({_WAITS: part} if later else part for part, later in parts)]
    if isinstance(node, tuple):
        return [0, *map(packed_for_json, node)]
    return str(node) if isinstance(node, str) else node


def _tuple(*parts: Any) -> tuple[Any, ...]:
    return parts


class Unpacker:
    """Makes nodes of what was packed, in either form. Of `names` only the dataclasses may stand in it."""

    def __init__(self, names: Mapping[str, Any]) -> None:
        self._classes: dict[Any, Any] = {name: of for name, of in names.items() if is_dataclass(of)} | {0: _tuple}

    def __call__(self, kept: Any) -> Any:
        """The node, tuple or plain value."""
        # Most parts are plain: to call this for each of them would take most of the time.
        if type(kept) is list:
            return self._classes[kept[0]](*[p if type(p) in _PLAIN else self(p) for p in kept[1:]])
        if type(kept) is tuple:
            return tuple([p if type(p) in _PLAIN else self(p) for p in kept])
        if type(kept) is bytes:
            return Later(lambda: self(marshal.loads(kept)))
        if type(kept) is dict:
            return Later(lambda: self(kept[_WAITS]))
        return kept
