"""Texts as a review in the editor sees them: those that are open as they stand before their authors, others on disk."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from plancheck.finding import Mistake
from plancheck.library.files import read_text
from plancheck.source import Source

Opened = Mapping[str, Source]
"""The open texts at one moment, by their real paths."""

_Stamp = tuple[int, int, int]


class Texts:
    """Reads files, each once as long as it stays what it is; it stands in the place of `read_text`."""

    def __init__(self) -> None:
        self.opened: Opened = {}
        self._named: dict[tuple[str, str], tuple[Source, Source]] = {}
        """Open texts under another name than their own."""
        self._on_disk: dict[tuple[str, str], tuple[_Stamp, Source, Mistake | None]] = {}

    def read(self, path: Path, name: str = "") -> tuple[Source, Mistake | None]:
        """The text of a file; where there is a mistake, the source holds what can be shown of it."""
        real = os.path.realpath(path)
        opened = self.opened.get(real)
        if opened is not None:
            return self._as_named(real, name or opened.name, opened), None
        stamp = _stamp(real)
        known = self._on_disk.get((real, name))
        if known is None or stamp is None or known[0] != stamp:
            source, mistake = read_text(path, name)
            if stamp is None:
                return source, mistake
            known = self._on_disk[real, name] = stamp, source, mistake
        return known[1:]

    def _as_named(self, real: str, name: str, opened: Source) -> Source:
        if opened.name == name:
            return opened
        known = self._named.get((real, name))
        if known is None or known[0] is not opened:
            known = self._named[real, name] = opened, Source(name, opened.text)
        return known[1]


def _stamp(real: str) -> _Stamp | None:
    """What changes when a file changes."""
    try:
        found = os.stat(real)
    except (OSError, ValueError):
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
