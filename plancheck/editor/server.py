"""The language server: which messages it answers, from its start to its end."""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path

from lsprotocol import types as lsp
from pygls.lsp.server import LanguageServer
from pygls.protocol import LanguageServerProtocol, default_converter
from pygls.protocol.language_server import lsp_method
from pygls.uris import to_fs_path

from plancheck import __version__
from plancheck.editor.features import FEATURES
from plancheck.editor.positions import Positions
from plancheck.editor.workbench import Workbench
from plancheck.library.house import HOUSE_FILE

WATCHED = ("**/*.plan", "**/*.rules", f"**/{HOUSE_FILE}")
LOOK = 5.0
"""Seconds between two looks at whether the editor that started the server is still there."""
SWITCH = 0.000_5
"""Seconds after which a review behind makes room for what the author does."""


@dataclass(frozen=True, slots=True)
class Settings:
    """What was said on the command line."""

    packs: Sequence[str] = ()
    house: str | None = None
    today: date | None = None


class _Protocol(LanguageServerProtocol):
    """The library's protocol, but for its own copies of the texts: those split lines at more than line ends.

    Plain functions, not generators as in the library, which keeps a future of each of these for good.
    """

    @lsp_method(lsp.TEXT_DOCUMENT_DID_OPEN)
    def lsp_text_document__did_open(self, params: lsp.DidOpenTextDocumentParams) -> None:
        self.fm.features[lsp.TEXT_DOCUMENT_DID_OPEN](params)

    @lsp_method(lsp.TEXT_DOCUMENT_DID_CHANGE)
    def lsp_text_document__did_change(self, params: lsp.DidChangeTextDocumentParams) -> None:
        self.fm.features[lsp.TEXT_DOCUMENT_DID_CHANGE](params)

    @lsp_method(lsp.TEXT_DOCUMENT_DID_CLOSE)
    def lsp_text_document__did_close(self, params: lsp.DidCloseTextDocumentParams) -> None:
        self.fm.features[lsp.TEXT_DOCUMENT_DID_CLOSE](params)


class EditorServer(LanguageServer):
    """One connection to an editor."""

    def __init__(self, settings: Settings) -> None:
        super().__init__("plancheck", __version__, protocol_cls=_Protocol, converter_factory=default_converter)
        self.settings = settings
        self._watch: asyncio.Task[None] | None = None
        self.preferred: object = None
        """What the client said of its author's preferences at the start."""
        self.said_goodbye = False
        """Whether the client has asked for the end; one that just goes has not."""

    @cached_property
    def bench(self) -> Workbench:
        """What is open and known; there once the client has said how it counts."""
        return Workbench(
            asyncio.get_running_loop(),
            Positions(self.workspace.position_encoding or lsp.PositionEncodingKind.Utf16),
            self.text_document_publish_diagnostics,
            packs=self.settings.packs,
            house=self.settings.house,
            today=self.settings.today,
        )

    def prefer(self, said: object) -> None:
        """Takes what the author prefers: `hints`, whether volts are shown behind wires, true or false."""
        hints = _setting(said, "hints")
        if isinstance(hints, bool) and hints is not self.bench.hints:
            self.bench.hints = hints
            if self._can_refresh_hints():
                self.workspace_inlay_hint_refresh(None)

    def _can_refresh_hints(self) -> bool:
        workspace = self.client_capabilities.workspace
        return bool(workspace and workspace.inlay_hint and workspace.inlay_hint.refresh_support)

    def begin(self) -> None:
        """The client is there: take up its folders, have files watched, and watch that it stays."""
        folders = [to_fs_path(folder.uri) for folder in self.workspace.folders.values()]
        root = self.workspace.root_path
        self.bench.work_in([Path(path) for path in folders or [root] if path])
        if self._can_watch_files():
            watchers = [lsp.FileSystemWatcher(pattern) for pattern in WATCHED]
            options = lsp.DidChangeWatchedFilesRegistrationOptions(watchers)
            wanted = lsp.Registration("files", lsp.WORKSPACE_DID_CHANGE_WATCHED_FILES, options)
            self.client_register_capability(lsp.RegistrationParams([wanted]))
        if self.process_id:
            self._watch = asyncio.get_running_loop().create_task(self._end_with(self.process_id))

    def shutdown(self) -> None:
        """Ends everything that runs behind."""
        if "bench" in self.__dict__:
            self.bench.rounds.end()
        if self._watch is not None and not self._watch.get_loop().is_closed():
            self._watch.cancel()
        super().shutdown()  # type: ignore[no-untyped-call]

    def _can_watch_files(self) -> bool:
        workspace = self.client_capabilities.workspace
        watched = workspace.did_change_watched_files if workspace else None
        return bool(watched and watched.dynamic_registration)

    async def _end_with(self, process: int) -> None:
        """An editor that was killed closes nothing: its process is gone, and so must this one be."""
        while _is_there(process):
            await asyncio.sleep(LOOK)
        os._exit(1)


