"""A server started: over standard input and output, or at an address."""

from __future__ import annotations

import asyncio
import sys
from contextlib import suppress
from threading import Event

from pygls.io_ import run_async

from plancheck.editor.server import EditorServer, Settings, editor_server


def over_pipes(settings: Settings) -> int:
    """Serves the editor that started the process and ends with it: 0 where that said so, 1 where it just went."""
    server = editor_server(settings)
    server.start_io()
    return 0 if server.said_goodbye else 1


def at_address(settings: Settings, host: str, port: int) -> int:
    """Serves the first editor that connects, and ends as `over_pipes` does. Raises OSError without an address."""
    server = editor_server(settings)
    try:
        asyncio.run(_serve_one(server, host, port))
    finally:
        server.shutdown()
    return 0 if server.said_goodbye else 1


async def _serve_one(server: EditorServer, host: str, port: int) -> None:
    connected: asyncio.Future[tuple[asyncio.StreamReader, asyncio.StreamWriter]] = asyncio.Future()

    def arrived(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        if connected.done():
            writer.close()
        else:
            connected.set_result((reader, writer))

    listening = await asyncio.start_server(arrived, host, port)
    taken = listening.sockets[0].getsockname()
    print(f"plancheck: waiting for an editor at {taken[0]}:{taken[1]}", file=sys.stderr, flush=True)
    async with listening:
        reader, writer = await connected
    server.protocol.set_writer(writer)
    with suppress(ConnectionError, asyncio.IncompleteReadError):  # An editor that hangs up has gone: that is the end.
        await run_async(Event(), reader, server.protocol)
