"""Writing: whole files or none, closed pipes, outputs that cannot show our signs."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path

import pytest

from plancheck.cli import output
from plancheck.cli.output import UnwritableError, takes_colour, write_whole
from tests.cli.calling import started


def test_writes_whole_and_leaves_nothing_beside(tmp_path: Path) -> None:
    target = tmp_path / "list.txt"
    target.write_text("old")
    write_whole(str(target), "new → list\n")
    assert target.read_text(encoding="utf-8") == "new → list\n"
    assert os.listdir(tmp_path) == ["list.txt"]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "kept.txt").write_text("old")
    (tmp_path / "link.txt").symlink_to("kept.txt")
    write_whole(str(tmp_path / "link.txt"), "new")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "kept.txt").read_text() == "new"


def test_a_device_is_written_through() -> None:
    write_whole(os.devnull, "x")
    assert not os.path.isfile(os.devnull)


def test_a_full_disk_leaves_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "list.txt"
    target.write_text("old")

    def full(beside: str, place: str) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(UnwritableError, match="no space left on device"):
        write_whole(str(target), "new")
    assert target.read_text() == "old"
    assert os.listdir(tmp_path) == ["list.txt"]


@pytest.mark.parametrize("name", ["a\0b", "x" * 300, "missing/x.txt"])
def test_impossible_names_are_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(UnwritableError):
        write_whole(str(tmp_path / name), "x")
    assert os.listdir(tmp_path) == []


def test_an_output_without_our_signs_gets_plain_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    assert output.put("a → b 電\n", 1) == 1
    assert raw.getvalue() == b"a > b \\u96fb\n"


def test_a_reader_that_leaves_ends_it_quietly() -> None:
    code = "import sys; from plancheck.cli.output import put; sys.exit(put('line\\n' * 200_000, 1))"
    with started([sys.executable, "-c", code]) as run:
        assert run.stdout is not None
        assert run.stderr is not None
        run.stdout.readline()
        run.stdout.close()
        assert run.stderr.read() == b""
    assert run.returncode == 1


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_colour_only_on_a_terminal_that_wants_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert takes_colour(_Terminal())
    assert not takes_colour(io.StringIO())
    monkeypatch.setenv("NO_COLOR", "1")
    assert not takes_colour(_Terminal())
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert not takes_colour(_Terminal())
