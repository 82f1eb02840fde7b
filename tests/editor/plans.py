"""A plan that the tests of the server open, and how they speak to it."""

from __future__ import annotations

import asyncio
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from lsprotocol import types as lsp
from pytest_lsp import LanguageClient

# Every wire is a jumper: nothing is lost on the way, and the volts are easily worked out.
SHED = """\
plan "Kestrel Wharf boat school, shed"
revision "A" dated 2026-11-02
jurisdiction us

# The shed's one door.
supply PS1 { output 24 Vdc, 1 A; class 2 }
push-button SB1 { contacts 3 A at 30 Vdc }
electric-strike ES1 "Shed" { rated 24 Vdc, 225 mA; fails secure; suppression built in }
door D1 "Shed" {
    interior
    egress free by lever
    locks ES1
    occupants 4
}
wire PS1:+ to SB1:COM
wire SB1:NO to ES1:+
wire ES1:- to PS1:-
"""


def item(path: Path, text: str, version: int = 1) -> lsp.DidOpenTextDocumentParams:
    """What a client says when a text is opened."""
    return lsp.DidOpenTextDocumentParams(lsp.TextDocumentItem(path.as_uri(), "plancheck", version, text))


def whole(path: Path, text: str, version: int) -> lsp.DidChangeTextDocumentParams:
    """What it says when the whole text is another."""
    return lsp.DidChangeTextDocumentParams(
        lsp.VersionedTextDocumentIdentifier(version, path.as_uri()),
        [lsp.TextDocumentContentChangeWholeDocument(text)],
    )


def place(text: str, word: str, behind: int = 0) -> lsp.Position:
    """The position of a word in an ASCII text, some characters on."""
    before = text[: text.index(word) + behind]
    return lsp.Position(before.count("\n"), len(before) - before.rfind("\n") - 1)


class Told(dict[str, Sequence[lsp.Diagnostic]]):
    """What the client was told of each text, and how often."""

    def __init__(self) -> None:
        super().__init__()
        self.times: Counter[str] = Counter()

    def __setitem__(self, uri: str, diagnostics: Sequence[lsp.Diagnostic]) -> None:
        self.times[uri] += 1
        super().__setitem__(uri, diagnostics)


async def settled(client: LanguageClient, path: Path) -> list[lsp.Diagnostic]:
    """The diagnostics of a text just sent: what is said of it at once, then what a review has to say."""
    told, uri = client.diagnostics, path.as_uri()
    assert isinstance(told, Told)
    before = told.times[uri]
    for _ in range(3000):
        if told.times[uri] >= before + 2:
            return list(told[uri])
        await asyncio.sleep(0.02)
    raise TimeoutError("the server says nothing more")
