"""All that is open before authors, and what is known of it."""

from __future__ import annotations

import asyncio
import os
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from pathlib import Path

from lsprotocol.types import (
    Location,
    PublishDiagnosticsParams,
    TextDocumentContentChangeEvent,
    TextEdit,
    WorkspaceEdit,
)

from plancheck.authoring.author import PlanAuthor
from plancheck.authoring.edit import Edit
from plancheck.authoring.tokens import Tokens
from plancheck.authoring.view import Chained, View
from plancheck.editor.carried import Carried
from plancheck.editor.diagnostics import Diagnostics
from plancheck.editor.documents import Document, Documents, path_of, uri_of
from plancheck.editor.libraries import Libraries
from plancheck.editor.pack_desk import PackDesk
from plancheck.editor.plan_desk import Outcome, PlanDesk
from plancheck.editor.positions import Positions
from plancheck.editor.published import Published
from plancheck.editor.rounds import Desk, Rounds
from plancheck.editor.texts import Texts
from plancheck.review.report import reading_finding
from plancheck.shipped import rules_folder
from plancheck.source import Source, Span
from plancheck.syntax.reread import Readings, ReadText

PAUSE = 0.25
"""Seconds without a change after which the next one is reviewed at once."""
BURST = 0.03
"""Seconds that are waited where changes come one upon another."""


