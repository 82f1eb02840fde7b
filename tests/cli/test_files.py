"""Files to texts: what is no text is refused with its place, folders give their plans, includes stay inside."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from plancheck.library.files import (
    MOST_BYTES,
    IncludeReader,
    find_plans,
    is_shared,
    read_text,
    shown_name,
)
from plancheck.library.packs import pack_files
from plancheck.source import Source


def _write(path: Path, data: bytes | str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return path


@pytest.mark.parametrize(
    ("data", "headline", "line", "column"),
    [
        (b"", "is empty", 1, 1),
        (b" \r\n\t\n", "is empty", 1, 1),
        (b"\xef\xbb\xbf", "is empty", 1, 1),
        (b'plan "a"\nsupply \x00PS1', "is not a text", 2, 8),
        (b"\x7fELF\x02\x01", "is not a text", 1, 1),
        (b'plan "a"\nd \xc3\x28', "is not written in UTF-8", 2, 3),
        (b'plan "\xe4\xb8\x96\xff', "is not written in UTF-8", 1, 8),
        ('plan "a"'.encode("utf-16"), "is not written in UTF-8", 1, 1),
        ('plan "a"'.encode("utf-32"), "is not written in UTF-8", 1, 1),
        (b"x" * (MOST_BYTES + 1), "is too large", 1, 1),
    ],
)
def test_what_is_no_text_is_refused_at_its_place(
    data: bytes, headline: str, line: int, column: int, tmp_path: Path
) -> None:
    source, mistake = read_text(_write(tmp_path / "a.plan", data))
    assert mistake is not None
    assert headline in mistake.headline
    assert (mistake.at.line, mistake.at.column) == (line, column)
    assert mistake.at.source is source


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (b'\xef\xbb\xbfplan "a"\r\n', 'plan "a"\r\n'),
        ('plan "電気錠"\n'.encode(), 'plan "電気錠"\n'),
        (b'plan\t"a"\x0c\n', 'plan\t"a"\x0c\n'),
    ],
)
def test_texts_are_kept_as_they_are(data: bytes, text: str, tmp_path: Path) -> None:
    source, mistake = read_text(_write(tmp_path / "a.plan", data))
    assert mistake is None
    assert source.text == text


@pytest.mark.parametrize("name", ["missing.plan", "folder", "a\0b", "loop.plan"])
def test_what_cannot_be_opened_is_refused(name: str, tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "loop.plan").symlink_to("loop.plan")
    _, mistake = read_text(tmp_path / name)
    assert mistake is not None
    assert "cannot be read: " in mistake.headline


def test_a_name_that_is_no_text_is_shown_by_its_bytes(tmp_path: Path) -> None:
    assert shown_name(Path(os.fsdecode(b"a\xffb.plan"))) == "a\\xffb.plan"


def test_folders_give_their_plans_sorted_each_once(tmp_path: Path) -> None:
    for name in ("b.plan", "a/z.plan", "a/notes.txt", ".hidden/c.plan", "c.PLAN"):
        _write(tmp_path / name, "x")
    (tmp_path / "again.plan").symlink_to("b.plan")
    found = find_plans([str(tmp_path), str(tmp_path / "b.plan"), str(tmp_path / "a")])
    assert [p.relative_to(tmp_path).as_posix() for p in found.plans] == ["a/z.plan", "again.plan"]
    assert found.troubles == []


def test_a_folder_without_plans_is_told(tmp_path: Path) -> None:
    found = find_plans([str(tmp_path)])
    assert found.plans == []
    assert [mistake.headline for _, mistake in found.troubles] == [f"“{tmp_path}” holds no plan"]


def test_a_text_without_the_plan_header_is_for_others_to_use() -> None:
    assert is_shared(Source("a", "typical t () {\n}\n"))
    assert not is_shared(Source("a", 'revision "A"\nplan "x"\n'))
    assert is_shared(Source("a", 'planner P1\nplanter "x"\n'))


def test_a_link_out_of_its_pack_is_refused(tmp_path: Path) -> None:
    _write(tmp_path / "secret.rules", "x")
    _write(tmp_path / "pack/own.rules", "x")
    (tmp_path / "pack/leads.rules").symlink_to("../secret.rules")
    pack = pack_files(tmp_path / "pack", named=True)
    assert [source.name for source in pack.rules] == [shown_name(tmp_path / "pack/own.rules")]
    assert ["leads out of its pack" in mistake.headline for _, mistake in pack.troubles] == [True]


def _reader(tmp_path: Path, *folders: Path) -> tuple[IncludeReader, Source]:
    top = _write(tmp_path / "site/top.plan", "x")
    source, _ = read_text(top)
    return IncludeReader(top, source, folders), source


def test_includes_are_read_beside_the_one_that_asks(tmp_path: Path) -> None:
    _write(tmp_path / "site/typicals/door.plan", "door")
    _write(tmp_path / "site/typicals/inner/lock.plan", "lock")
    include, top = _reader(tmp_path)
    door = include("typicals/door.plan", top)
    assert isinstance(door, Source)
    assert door.text == "door"
    lock = include("inner/lock.plan", door)
    assert isinstance(lock, Source)
    assert lock.text == "lock"
    assert lock.name == shown_name(tmp_path / "site/typicals/inner/lock.plan")
    assert include("../../top.plan", lock) is top
    assert include("../door.plan", lock) is door


@pytest.mark.parametrize("wanted", ["../outside.plan", "/etc/hostname", "leads.plan", "typicals/../../outside.plan"])
def test_includes_stay_under_the_folder_of_the_plan(wanted: str, tmp_path: Path) -> None:
    _write(tmp_path / "outside.plan", "secret")
    include, top = _reader(tmp_path)
    (tmp_path / "site/leads.plan").symlink_to("../outside.plan")
    assert include(wanted, top) == "a file outside the folder of the plan"


def test_a_folder_named_by_the_caller_may_be_used(tmp_path: Path) -> None:
    _write(tmp_path / "house/shared.plan", "shared")
    include, top = _reader(tmp_path, tmp_path / "house")
    found = include("../house/shared.plan", top)
    assert isinstance(found, Source)
    assert found.text == "shared"


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        ("missing.plan", "cannot be read: no such file"),
        ("", "cannot be read: is a directory"),
        ("a\0b", "no name of a file"),
        ("x" * 5000, "cannot be read: file name too long"),
        ("binary.plan", "is not a text: found the byte 0x00, expected a plain text file (line 2, column 3)"),
        ("empty.plan", "is empty: found no statement, expected a plan"),
    ],
)
def test_includes_that_cannot_be_had_say_why(wanted: str, words: str, tmp_path: Path) -> None:
    _write(tmp_path / "site/binary.plan", b"ab\ncd\0")
    _write(tmp_path / "site/empty.plan", b"")
    include, top = _reader(tmp_path)
    answer = include(wanted, top)
    assert isinstance(answer, str)
    assert words in answer
