"""Calling the command, within this process or as one of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

import plancheck
from plancheck.cli.main import main

CHECKOUT = Path(plancheck.__file__).parent.parent


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a command did."""

    status: int
    out: str
    err: str

    @property
    def said(self) -> str:
        """Everything that it wrote."""
        return self.out + self.err


class Caller:
    """Runs `plancheck` in this process: quick, and a traceback fails the test by itself."""

    def __init__(self, captured: pytest.CaptureFixture[str]) -> None:
        self._captured = captured

    def __call__(self, *arguments: str | Path) -> Outcome:
        status = main([str(argument) for argument in arguments])
        out, err = self._captured.readouterr()
        assert "Traceback" not in out + err
        return Outcome(status, out, err)


def process(arguments: Sequence[str | Path], cwd: Path | None = None, **environment: str) -> Outcome:
    """Runs `python -m plancheck` as a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "plancheck", *map(str, arguments)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        errors="backslashreplace",
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(CHECKOUT), **environment},
        timeout=120,
        check=False,
    )
    assert "Traceback" not in done.stdout + done.stderr
    return Outcome(done.returncode, done.stdout, done.stderr)


def started(command: Sequence[str]) -> subprocess.Popen[bytes]:
    """A process whose output is read as it comes."""
    environment = {**os.environ, "PYTHONPATH": str(CHECKOUT)}
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment)