def _setting(said: object, name: str) -> object:
    """A setting by its name, in whatever the client's answer was made into; None where it is not there."""
    return said.get(name) if isinstance(said, Mapping) else getattr(said, name, None)


def _is_there(process: int) -> bool:
    if sys.platform == "win32":
        return True  # asking there would end the process; a closed pipe tells enough
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def editor_server(settings: Settings) -> EditorServer:
    """A server, ready to be started."""
    server = EditorServer(settings)
    _keep_in_step(server)
    for method, feature in FEATURES.items():
        server.feature(method, feature.options)(feature.handler(server))
    return server


def _keep_in_step(server: EditorServer) -> None:
    """What the client says of its texts and folders."""

    @server.feature(lsp.INITIALIZED)
    def initialized(params: lsp.InitializedParams) -> None:
        sys.setswitchinterval(SWITCH)
        server.begin()
        server.prefer(server.preferred)

    @server.feature(lsp.INITIALIZE)
    def initializing(params: lsp.InitializeParams) -> None:
        server.preferred = params.initialization_options

    @server.feature(lsp.WORKSPACE_DID_CHANGE_CONFIGURATION)
    def preferred(params: lsp.DidChangeConfigurationParams) -> None:
        server.prefer(_setting(params.settings, "plancheck"))

    @server.feature(lsp.SHUTDOWN)
    def goodbye(params: None) -> None:
        server.said_goodbye = True

    @server.feature(lsp.TEXT_DOCUMENT_DID_OPEN)
    def opened(params: lsp.DidOpenTextDocumentParams) -> None:
        text = params.text_document
        server.bench.open(text.uri, text.version, text.text)

    @server.feature(lsp.TEXT_DOCUMENT_DID_CHANGE)
    def changed(params: lsp.DidChangeTextDocumentParams) -> None:
        server.bench.change(params.text_document.uri, params.text_document.version, params.content_changes)

    @server.feature(lsp.TEXT_DOCUMENT_DID_CLOSE)
    def closed(params: lsp.DidCloseTextDocumentParams) -> None:
        server.bench.close(params.text_document.uri)

    @server.feature(lsp.TEXT_DOCUMENT_DID_SAVE)
    def saved(params: lsp.DidSaveTextDocumentParams) -> None:
        server.bench.touch(params.text_document.uri)

    @server.feature(lsp.WORKSPACE_DID_CHANGE_WATCHED_FILES)
    def files_changed(params: lsp.DidChangeWatchedFilesParams) -> None:
        for change in params.changes:
            server.bench.touch(change.uri)

    @server.feature(lsp.WORKSPACE_DID_CHANGE_WORKSPACE_FOLDERS)
    def folders_changed(params: lsp.DidChangeWorkspaceFoldersParams) -> None:
        folders = (to_fs_path(folder.uri) for folder in server.workspace.folders.values())
        server.bench.work_in([Path(path) for path in folders if path])
