"""A client of the language server, and the server as a process of its own."""

from __future__ import annotations

import sys
from collections.abc import AsyncIterator
from pathlib import Path

import pytest_lsp
from lsprotocol import types as lsp
from pytest_lsp import ClientServerConfig, LanguageClient

from tests.editor.plans import SHED, Told
from tests.outside import has_neovim

collect_ignore = [] if has_neovim() else ["test_neovim.py"]

COMMAND = [sys.executable, "-m", "plancheck", "editor", "--as-of", "2026-11-25"]


@pytest_lsp.fixture(config=ClientServerConfig(server_command=COMMAND))
async def client(lsp_client: LanguageClient, tmp_path: Path) -> AsyncIterator[None]:
    """Initialised, counting in UTF-16 units, in a folder with one plan."""
    (tmp_path / "shed.plan").write_text(SHED, encoding="utf-8")
    await lsp_client.initialize_session(
        lsp.InitializeParams(
            capabilities=lsp.ClientCapabilities(),
            workspace_folders=[lsp.WorkspaceFolder(tmp_path.as_uri(), "work")],
        )
    )
    lsp_client.diagnostics = Told()
    yield
    await lsp_client.shutdown_session()