class Workbench:
    """Lives on the event loop; reviews run behind it."""

    def __init__(
        self,
        loop: asyncio.AbstractEventLoop,
        positions: Positions,
        send: Callable[[PublishDiagnosticsParams], None],
        *,
        packs: Sequence[str] = (),
        house: str | None = None,
        today: date | None = None,
    ) -> None:
        self._loop, self.positions, self._today = loop, positions, today
        self.documents = Documents()
        self.readings = Readings()
        self.texts = Texts()
        self.libraries = Libraries(packs, house, self.texts)
        self.diagnostics = Diagnostics(positions, self.uri_of)
        self.published = Published(self.documents, self.diagnostics, self.uri_of, send)
        self.rounds = Rounds(loop, self.documents, self.texts, self.libraries, self, self._told)
        self._shown: dict[str, ReadText] = {}
        """Each open text as it was when the client was last told of it."""
        self._authors: dict[str, tuple[Document, Outcome | None, PlanAuthor]] = {}
        self._tokens: Tokens | None = None
        self._last_change = 0.0

    # --- what the author does ----------------------------------------------------------------------------------

    def open(self, uri: str, version: int, text: str) -> None:
        """A text has been opened."""
        self._changed(self.documents.open(uri, version, text))

    def change(self, uri: str, version: int, changes: Sequence[TextDocumentContentChangeEvent]) -> None:
        """An open text has been changed."""
        document = self.documents.change(uri, version, changes, self.positions)
        if document is not None:
            self._changed(document)

    def close(self, uri: str) -> None:
        """A text has been closed."""
        document = self.documents.close(uri)
        if document is not None:
            self._shown.pop(uri, None)
            self._authors.pop(uri, None)
            self.readings.forget(document.source.name)
            self.published.forget(_text_alone(document))
            self.rounds.closed(document)
            self.published.closed(uri)

    def touch(self, uri: str) -> None:
        """A file has been saved, or changed, made or taken away by somebody else."""
        self.rounds.touched(os.path.realpath(path_of(uri)))

    def work_in(self, folders: Sequence[Path]) -> None:
        """The folders that are open in the editor."""
        self.rounds.folders = folders
        self.libraries.work_in([str(folder) for folder in folders])
        self.rounds.all_anew()

    def _changed(self, document: Document) -> None:
        before, read = self._shown.get(document.uri), self.read(document)
        self._shown[document.uri] = read
        carried = Carried(before, read) if before else None
        self.published.at_once(_text_alone(document), document, map(reading_finding, read.mistakes), carried)
        now = self._loop.time()
        pause, self._last_change = now - self._last_change, now
        self.rounds.changed(document, BURST if pause < PAUSE else 0.0)

    # --- desks -------------------------------------------------------------------------------------------------

    def plan(self, path: Path) -> Desk:
        """The desk of a plan."""
        return PlanDesk(path, self.libraries, self.texts, self.readings, self._today)

    def of_pack(self, path: Path) -> Desk:
        """The desk of a text of a pack."""
        return PackDesk(path, self.libraries, self.readings)

    def rules(self, path: Path) -> Desk:
        """The desk of a file of rules."""
        return PackDesk(path, self.libraries, self.readings)

    def _told(self, owner: str, outcome: Outcome | None) -> None:
        if outcome is None:
            self.published.forget(owner)
        else:
            opened = (self._opened_as(name) for name in outcome.texts)
            reviewed = [document.uri for document in opened if document is not None]
            self.published.says(owner, outcome.findings, outcome.links, reviewed)

    # --- what is known -----------------------------------------------------------------------------------------

    def read(self, document: Document) -> ReadText:
        """A text as it stands now."""
        return self.readings.read(document.source)

    def view(self, document: Document) -> View:
        """What an author sees in a text, and of the plan around it."""
        outcome, read = self.rounds.outcome(document.real), self.read(document)
        if outcome is None or outcome.choice is None:
            choice = self.libraries.of(document.path).choice()
            return View(document.source, read.statements, choice.kinds, choice.rulebook, read.statements)
        return View(
            document.source,
            read.statements,
            outcome.choice.kinds,
            outcome.choice.rulebook,
            Chained([text.statements for text in self._now(read, outcome)]),
            outcome.worked,
            self.published.said_of(document.uri),
        )

    def author(self, uri: str) -> PlanAuthor | None:
        """Who writes a plan that is open, as it stands now; None for what is not open, or holds rules."""
        document = self.documents.at(uri)
        if document is None or document.is_rules:
            return None
        outcome = self.rounds.outcome(document.real)
        known = self._authors.get(uri)
        if known is None or known[:2] != (document, outcome):
            view = self.view(document)
            if self._tokens is None or self._tokens.kinds is not view.kinds:
                self._tokens = Tokens(view.kinds)
            known = self._authors[uri] = document, outcome, PlanAuthor(view, self._tokens)
        return known[2]

    def edit(self, edits: Iterable[Edit]) -> WorkspaceEdit:
        """Edits of one or more texts, for the client."""
        changes: dict[str, list[TextEdit]] = defaultdict(list)
        for each in edits:
            changes[self.uri_of(each.at.source)].append(TextEdit(self.positions.range(each.at), each.text))
        return WorkspaceEdit(changes=dict(changes))

    def location(self, at: Span) -> Location:
        """Where a span is, for the client."""
        return Location(self.uri_of(at.source), self.positions.range(at))

    def _now(self, read: ReadText, outcome: Outcome) -> list[ReadText]:
        """The texts of a plan, those that are open as they stand now."""
        texts = []
        for text in outcome.texts.values():
            opened = self._opened_as(text.source.name)
            texts.append(self.read(opened) if opened else text)
        return texts if any(text is read for text in texts) else [*texts, read]

    def _opened_as(self, name: str) -> Document | None:
        """The open text that a review reads under a name."""
        exactly = next((document for document in self.documents if document.source.name == name), None)
        return exactly or self.documents.of(os.path.realpath(name))

    def uri_of(self, source: Source) -> str:
        """The address of a text: that under which it is open, or else that of its file."""
        shipped = rules_folder().parent / source.name
        if not os.path.isabs(source.name) and shipped.is_file():
            return uri_of(shipped)
        opened = self._opened_as(source.name)
        return opened.uri if opened else uri_of(source.name)


def _text_alone(document: Document) -> str:
    """Who says what a text says of itself, before any review."""
    return f"text {document.uri}"
