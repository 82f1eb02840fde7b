"""Where packs are kept: folders that cannot be had or believed, how much is kept, and processes that meet there."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from plancheck.library import pack_shelf
from plancheck.library.pack_shelf import MOST_ENTRIES, SETTING
from tests.cli.calling import CHECKOUT, Caller
from tests.cli.shelved import Review, entries


def test_none_keeps_nothing(kept: Path, review: Review, monkeypatch: pytest.MonkeyPatch, anew: list[str]) -> None:
    monkeypatch.setenv(SETTING, "none")
    assert review() == review()
    assert anew.count("house/own.rules") == 2
    assert entries(kept) == []


def test_a_folder_that_cannot_be_made(kept: Path, review: Review) -> None:
    kept.write_text("a file in its place", encoding="utf-8")
    assert (review().status, review().err) == (1, "")
    assert kept.read_text(encoding="utf-8") == "a file in its place"


@pytest.mark.parametrize("call", ["open", "replace", "mkdir"])
def test_a_folder_that_cannot_be_written(
    call: str, kept: Path, review: Review, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*arguments: Any, **others: Any) -> Any:
        raise OSError(30, "Read-only file system")

    if call == "mkdir":
        monkeypatch.setattr(Path, "mkdir", refuse)
    else:
        monkeypatch.setattr(pack_shelf.os, call, refuse)
    assert (review().status, review().err) == (1, "")
    monkeypatch.undo()
    assert entries(kept) == []


def test_a_read_only_folder_still_lends(kept: Path, review: Review, anew: list[str]) -> None:
    first = review()
    (entry,) = entries(kept)
    entry.chmod(0o400)
    kept.chmod(0o500)
    anew.clear()
    try:
        assert review() == first
        assert anew == []
    finally:
        kept.chmod(0o700)


@pytest.mark.parametrize("what", ["folder", "entry"])
def test_what_others_may_write_to_is_not_believed(what: str, kept: Path, review: Review, anew: list[str]) -> None:
    first = review()
    (entry,) = entries(kept)
    (kept if what == "folder" else entry).chmod(0o777)
    anew.clear()
    assert review() == first
    assert "house/own.rules" in anew


def test_what_somebody_else_wrote_is_not_believed(
    kept: Path, review: Review, anew: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    first = review()
    anew.clear()
    monkeypatch.setattr(pack_shelf.os, "geteuid", lambda: os.getuid() + 1)
    assert review() == first
    assert "house/own.rules" in anew


def test_a_link_in_the_place_of_the_folder_is_not_followed(kept: Path, review: Review, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir(mode=0o700)
    kept.symlink_to(tmp_path / "elsewhere")
    assert review().status == 1
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_shipped_rules_alone_keep_nothing(kept: Path, plancheck: Caller) -> None:
    plancheck("rules")
    assert entries(kept) == []


@pytest.mark.parametrize(
    ("environment", "folder"),
    [
        ({"XDG_CACHE_HOME": "/a/b", "HOME": "/h"}, "/a/b/plancheck/packs"),
        ({"XDG_CACHE_HOME": "a/b", "HOME": "/h"}, "/h/.cache/plancheck/packs"),
        ({"HOME": "/h"}, "/h/.cache/plancheck/packs"),
    ],
)
def test_the_folder_is_that_of_the_base_directory_specification(
    environment: dict[str, str], folder: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # XDG Base Directory Specification, version 0.8 (published): unset or not absolute counts as $HOME/.cache.
    for name in (SETTING, "XDG_CACHE_HOME", "HOME"):
        monkeypatch.delenv(name, raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "platform", "linux")
    assert pack_shelf.kept_folder() == Path(folder)


# --- bounded, and raced ----------------------------------------------------------------------------------------


def test_entries_used_last_are_kept_and_no_more(kept: Path, review: Review) -> None:
    kept.mkdir(mode=0o700)
    for number in range(MOST_ENTRIES + 8):
        entry = kept / f"{number:064x}.packs"
        entry.write_bytes(b"old")
        os.utime(entry, (1_000_000 + number, 1_000_000 + number))
    (kept / "x.packs.1.aa.part").write_bytes(b"half")
    os.utime(kept / "x.packs.1.aa.part", (1_000_000, 1_000_000))
    (kept / "y.packs.1.bb.part").write_bytes(b"being written")
    review()
    names = [path.name for path in entries(kept)]
    assert len([name for name in names if name.endswith(".packs")]) == MOST_ENTRIES
    assert f"{8:064x}.packs" not in names
    assert f"{MOST_ENTRIES + 7:064x}.packs" in names
    assert [name for name in names if name.endswith(".part")] == ["y.packs.1.bb.part"]


def test_an_entry_that_is_used_stays(kept: Path, review: Review) -> None:
    review()
    (entry,) = entries(kept)
    os.utime(entry, (1_000_000, 1_000_000))
    review()
    assert entry.stat().st_mtime > 1_000_000


def test_a_pack_too_large_is_not_kept(kept: Path, review: Review, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pack_shelf, "MOST_BYTES", 1_000)
    assert review() == review()
    assert entries(kept) == []


def test_processes_at_once_say_the_same(kept: Path) -> None:
    command = [sys.executable, "-m", "plancheck", "review", "a.plan", "--packs", "house"]
    environment = {**os.environ, "PYTHONPATH": str(CHECKOUT)}
    for _ in range(2):  # writing it all at once, then reading it all at once
        running = [
            subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment) for _ in range(3)
        ]
        told = {(*process.communicate(timeout=120), process.returncode) for process in running}
        assert len(told) == 1
        ((out, err, status),) = told
        assert (status, err) == (1, b"")
        assert b"WH1 takes 80 mA" in out
        assert [path.suffix for path in entries(kept)] == [".packs"]
