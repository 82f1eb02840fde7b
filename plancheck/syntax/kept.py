"""Nodes of the shipped kinds and rules, read beforehand: to read them anew at every start takes ten times as long.

`grammar/NAME.nodes` maps a text to its nodes. It also holds the texts of the grammars and of the modules that it
was made by; where one of these is another now it is passed over, and a text that it does not hold is simply read.
`python -m tests.write_tables` writes it anew.
"""

from __future__ import annotations

import marshal
from collections.abc import Iterable
from pathlib import Path
from types import ModuleType
from typing import Any

from plancheck.shipped import grammar_file
from plancheck.syntax import packing
from plancheck.syntax.packing import Unpacker, packed


class Kept:
    """The nodes of one grammar by text. `nodes` and `makers` are the modules at work; their classes may be kept."""

    def __init__(self, name: str, nodes: ModuleType, *makers: ModuleType) -> None:
        self._name, self._makers = name, (nodes, *makers, packing)
        self.unpacked = Unpacker({name: of for module in (*makers, nodes) for name, of in vars(module).items()})
        self._lent: dict[str, Any] = {}
        self._packed: dict[str, Any] | None = None

    def get(self, text: str) -> Any:
        """The nodes of a text, None where it must be read."""
        if self._packed is None:
            self._packed = self._read()
        kept = self._packed.get(text) or self._lent.get(text)
        return None if kept is None else self.unpacked(kept)

    def lend(self, packed_by_text: dict[str, Any]) -> None:
        """Take packed nodes of other texts besides, in either form, and no others than these."""
        self._lent = packed_by_text

    def forget(self) -> None:
        """Look at the file again when next asked."""
        self._packed = None

    def write(self, nodes: dict[str, Any]) -> None:
        """Keep these nodes by their texts, and nothing else."""
        kept = {text: packed(node) for text, node in nodes.items()}
        self._file.write_bytes(marshal.dumps((self._made_from(), kept), 4))

    @property
    def _file(self) -> Path:
        return grammar_file(f"{self._name}.nodes")

    def _made_from(self) -> tuple[str, ...]:
        sources = [Path(str(module.__file__)) for module in self._makers]
        return tuple(_texts((*sorted(grammar_file("").glob("*.lark")), *sources)))

    def _read(self) -> dict[str, Any]:
        try:
            made_from, kept = marshal.loads(self._file.read_bytes())
            current = made_from == self._made_from()
        except (OSError, ValueError, EOFError, TypeError):
            return {}
        return kept if current and isinstance(kept, dict) else {}


def _texts(paths: Iterable[Path]) -> Iterable[str]:
    return (path.read_text(encoding="utf-8") for path in paths)
