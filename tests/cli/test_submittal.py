"""`plancheck submittal` from the command line: what is in the folder, and a folder that cannot be written."""

from __future__ import annotations

import csv
import json
import os
import signal
from html.parser import HTMLParser
from pathlib import Path

import pytest

from plancheck.cli.main import main
from tests.review.planned import HEADER
from tests.review.test_acceptance import ONE_LOCK

HOSTILE = "=cmd|'/c calc'!A1 <script>alert(1)</script><svg onload=alert(2)> ]]> &amp;"
TABLES = (
    "acceptance", "batteries", "cables", "corrections", "devices", "doors", "failures", "protectors", "quantities",
    "sequence", "supplies", "wires",
)  # fmt: skip


def _plan(folder: Path, name: str = "bench.plan", text: str = HEADER + ONE_LOCK) -> str:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_one_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    to = tmp_path / "out"
    assert main(["submittal", _plan(tmp_path), "--to", str(to)]) == 1
    assert capsys.readouterr().out == f"1 plan drawn up in {to}\n"
    found = sorted(path.relative_to(to).as_posix() for path in to.rglob("*") if path.is_file())
    tables = {path.stem for path in (to / "bench-tables").iterdir()}
    assert tables == {*TABLES} - {"acceptance"} | {"test-sheet"}
    assert found == sorted(["bench.html", "bench.json", *(f"bench-tables/{table}.csv" for table in tables)])
    told = json.loads((to / "bench.json").read_text(encoding="utf-8"))
    assert set(told) >= {"version", "review", "sequence", "failures", "packs", "schedules", "acceptance"}
    assert all(len(pack["sha256"]) == 64 for pack in told["packs"])
    assert told["schedules"]["wires"]["rows"][0][1] == "PS1:+"


def test_a_folder_has_an_index_and_keeps_its_own_folders(tmp_path: Path) -> None:
    folder, to = tmp_path / "plans", tmp_path / "out"
    _plan(folder, "a.plan")
    _plan(folder, "lower/index.plan")
    assert main(["submittal", str(folder), "--to", str(to), "--fail-at", "error"]) in (0, 1)
    index = (to / "index.html").read_text(encoding="utf-8")
    assert 'href="a.html"' in index
    assert 'href="lower/index.html"' in index
    assert (to / "lower" / "index.html").is_file()


class _Scripts(HTMLParser):
    """What a page would run, and attributes that would."""

    def __init__(self) -> None:
        super().__init__()
        self.scripts, self.handlers, self.outside = 0, list[str](), list[str]()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.scripts += tag == "script"
        self.handlers += [name for name, _ in attrs if name.startswith("on")]
        self.outside += [v or "" for name, v in attrs if name in ("src", "href") and not (v or "").startswith("#")]


def test_hostile_names_are_text_everywhere(tmp_path: Path) -> None:
    quoted = HOSTILE.replace('"', "")
    text = HEADER.replace("Test bench", quoted) + ONE_LOCK.replace("door D1 {", f'door D1 "{quoted}" {{').replace(
        "exit-button EB1 {", f'exit-button EB1 "{quoted}" {{ marked "{quoted}";'
    )
    to = tmp_path / "out"
    assert main(["submittal", _plan(tmp_path, text=text), "--to", str(to)]) in (1, 2)
    page = (to / "bench.html").read_text(encoding="utf-8")
    found = _Scripts()
    found.feed(page)
    # The data of the circuit, and the page's own script.
    assert (found.scripts, found.handlers, found.outside) == (2, [], [])
    assert page.count("<script>alert") == 0
    for table in (to / "bench-tables").iterdir():
        with table.open(encoding="utf-8", newline="") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        assert not [cell for cell in cells if cell.lstrip().startswith(("=", "+", "@")) or cell.startswith("-")]


def test_a_plan_that_cannot_be_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder, to = tmp_path / "plans", tmp_path / "out"
    _plan(folder, "a.plan")
    (folder / "b.plan").write_bytes(b"\xff\xfe")
    assert main(["submittal", str(folder), "--to", str(to)]) == 2
    printed = capsys.readouterr()
    assert "b.plan" in printed.err
    assert "1 plan drawn up" in printed.out
    assert "Not read" in (to / "index.html").read_text(encoding="utf-8")
    assert not (to / "b.html").exists()


def test_the_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = _plan(tmp_path)
    there = tmp_path / "there"
    there.mkdir()
    (there / "something").write_text("mine", encoding="utf-8")
    for to, told in (
        (str(there), "is there already, and holds something"),
        (plan, "is there already, and no folder"),
        (str(tmp_path / "none" / "out"), "does not exist"),
        ("", "into which folder"),
    ):
        assert main(["submittal", plan, "--to", to]) == 2
        assert told in capsys.readouterr().err
    assert (there / "something").read_text(encoding="utf-8") == "mine"
    assert main(["submittal", plan]) == 2
    assert "into which folder" in capsys.readouterr().err
    empty = tmp_path / "empty"
    empty.mkdir()
    assert main(["submittal", plan, "--to", str(empty)]) == 1
    assert (empty / "bench.html").is_file()


def test_a_folder_that_may_not_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Linux lets nobody make a folder in /sys, not even root."""
    assert main(["submittal", _plan(tmp_path), "--to", "/sys/handed-over"]) == 2
    printed = capsys.readouterr()
    assert "“/sys/handed-over” cannot be written" in printed.err
    assert printed.out == ""


def test_a_disk_that_is_full_leaves_nothing_behind(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from plancheck.cli import folder_output

    def full(self: folder_output.FolderOutput, name: str, text: str) -> None:
        if name.endswith(".json"):
            raise self._unwritable(OSError(28, os.strerror(28)))
        whole(self, name, text)

    whole = folder_output.FolderOutput.put
    monkeypatch.setattr(folder_output.FolderOutput, "put", full)
    to = tmp_path / "out"
    assert main(["submittal", _plan(tmp_path), "--to", str(to)]) == 2
    assert "cannot be written" in capsys.readouterr().err
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bench.plan"]


def test_a_plan_whose_process_dies_leaves_no_half_of_a_package(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from plancheck.cli import folder_output

    def deadly(self: folder_output.FolderOutput, name: str, text: str) -> None:
        whole(self, name, text)
        if name == "b.json":
            os.kill(os.getpid(), signal.SIGKILL)

    whole = folder_output.FolderOutput.put
    monkeypatch.setattr(folder_output.FolderOutput, "put", deadly)
    folder, to = tmp_path / "plans", tmp_path / "out"
    for name in ("a", "b", "c"):
        _plan(folder, f"{name}.plan")
    assert main(["submittal", str(folder), "--to", str(to), "--processes", "2"]) == 2
    assert sorted(path.name for path in to.iterdir() if path.name.startswith("b")) == []
    assert (to / "c.html").is_file()
    assert "2 plans drawn up" in capsys.readouterr().out


def test_a_name_is_no_address(tmp_path: Path) -> None:
    folder, to = tmp_path / "plans", tmp_path / "out"
    _plan(folder, "50% #1?.plan")
    _plan(folder, "b.plan")
    assert main(["submittal", str(folder), "--to", str(to)]) == 1
    assert 'href="50%25%20%231%3F.html"' in (to / "index.html").read_text(encoding="utf-8")
    assert (to / "50% #1?.html").is_file()
