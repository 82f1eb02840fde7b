"""How the server starts and ends: at an address, and whatever becomes of its client."""

from __future__ import annotations

import json
import os
import re
import socket
import subprocess
import sys
from pathlib import Path

import plancheck

CHECKOUT = Path(plancheck.__file__).resolve().parent.parent


def started(*options: str) -> subprocess.Popen[bytes]:
    """The server as a process of its own."""
    return subprocess.Popen(
        [sys.executable, "-m", "plancheck", "editor", *options],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(CHECKOUT)},
    )


def message(content: dict[str, object]) -> bytes:
    """A message as the protocol frames it."""
    body = json.dumps({"jsonrpc": "2.0", **content}).encode()
    return b"Content-Length: %d\r\n\r\n" % len(body) + body


def initialize(process: int | None) -> bytes:
    return message({"id": 1, "method": "initialize", "params": {"processId": process, "capabilities": {}}})


def ended(server: subprocess.Popen[bytes]) -> int:
    try:
        return server.wait(30)
    finally:
        server.kill()
        for stream in (server.stdin, server.stdout, server.stderr):
            if stream is not None and not stream.closed:
                stream.close()


def test_a_client_that_says_goodbye() -> None:
    server = started()
    assert server.stdin is not None
    server.stdin.write(initialize(None) + message({"method": "initialized", "params": {}}))
    server.stdin.write(message({"id": 2, "method": "shutdown"}) + message({"method": "exit"}))
    server.stdin.flush()
    assert ended(server) == 0


def test_a_client_whose_pipe_closes() -> None:
    server = started()
    assert server.stdin is not None
    server.stdin.write(initialize(None) + message({"method": "initialized", "params": {}}))
    server.stdin.close()
    assert ended(server) == 1


def test_a_client_that_leaves_without_a_goodbye() -> None:
    """LSP 3.17, `exit`: 0 if a shutdown was asked for before, otherwise 1."""
    server = started()
    assert server.stdin is not None
    server.stdin.write(initialize(None) + message({"method": "exit"}))
    server.stdin.flush()
    assert ended(server) == 1


def test_a_client_whose_process_is_gone() -> None:
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    server = started()
    assert server.stdin is not None
    server.stdin.write(initialize(gone.pid) + message({"method": "initialized", "params": {}}))
    server.stdin.flush()
    assert ended(server) == 1


def test_a_client_at_an_address_that_hangs_up() -> None:
    server = started("--port", "0")
    assert server.stderr is not None
    told = server.stderr.readline().decode()
    match = re.fullmatch(r"plancheck: waiting for an editor at 127\.0\.0\.1:(\d+)\n", told)
    assert match is not None
    with socket.create_connection(("127.0.0.1", int(match[1]))) as connection:
        connection.sendall(initialize(None))
        assert connection.recv(16) == b"Content-Length: "
    assert ended(server) == 1


def test_a_port_that_is_taken_is_told() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        server = started("--port", str(port))
        assert server.stderr is not None
        told = server.stderr.read().decode()
        assert ended(server) == 2
        assert f"--port: 127.0.0.1:{port} cannot be had: " in told
