"""Nodes of the shipped kinds and rules, read beforehand: to read them anew at every start takes ten times as long.

`grammar/NAME.nodes` maps a text to its nodes. It also holds the texts of the grammars and of the modules that it
was made by; where one of these is another now it is passed over, and a text that it does not hold is simply read.
`python -m tests.write_tables` writes it anew.
"""

from __future__ import annotations

import marshal
from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

from plancheck.shipped import grammar_file


class Kept:
    """The nodes of one grammar by text. `nodes` defines their classes, `makers` are the other modules at work."""

    def __init__(self, name: str, nodes: ModuleType, *makers: ModuleType) -> None:
        self._name, self._makers = name, (nodes, *makers)
        self._classes = vars(nodes)
        self._packed: dict[str, Any] | None = None

    def get(self, text: str) -> Any:
        """The nodes of a text, None where it must be read."""
        if self._packed is None:
            self._packed = self._read()
        packed = self._packed.get(text)
        return None if packed is None else self._unpacked(packed)

    def forget(self) -> None:
        """Look at the file again when next asked."""
        self._packed = None

    def write(self, nodes: dict[str, Any]) -> None:
        """Keep these nodes by their texts, and nothing else."""
        packed = {text: _packed(node) for text, node in nodes.items()}
        self._file.write_bytes(marshal.dumps((self._made_from(), packed), 4))

    @property
    def _file(self) -> Path:
        return grammar_file(f"{self._name}.nodes")

    def _made_from(self) -> tuple[str, ...]:
        sources = [Path(str(module.__file__)) for module in self._makers]
        return tuple(_texts((*sorted(grammar_file("").glob("*.lark")), *sources)))

    def _read(self) -> dict[str, Any]:
        try:
            made_from, packed = marshal.loads(self._file.read_bytes())
            current = made_from == self._made_from()
        except (OSError, ValueError, EOFError, TypeError):
            return {}
        return packed if current and isinstance(packed, dict) else {}

    def _unpacked(self, packed: Any) -> Any:
        if type(packed) is list:
            return self._classes[packed[0]](*[self._unpacked(part) for part in packed[1:]])
        if type(packed) is tuple:
            return tuple([self._unpacked(part) for part in packed])
        return packed


def _texts(paths: Iterable[Path]) -> Iterable[str]:
    return (path.read_text(encoding="utf-8") for path in paths)


def _packed(node: Any) -> Any:
    """A node as a list of its class's name and its fields; a tuple stays one."""
    if is_dataclass(node) and not isinstance(node, type):
        return [type(node).__name__, *(_packed(getattr(node, field.name)) for field in fields(node))]
    if isinstance(node, tuple):
        return tuple(map(_packed, node))
    return str(node) if isinstance(node, str) else node
