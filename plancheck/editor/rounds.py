"""Which reviews a change asks for, and when; what they say is taken only where it still holds."""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Protocol

from plancheck.editor.background import Background, Job
from plancheck.editor.documents import Document, Documents, real_of
from plancheck.editor.hosts import hosts
from plancheck.editor.libraries import Libraries
from plancheck.editor.plan_desk import Outcome
from plancheck.editor.texts import Texts
from plancheck.library.files import is_shared

RELOAD = 0.3
"""Seconds that are waited before packs are loaded anew."""


class Desk(Protocol):
    """Something that is reviewed: a plan, a text of a pack."""

    @property
    def real(self) -> str: ...
    def review(self, check: Callable[[], None]) -> Outcome: ...


class Desks(Protocol):
    """Makes desks, by what a text is."""

    def plan(self, path: Path) -> Desk: ...
    def of_pack(self, path: Path) -> Desk: ...
    def rules(self, path: Path) -> Desk: ...


class Rounds:
    """Desks by real path, and what their last review came to. Lives on the event loop."""

    def __init__(
        self,
        loop: asyncio.AbstractEventLoop,
        documents: Documents,
        texts: Texts,
        libraries: Libraries,
        desks: Desks,
        tell: Callable[[str, Outcome | None], None],
    ) -> None:
        self._loop, self._documents, self._texts, self._libraries = loop, documents, texts, libraries
        self._make, self._tell = desks, tell
        self._background = Background(self._hand_over)
        self._desks: dict[str, Desk] = {}
        self._outcomes: dict[str, Outcome] = {}
        self._timers: dict[str, asyncio.TimerHandle] = {}
        self._awaited: set[str] = set()
        """Desks whose review is asked for, and has not been told yet."""
        self.folders: Sequence[Path] = ()
        """Those open in the editor."""

    def outcome(self, real: str) -> Outcome | None:
        """The last review that speaks of a text: its own, or that of a plan which uses it."""
        own = self._outcomes.get(real)
        if own is not None and (own.choice is not None or real in self._desks):
            return own
        return next((outcome for outcome in self._outcomes.values() if real in outcome.used), None)

    @property
    def busy(self) -> bool:
        """Whether a review is waited for."""
        return bool(self._awaited)

    # --- changes -----------------------------------------------------------------------------------------------

    def changed(self, document: Document, delay: float) -> None:
        """An open text is another, or has just been opened."""
        self._attend(document)
        self.touched(document.real, delay)

    def touched(self, real: str, delay: float = 0.0) -> None:
        """A text is another: everything that hangs on it is reviewed anew."""
        self._texts.opened = {document.real: document.source for document in self._documents}
        known = {id(o.library): o.library for o in self._outcomes.values() if o.library is not None}
        if any(self._libraries.is_of_them(real, library) for library in known.values()):
            self._libraries.forget()
            self.all_anew(RELOAD)
            return
        for desk in self._desks.values():
            outcome = self._outcomes.get(desk.real)
            if desk.real == real or outcome is None or real in outcome.used:
                self._ask(desk.real, delay)

    def all_anew(self, delay: float = 0.0) -> None:
        """Everything is reviewed anew."""
        for real in self._desks:
            self._ask(real, delay)

    def closed(self, document: Document) -> None:
        """A text is closed: its file counts as it stands on disk. What is of no use to an open one is dropped."""
        self.touched(document.real)
        reals = {document.real for document in self._documents}
        for real in list(self._desks):
            outcome = self._outcomes.get(real)
            if real not in reals and not (outcome and outcome.used & reals):
                self._drop(real)

    def end(self) -> None:
        """Nothing is reviewed any more."""
        for timer in self._timers.values():
            timer.cancel()
        self._background.end()

    # --- desks -------------------------------------------------------------------------------------------------

    def _attend(self, document: Document) -> None:
        """Sees to it that somebody reviews a text: itself, or plans that use it."""
        if document.is_rules:
            self._put(document.real, self._make.rules, document.path)
        elif not is_shared(document.source):
            self._put(document.real, self._make.plan, document.path)
        elif self._libraries.is_of_them(document.real, self._libraries.of(document.path)):
            self._put(document.real, self._make.of_pack, document.path)
        elif any(document.real in outcome.used for real, outcome in self._outcomes.items() if real != document.real):
            self._drop(document.real)
        else:
            self._find_hosts(document)

    def _find_hosts(self, document: Document) -> None:
        """Puts plans that use a text on desks; where there are none, it is reviewed alone, as a review of it is."""
        found = hosts(document.path, self.folders, self._texts.read)
        for path in found:
            self._put(os.path.realpath(path), self._make.plan, path)
        if found:
            self._drop(document.real)
        else:
            self._put(document.real, self._make.plan, document.path)

    def _put(self, real: str, make: Callable[[Path], Desk], path: Path) -> None:
        wanted = make(path)
        if type(self._desks.get(real)) is not type(wanted):
            self._drop(real)
            self._desks[real] = wanted
            self._ask(real, 0.0)

    def _drop(self, real: str) -> None:
        if self._desks.pop(real, None) is None:
            return
        self._outcomes.pop(real, None)
        self._stop(real)
        self._tell(real, None)

    # --- reviews -----------------------------------------------------------------------------------------------

    def _ask(self, real: str, delay: float) -> None:
        self._stop(real)
        self._awaited.add(real)
        self._timers[real] = self._loop.call_later(delay, self._begin, real)

    def _stop(self, real: str) -> None:
        timer = self._timers.pop(real, None)
        if timer is not None:
            timer.cancel()
        self._background.drop(real)
        self._awaited.discard(real)

    def _begin(self, real: str) -> None:
        del self._timers[real]
        self._background.ask(Job(real, self._desks[real].review, partial(self._came_to, real)))

    def _came_to(self, real: str, outcome: Outcome) -> None:
        """Takes what a review came to, unless a text of it is another by now."""
        if self._is_stale(outcome):
            self._ask(real, 0.0)
            return
        self._awaited.discard(real)
        self._outcomes[real] = outcome
        self._tell(real, outcome)

    def _is_stale(self, outcome: Outcome) -> bool:
        opened = {document.real: document.source for document in self._documents}
        return any(
            (now := opened.get(real_of(source))) is not None and now.text != source.text for source in outcome.sources
        )

    def _hand_over(self, call: Callable[[], None]) -> None:
        with suppress(RuntimeError):  # The loop has ended meanwhile: nobody listens.
            self._loop.call_soon_threadsafe(call)
