"""What typing costs before the language server, against an empty server of the same library in the same run.

The plan has 5,000 lines. A keystroke changes one character somewhere in it and is taken back. Told are times by the
clock, at the median: a round trip of the empty server, which answers each change with no diagnostics; the time to the
diagnostics that come at once; and how much later those of the whole review come. How much is judged anew hangs on how
much hangs together with what was typed: two doors to a supply are the limit's case, the others are told beside it.
"""

from __future__ import annotations

import asyncio
import random
import statistics
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count
from pathlib import Path

from lsprotocol import types as lsp
from pygls.lsp.client import LanguageClient

from tests.bench.doors import building

LINES = 5_000
DOORS = 340
KEYS = 60
MOST_AT_ONCE, MOST_LATER_MS, MOST_ASKED = 8.0, 60.0, 10.0
MOST_GROWTH = 1.2

EMPTY = """
from lsprotocol import types as lsp
from pygls.lsp.server import LanguageServer

server = LanguageServer("empty", "1")

def told(params):
    at = params.text_document
    server.text_document_publish_diagnostics(lsp.PublishDiagnosticsParams(at.uri, [], at.version))

server.feature(lsp.TEXT_DOCUMENT_DID_OPEN)(told)
server.feature(lsp.TEXT_DOCUMENT_DID_CHANGE)(told)

@server.feature(lsp.TEXT_DOCUMENT_HOVER)
def hover(params):
    return lsp.Hover("nothing")

@server.feature(lsp.TEXT_DOCUMENT_COMPLETION)
def completion(params):
    return lsp.CompletionList(False, [lsp.CompletionItem("nothing")])

server.start_io()
"""


