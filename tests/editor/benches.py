"""A workbench without a client: what it would send is kept, and what a review would say is worked out afresh."""

from __future__ import annotations

import asyncio
from datetime import date
from functools import cache
from pathlib import Path

from lsprotocol.types import Diagnostic, PublishDiagnosticsParams, TextDocumentContentChangeWholeDocument

import plancheck
from plancheck.editor.diagnostics import Diagnostics
from plancheck.editor.documents import uri_of
from plancheck.editor.positions import Positions
from plancheck.editor.workbench import Workbench
from plancheck.library.files import IncludeReader, shown_name
from plancheck.library.load import Library, load_library
from plancheck.plan.adopt import adopted_by
from plancheck.review.review import review_text
from plancheck.source import Source

DAY = date(2026, 11, 25)
SAMPLES = Path(plancheck.__file__).resolve().parent.parent / "samples"


@cache
def library() -> Library:
    """The shipped kinds and rules."""
    return load_library(())


class Author:
    """Opens one text, changes it, and keeps what it is told."""

    def __init__(self, path: Path) -> None:
        self.path, self.uri, self.version = path, uri_of(path), 0
        self.told: dict[str, PublishDiagnosticsParams] = {}
        self.bench = Workbench(asyncio.get_running_loop(), Positions(), self._hear, today=DAY)

    def _hear(self, said: PublishDiagnosticsParams) -> None:
        document = self.bench.documents.at(said.uri)
        assert document is None or said.version == document.version, "stale"
        self.told[said.uri] = said

    def writes(self, text: str) -> None:
        """The text is another."""
        self.version += 1
        if self.version == 1:
            self.bench.open(self.uri, 1, text)
        else:
            self.bench.change(self.uri, self.version, [TextDocumentContentChangeWholeDocument(text)])

    async def waits(self) -> None:
        """Until nothing is reviewed any more."""
        for _ in range(30_000):
            await asyncio.sleep(0.002)
            if not self.bench.rounds.busy:
                return
        raise TimeoutError("the reviews do not end")

    def leaves(self) -> None:
        """Ends everything."""
        self.bench.rounds.end()

    def seen(self) -> list[str]:
        """What is shown in its text."""
        return sorted(map(shown, self.told[self.uri].diagnostics))

    def expected(self, text: str) -> list[str]:
        """What a review of that text says of it, from nothing."""
        source = Source(shown_name(self.path), text)
        choice = library().choice(adopted_by(source))
        include = IncludeReader(self.path, source, library().folders)
        report = review_text(source, choice.kinds, choice.rulebook, include, DAY, packs=library().packs)
        own = [finding for finding in report.findings if finding.at.source is source]
        diagnostics = Diagnostics(Positions(), lambda each: uri_of(each.name))
        found = {(f.at.start, f.at.end, f.rule, f.subject, f.headline, f.found): f for f in own}
        return sorted(shown(diagnostics.of(finding, {})) for finding in found.values())


def shown(diagnostic: Diagnostic) -> str:
    """A diagnostic in one line, to be held against others."""
    related = [(each.location, each.message) for each in diagnostic.related_information or ()]
    return repr((diagnostic.range, diagnostic.severity, diagnostic.code, diagnostic.message, related))
