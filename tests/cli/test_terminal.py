"""On a real terminal: colour, width, the bar; and none of them where there is no terminal."""

from __future__ import annotations

import fcntl
import os
import re
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path

import pytest

from plancheck.cli import progress
from plancheck.render.columns import width
from tests.cli.calling import CHECKOUT, process
from tests.cli.plans import FAULTY

CODES = re.compile(r"\x1b\[[0-9;]*m")


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """A faulty plan to review."""
    path = tmp_path / "faulty.plan"
    path.write_text(FAULTY, encoding="utf-8")
    return path


def _on_terminal(plan: Path, columns: int, **environment: str) -> str:
    """What a review writes to a terminal of that many columns."""
    ours, theirs = os.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
    bare = {name: value for name, value in os.environ.items() if name != "NO_COLOR"}
    subprocess.Popen(
        [sys.executable, "-m", "plancheck", "review", plan.name],
        stdout=theirs,
        stderr=theirs,
        cwd=plan.parent,
        env={**bare, "PYTHONPATH": str(CHECKOUT), "TERM": "xterm", **environment},
    )
    os.close(theirs)
    written = b""
    try:
        while piece := os.read(ours, 65536):
            written += piece
    except OSError:
        pass  # the other end is closed: that is how a terminal tells it
    os.close(ours)
    return written.decode("utf-8").replace("\r\n", "\n")


def test_a_terminal_gets_colour_and_its_own_width(plan: Path) -> None:
    text = _on_terminal(plan, 64)
    assert "\x1b[1;31mERROR\x1b[0m" in text
    lines = CODES.sub("", text).split("\n")
    assert max(map(width, lines)) == 64


def test_a_wide_terminal_gets_a_page_that_can_be_read(plan: Path) -> None:
    assert max(map(width, CODES.sub("", _on_terminal(plan, 300)).split("\n"))) == 120


@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_no_colour_where_it_is_not_wanted(environment: dict[str, str], plan: Path) -> None:
    text = _on_terminal(plan, 64, **environment)
    assert "\x1b" not in text
    assert "ERROR" in text


def test_without_a_terminal_there_is_neither(plan: Path) -> None:
    outcome = process(["review", plan.name], plan.parent)
    assert "\x1b" not in outcome.said
    assert max(map(width, outcome.out.split("\n"))) == 100
    assert outcome.err == ""


# --- the bar -----------------------------------------------------------------------------------------------------


def _bar(monkeypatch: pytest.MonkeyPatch, terminal: bool, times: list[float]) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: terminal, raising=False)
    monkeypatch.setattr(time, "monotonic", lambda: times.pop(0))


def test_the_bar_shows_once_work_is_long_and_is_wiped(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _bar(monkeypatch, True, [0.0, 0.1, 1.0, 1.0])
    with progress.Progress(4, "reviewing") as shown:
        shown.at(1)
        assert capsys.readouterr().err == ""
        shown.at(2)
        assert capsys.readouterr().err == "\rreviewing " + "█" * 12 + "░" * 12 + "  50%\x1b[K"
    assert capsys.readouterr().err == "\r\x1b[K"


def test_no_bar_where_there_is_no_terminal(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    _bar(monkeypatch, False, [0.0, 5.0, 9.0])
    with progress.Progress(4, "reviewing") as shown:
        shown.at(4)
    assert capsys.readouterr().err == ""
