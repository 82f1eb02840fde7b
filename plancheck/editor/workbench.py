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
from plancheck.authoring.of_rules.author import RulesAuthor
from plancheck.authoring.of_rules.names import KnownSites
from plancheck.authoring.of_rules.view import RulesView
from plancheck.authoring.tokens import Tokens
from plancheck.authoring.view import Chained, View
from plancheck.editor.carried import Carried, CarriedLines, CarriedStatements
from plancheck.editor.diagnostics import Diagnostics
from plancheck.editor.documents import Document, Documents, path_of, real_of, uri_of
from plancheck.editor.libraries import Libraries
from plancheck.editor.pack_desk import PackDesk
from plancheck.editor.plan_desk import Outcome, PlanDesk
from plancheck.editor.positions import Positions
from plancheck.editor.published import Published
from plancheck.editor.rounds import Desk, Rounds
from plancheck.editor.rules_desk import RulesDesk
from plancheck.editor.texts import Texts
from plancheck.finding import Mistake
from plancheck.plan.kinds import Kinds
from plancheck.review.report import reading_finding
from plancheck.rulebook.read import RulesFile, read_rules
from plancheck.shipped import rules_folder
from plancheck.source import Source, Span
from plancheck.syntax.reread import Readings, ReadText

PAUSE = 0.25
"""Seconds without a change after which the next one is reviewed at once."""
BURST = 0.01
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
        self.hints = True
        """Whether the author wants to see volts behind wires."""
        self.documents = Documents()
        self.readings = Readings()
        self.texts = Texts()
        self.libraries = Libraries(packs, house, self.texts)
        self.diagnostics = Diagnostics(positions, self.uri_of)
        self.published = Published(self.documents, self.diagnostics, self.uri_of, send)
        self.rounds = Rounds(loop, self.documents, self.texts, self.libraries, self, self._told)
        self._shown: dict[str, ReadText] = {}
        """Each open text as it was when the client was last told of it."""
        self._rules: dict[str, tuple[RulesFile, list[Mistake]]] = {}
        """Each open file of rules as it stands, with what cannot be read of it."""
        self._sites = KnownSites()
        self._authors: dict[str, tuple[Document, Outcome | None, PlanAuthor | RulesAuthor]] = {}
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
            self._rules.pop(uri, None)
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
        mistakes, carried = self._rules_changed(document) if document.is_rules else self._plan_changed(document)
        self.published.at_once(_text_alone(document), document, map(reading_finding, mistakes), carried)
        now = self._loop.time()
        pause, self._last_change = now - self._last_change, now
        self.rounds.changed(document, BURST if pause < PAUSE else 0.0)

    def _plan_changed(self, document: Document) -> tuple[Sequence[Mistake], Carried | None]:
        """What can be said of a plan at once, and where what was said of it stands now."""
        before, read = self._shown.get(document.uri), self.read(document)
        self._shown[document.uri] = read
        return read.mistakes, CarriedStatements(before, read) if before else None

    def _rules_changed(self, document: Document) -> tuple[Sequence[Mistake], Carried | None]:
        before, now = self._rules.get(document.uri), read_rules(document.source)
        self._rules[document.uri] = now
        return now[1], CarriedLines(before[0].source, document.source) if before else None

    # --- desks -------------------------------------------------------------------------------------------------

    def plan(self, path: Path) -> Desk:
        """The desk of a plan."""
        return PlanDesk(path, self.libraries, self.texts, self.readings, self._today)

    def of_pack(self, path: Path) -> Desk:
        """The desk of a text of a pack."""
        return PackDesk(path, self.libraries, self.readings)

    def rules(self, path: Path) -> Desk:
        """The desk of a file of rules."""
        return RulesDesk(path, self.libraries, self.texts, self._today)

    def _told(self, owner: str, outcome: Outcome | None) -> None:
        if outcome is None:
            self.published.forget(owner)
        else:
            opened = (self._opened_as(source) for source in outcome.sources)
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

    def author(self, uri: str) -> PlanAuthor | RulesAuthor | None:
        """Who writes a text that is open, as it stands now; None for one that is not open."""
        document = self.documents.at(uri)
        if document is None:
            return None
        outcome = self.rounds.outcome(document.real)
        known = self._authors.get(uri)
        if known is None or known[:2] != (document, outcome):
            author = self._author_of_rules(document, outcome) if document.is_rules else self._author_of_plan(document)
            known = self._authors[uri] = document, outcome, author
        return known[2]

    def _author_of_plan(self, document: Document) -> PlanAuthor:
        view = self.view(document)
        return PlanAuthor(view, self._tokens_of(view.kinds))

    def _author_of_rules(self, document: Document, outcome: Outcome | None) -> RulesAuthor:
        own = self._rules[document.uri][0]
        if outcome is not None and outcome.rules is not None:
            kinds, book, files = outcome.rules.kinds, outcome.rules.rulebook, outcome.rules.files
        else:
            choice = self.libraries.of(document.path).choice()
            kinds, book, files = choice.kinds, choice.rulebook, ()
        others = [self._rules_now(file) for file in files if real_of(file.source) != document.real]
        view = RulesView(own, kinds, book, [*others, own])
        return RulesAuthor(view, self._sites, self._tokens_of(kinds), self._today or date.today())

    def _rules_now(self, file: RulesFile) -> RulesFile:
        opened = self._opened_as(file.source)
        return self._rules[opened.uri][0] if opened is not None and opened.uri in self._rules else file

    def _tokens_of(self, kinds: Kinds) -> Tokens:
        if self._tokens is None or self._tokens.kinds is not kinds:
            self._tokens = Tokens(kinds)
        return self._tokens

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
            opened = self._opened_as(text.source)
            texts.append(self.read(opened) if opened else text)
        return texts if any(text is read for text in texts) else [*texts, read]

    def _opened_as(self, source: Source) -> Document | None:
        """The open text that a review reads under a name."""
        exactly = next((document for document in self.documents if document.source.name == source.name), None)
        return exactly or self.documents.of(real_of(source))

    def uri_of(self, source: Source) -> str:
        """The address of a text: that under which it is open, or else that of its file."""
        opened = self._opened_as(source)
        return opened.uri if opened else uri_of(real_of(source) if _is_shipped(source) else source.name)


def _text_alone(document: Document) -> str:
    """Who says what a text says of itself, before any review."""
    return f"text {document.uri}"


def _is_shipped(source: Source) -> bool:
    return not os.path.isabs(source.name) and (rules_folder().parent / source.name).is_file()
