"""The texts that are open before their authors, as they stand there."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from lsprotocol.types import TextDocumentContentChangeEvent, TextDocumentContentChangePartial
from pygls.uris import from_fs_path, to_fs_path

from plancheck.editor.positions import Positions
from plancheck.library.files import shown_name
from plancheck.shipped import rules_folder
from plancheck.source import Source

RULES_ENDING = ".rules"


@dataclass(frozen=True, slots=True, eq=False)
class Document:
    """An open text. Nothing in it changes: after an edit there is another one under the same address."""

    uri: str
    path: Path
    """Where it stands on disk, or would; links are not followed."""
    real: str
    """The real path, by which two addresses of one file are one."""
    version: int
    source: Source

    @property
    def is_rules(self) -> bool:
        """Whether it holds rules; else it is a plan."""
        return self.path.name.endswith(RULES_ENDING)


class Documents:
    """All open texts, by their addresses."""

    def __init__(self) -> None:
        self._open: dict[str, Document] = {}

    def __iter__(self) -> Iterator[Document]:
        return iter(self._open.values())

    def at(self, uri: str) -> Document | None:
        """The open text at an address."""
        return self._open.get(uri)

    def of(self, real: str) -> Document | None:
        """The open text of a file, by its real path."""
        return next((document for document in self if document.real == real), None)

    def open(self, uri: str, version: int, text: str) -> Document:
        """A text that its author has opened."""
        path = path_of(uri)
        document = Document(uri, path, os.path.realpath(path), version, Source(shown_name(path), text))
        self._open[uri] = document
        return document

    def change(
        self, uri: str, version: int, changes: Iterable[TextDocumentContentChangeEvent], positions: Positions
    ) -> Document | None:
        """The text after changes, one after another; None where it is not open."""
        document = self._open.get(uri)
        if document is None:
            return None
        source = document.source
        for change in changes:
            source = _changed(source, change, positions)
        document = Document(uri, document.path, document.real, version, source)
        self._open[uri] = document
        return document

    def close(self, uri: str) -> Document | None:
        """Takes a text away; its file counts again as it stands on disk."""
        return self._open.pop(uri, None)


def _changed(source: Source, change: TextDocumentContentChangeEvent, positions: Positions) -> Source:
    if not isinstance(change, TextDocumentContentChangePartial):
        return Source(source.name, change.text)
    start, end = positions.span(source, change.range)[1:]
    return Source(source.name, source.text[:start] + change.text + source.text[end:])


def path_of(uri: str) -> Path:
    """The path of an address. A text that is nowhere on disk has one in the folder that is worked in."""
    path = to_fs_path(uri) if uri.startswith("file:") else None
    if path:
        return Path(path)
    return Path.cwd() / (uri.rpartition("/")[2].rpartition(":")[2] or "unnamed.plan")


def uri_of(path: str | os.PathLike[str]) -> str:
    """The address of a path."""
    return from_fs_path(os.path.abspath(path)) or ""


def real_of(source: Source) -> str:
    """The real path of a text by its name: a shipped one bears the name that it has in the project's folder."""
    shipped = rules_folder().parent / source.name
    return os.path.realpath(shipped if not os.path.isabs(source.name) and shipped.is_file() else source.name)