class Client:
    """An editor with one text, which notes when it is told of a version."""

    def __init__(self) -> None:
        self._client = LanguageClient("bench", "1")
        self._told: asyncio.Queue[tuple[float, int]] = asyncio.Queue()
        self.version, self.uri = 0, ""

        @self._client.feature(lsp.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
        def told(params: lsp.PublishDiagnosticsParams) -> None:
            if params.uri == self.uri:
                self._told.put_nowait((time.perf_counter(), params.version or 0))

    async def start(self, command: Sequence[str]) -> int:
        """Starts a server and returns its process id."""
        await self._client.start_io(*command)
        await self._client.initialize_async(lsp.InitializeParams(capabilities=lsp.ClientCapabilities()))
        self._client.initialized(lsp.InitializedParams())
        process = self._client._server
        assert process is not None
        return process.pid

    async def open(self, path: Path, text: str, answers: int) -> None:
        """Opens a text and waits for what is said of it."""
        self.uri, self.version = path.as_uri(), 1
        self._client.text_document_did_open(
            lsp.DidOpenTextDocumentParams(lsp.TextDocumentItem(self.uri, "plancheck", 1, text))
        )
        await self._answers(answers)

    async def change(self, at: lsp.Range, text: str, answers: int) -> list[float]:
        """Changes a text; seconds until each answer."""
        self.version += 1
        began = time.perf_counter()
        self._client.text_document_did_change(
            lsp.DidChangeTextDocumentParams(
                lsp.VersionedTextDocumentIdentifier(self.version, self.uri),
                [lsp.TextDocumentContentChangePartial(at, text)],
            )
        )
        return [told - began for told in await self._answers(answers)]

    async def asks(self, at: lsp.Position) -> tuple[float, float]:
        """Seconds for a hover and for a completion."""
        document = lsp.TextDocumentIdentifier(self.uri)
        began = time.perf_counter()
        await self._client.text_document_hover_async(lsp.HoverParams(document, at))
        between = time.perf_counter()
        await self._client.text_document_completion_async(lsp.CompletionParams(document, at))
        return between - began, time.perf_counter() - between

    async def stop(self) -> None:
        """Ends the server."""
        await self._client.shutdown_async(None)
        self._client.exit(None)
        await self._client.stop()

    async def _answers(self, count: int) -> list[float]:
        found: list[float] = []
        while len(found) < count:
            at, version = await asyncio.wait_for(self._told.get(), 120)
            if version == self.version:
                found.append(at)
        return found


@dataclass(frozen=True, slots=True)
class Times:
    """Seconds, at the median."""

    at_once: float
    whole: float
    hover: float
    completion: float


async def _typed(command: Sequence[str], path: Path, text: str, answers: int) -> Times:
    client = Client()
    await client.start(command)
    await client.open(path, text, answers)
    lines = text.split("\n")
    wires = [number for number, line in enumerate(lines) if line.startswith("wire ")]
    rng = random.Random(1)
    told: list[list[float]] = []
    asked: list[tuple[float, float]] = []
    for number in rng.sample(wires, KEYS):
        column = lines[number].index(":") + 1
        point = lsp.Position(number, column)
        told.append(await client.change(lsp.Range(point, point), "x", answers))
        asked.append(await client.asks(lsp.Position(number, column - 2)))
        told.append(await client.change(lsp.Range(point, lsp.Position(number, column + 1)), "", answers))
        await asyncio.sleep(0.3)
    await client.stop()
    return Times(
        statistics.median(each[0] for each in told),
        statistics.median(each[-1] for each in told),
        statistics.median(each[0] for each in asked),
        statistics.median(each[1] for each in asked),
    )


def _resident(process: int) -> int:
    """Memory of a process in KiB."""
    status = Path(f"/proc/{process}/status").read_text(encoding="ascii")
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS"))


async def _memory(command: Sequence[str], path: Path, text: str, edits: int) -> float:
    """How much memory grows from a tenth of so many edits to all of them."""
    client = Client()
    process = await client.start(command)
    await client.open(path, text, 2)
    lines = text.split("\n")
    rng = random.Random(2)
    before = 0
    for number in range(edits // 2):
        line = rng.randrange(len(lines))
        column = rng.randrange(len(lines[line]) + 1)
        point = lsp.Position(line, column)
        await client.change(lsp.Range(point, point), rng.choice("x1; {"), 1)
        await client.change(lsp.Range(point, lsp.Position(line, column + 1)), "", 2 if number % 10 == 0 else 1)
        if number == edits // 20:
            before = _resident(process)
    after = _resident(process)
    await client.stop()
    return after / before


def bench(edits: int = 10_000) -> bool:
    """All rows; True when every limit is kept."""
    server = [sys.executable, "-m", "plancheck", "editor"]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        empty = folder / "empty.py"
        empty.write_text(EMPTY, encoding="utf-8")
        path = folder / "whole.plan"
        kept = []
        for to_a_supply, limited in ((2, True), (8, False), (20, False)):
            text = next(plan for n in count(DOORS, 4) if (plan := building(n, to_a_supply)).count("\n") >= LINES)
            floor = asyncio.run(_typed([sys.executable, str(empty)], path, text, 1))
            own = asyncio.run(_typed(server, path, text, 2))
            later = (own.whole - floor.at_once) * 1e3
            rows = (
                ("at once / round trip", own.at_once / floor.at_once, MOST_AT_ONCE),
                ("the whole, ms more than a round trip", later, MOST_LATER_MS),
                ("hover / round trip", own.hover / floor.hover, MOST_ASKED),
                ("completion / round trip", own.completion / floor.completion, MOST_ASKED),
            )
            for what, figure, most in rows:
                told = f"at most {most:g}" if limited else "for information"
                verdict = "" if not limited else " ok" if figure <= most else " TOO SLOW"
                print(f"{to_a_supply:>2} doors to a supply, {what:<40} {figure:7.2f} ({told}){verdict}", flush=True)
                kept.append(figure <= most or not limited)
        growth = asyncio.run(_memory(server, path, building(12, 2), edits))
        print(f"{edits:,} edits, memory behind / before {growth:5.2f} (at most {MOST_GROWTH:g})", flush=True)
        return all(kept) and growth <= MOST_GROWTH
