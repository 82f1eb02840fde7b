"""A program in a terminal: keys go in, and what the screen shows comes out."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import subprocess
import termios
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import pyte

COLUMNS, LINES = 100, 24


class Terminal:
    """Runs a program until it is closed."""

    def __init__(self, command: Sequence[str], cwd: Path, env: Mapping[str, str]) -> None:
        self._screen = pyte.Screen(COLUMNS, LINES)
        self._stream = pyte.ByteStream(self._screen)
        self._master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", LINES, COLUMNS, 0, 0))
        self._process = subprocess.Popen(
            command, stdin=slave, stdout=slave, stderr=slave, cwd=cwd, env={**env, "TERM": "xterm"}, close_fds=True
        )
        os.close(slave)

    def types(self, keys: str) -> None:
        """Sends keys."""
        os.write(self._master, keys.encode())

    def shows(self, fits: Callable[[str], bool], seconds: float = 40.0) -> str:
        """The screen once it fits and stands still. Raises TimeoutError with what it shows instead."""
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            still = not self._read(0.4)
            if still and fits(self.text):
                return self.text
        raise TimeoutError(self.text)

    @property
    def text(self) -> str:
        """What the screen shows."""
        return "\n".join(line.rstrip() for line in self._screen.display).rstrip() + "\n"

    def close(self) -> None:
        """Ends the program."""
        self._process.kill()
        self._process.wait()
        os.close(self._master)

    def _read(self, wait: float) -> bool:
        """Takes in what the program writes within some seconds; False where it is silent."""
        ready, _, _ = select.select([self._master], [], [], wait)
        if not ready:
            return False
        try:
            self._stream.feed(os.read(self._master, 65_536))
        except OSError:
            return False
        return True
