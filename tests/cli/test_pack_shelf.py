"""Packs kept as read: the next run reads nothing anew, and whatever is wrong with what is kept only costs time."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from plancheck.cli import pack_shelf
from plancheck.cli.pack_shelf import MOST_ENTRIES, SETTING
from plancheck.rulebook import read as rule_reading
from plancheck.syntax import read as kind_reading
from tests.cli.calling import CHECKOUT, Caller, Outcome
from tests.cli.plans import HOUSE_RULE, SOUND

HORN = """\
kind warning-horn "Horn that sounds while it has power" {
    terminals + -
    needs     rated <rated-volts: voltage>, <horn-amps: current>
    load      electronics + - electronic { volts rated-volts; amps horn-amps; drop-out 30 % }
}
"""
LOUD = """\
rule horns-are-small {
    title     "Horns take little"
    severity  warning
    basis     "house rule" grade common practice
    known limits "None."
    limit     most = 50 mA  source "house rule"
    for each  device H
    where     H.kind is warning-horn
    require   H.horn-amps <= most
    found     "{H} takes {H.horn-amps}"
    required  "{most} or less"
    remedy    "Take another."
    passes "small" {
        supply PS1 { output 24 Vdc, 1 A }
        warning-horn WH1 { rated 24 Vdc, 30 mA }
        wire PS1:+ to WH1:+
        wire PS1:- to WH1:-
    }
    fails "large" {
        supply PS1 { output 24 Vdc, 1 A }
        warning-horn WH1 { rated 24 Vdc, 80 mA }
        wire PS1:+ to WH1:+
        wire PS1:- to WH1:-
    }
}
"""
PLAN = SOUND + "warning-horn WH1 { rated 24 Vdc, 80 mA }\nwire PS1:+ to WH1:+\nwire PS1:- to WH1:-\n"


def _forget() -> None:
    """As in a process that has read nothing yet."""
    rule_reading.KEPT.forget()
    kind_reading.KEPT.forget()
    kind_reading.read_text.cache_clear()


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The folder where packs are kept, none so far; a plan and a pack with a kind and two rules stand beside it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(SETTING, str(tmp_path / "kept"))
    (tmp_path / "house/kinds").mkdir(parents=True)
    (tmp_path / "house/own.rules").write_text(HOUSE_RULE + LOUD, encoding="utf-8")
    (tmp_path / "house/kinds/horns.plan").write_text(HORN, encoding="utf-8")
    (tmp_path / "a.plan").write_text(PLAN, encoding="utf-8")
    _forget()
    yield tmp_path / "kept"
    _forget()


Review = Callable[[], Outcome]


@pytest.fixture
def review(plancheck: Caller) -> Review:
    """Reviews the plan with the pack, as from cold."""

    def call() -> Outcome:
        _forget()
        return plancheck("review", "a.plan", "--packs", "house")

    return call


def _entries(kept: Path) -> list[Path]:
    return sorted(kept.iterdir()) if kept.is_dir() else []


@pytest.fixture
def anew(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of the in-house texts that were read anew."""
    names: list[str] = []
    reader, reads = rule_reading._Reader.statements, kind_reading.split

    def statements(self: Any) -> Any:
        names.append(self.source.name)
        return reader(self)

    def split(text: str) -> Any:
        names.extend(["kinds"] if text == HORN else [])
        return reads(text)

    monkeypatch.setattr(rule_reading._Reader, "statements", statements)
    monkeypatch.setattr(kind_reading, "split", split)
    return names


def _forge(entry: Path, content: bytes) -> None:
    """Write an entry whose digest is right."""
    entry.write_bytes(hashlib.sha256(content).hexdigest().encode() + b"\n" + content)


def _content(entry: Path) -> Any:
    return json.loads(entry.read_bytes().partition(b"\n")[2])


def test_the_second_run_reads_no_pack_anew_and_says_the_same(kept: Path, review: Review, anew: list[str]) -> None:
    first = review()
    assert first.status == 1
    assert {"house/no-buttons", "house/horns-are-small"} <= set(first.out.split())
    assert "house/own.rules" in anew
    assert "kinds" in anew
    assert len(_entries(kept)) == 1
    anew.clear()
    assert review() == first
    assert anew == []


def test_every_answer_about_rules_is_the_same(kept: Path, plancheck: Caller) -> None:
    asked = [["rules"], ["rules", "show", "house/horns-are-small"], ["rules", "words"], ["rules", "trial", "house"]]

    def answers() -> list[Outcome]:
        _forget()
        return [plancheck(*words, "--packs", "house") for words in asked]

    first = answers()
    assert [outcome.status for outcome in first] == [0, 0, 0, 0]
    assert len(_entries(kept)) == 1
    assert answers() == first


def test_only_the_user_may_read_or_write_it(kept: Path, review: Review) -> None:
    review()
    (entry,) = _entries(kept)
    assert entry.stat().st_mode & 0o777 == 0o600
    assert kept.stat().st_mode & 0o777 == 0o700


# --- stale -----------------------------------------------------------------------------------------------------


def test_a_changed_rule_is_read_anew(kept: Path, review: Review) -> None:
    assert "WH1 takes 80 mA" in review().out
    Path("house/own.rules").write_text(HOUSE_RULE + LOUD.replace("50 mA", "90 mA"), encoding="utf-8")
    assert "WH1 takes 80 mA" not in review().out
    assert len(_entries(kept)) == 2
    Path("house/own.rules").write_text(HOUSE_RULE + LOUD, encoding="utf-8")
    assert "WH1 takes 80 mA" in review().out


def test_a_changed_kind_has_all_rules_checked_anew(kept: Path, review: Review) -> None:
    assert review().status == 1
    changed = HORN.replace("horn-amps", "drawn-amps")
    Path("house/kinds/horns.plan").write_text(changed, encoding="utf-8")
    outcome = review()
    assert outcome.status == 2
    assert "has no fact “horn-amps”" in outcome.out
    assert len(_entries(kept)) == 1, "a pack with a mistake is not kept"


def test_another_program_reads_anew(
    kept: Path, review: Review, anew: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    review()
    anew.clear()
    monkeypatch.setattr(pack_shelf, "_program", lambda: iter([b"another"]))
    review()
    assert "house/own.rules" in anew
    assert len(_entries(kept)) == 2


def test_what_reads_and_checks_is_part_of_the_name() -> None:
    parts = list(pack_shelf._program())
    for module in ("rulebook/check.py", "rulebook/words_of_parts.py", "plan/declare.py", "syntax/tree.py", "units.py"):
        assert (CHECKOUT / "plancheck" / module).read_bytes() in parts
    assert (CHECKOUT / "grammar/rules.lark").read_bytes() in parts


def test_packs_in_another_order_or_parted_otherwise_are_others(kept: Path, review: Review, plancheck: Caller) -> None:
    Path("more").mkdir()
    Path("more/more.rules").write_text(HOUSE_RULE.replace("pack house", "pack more"), encoding="utf-8")
    for packs in (["house", "more"], ["more", "house"], ["more"]):
        _forget()
        plancheck("review", "a.plan", *[word for pack in packs for word in ("--packs", pack)])
    assert len(_entries(kept)) == 3


# --- damaged ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("damage", ["empty", "cut", "one byte", "no digest", "other text", "binary", "a folder"])
def test_what_is_damaged_is_read_and_written_anew(damage: str, kept: Path, review: Review, anew: list[str]) -> None:
    first = review()
    (entry,) = _entries(kept)
    whole = entry.read_bytes()
    if damage == "a folder":
        entry.unlink()
        entry.mkdir()
    else:
        entry.write_bytes(
            {
                "empty": b"",
                "cut": whole[: len(whole) // 2],
                "one byte": whole.replace(b"no-buttons", b"no-battens", 1),
                "no digest": whole.partition(b"\n")[2],
                "other text": b"0" * 64 + b"\n{}",
                "binary": bytes(range(256)) * 40,
            }[damage]
        )
    anew.clear()
    assert review() == first
    assert "house/own.rules" in anew
    assert damage == "a folder" or entry.read_bytes() == whole


@pytest.mark.parametrize(
    "content",
    [
        b"", b"7", b"null", b"[]", b"{}", b'{"kinds": 1, "rules": 2}', b'{"kinds": [], "rules": []}',
        b'{"kinds": "x", "rules": "y"}', b'{"kinds": [0], "rules": [0]}', b'{"kinds": [[]], "rules": [[]]}',
        b'{"kinds": [[0, 1]], "rules": [[0, 1]]}', b'{"kinds": [[0]], "rules": [["eval", "1"]]}',
        b'{"kinds": [[0]], "rules": [[0, ["__builtins__"]]]}', b'{"kinds": [[0]], "rules": [[0, ["Name"]]]}',
        b'{"kinds": [[0, [0, 0, 9, ["Nobody"]]]], "rules": [[0]]}', b"[" * 100_000, b'{"kinds": NaN}',
        b'{"kinds": [[0]], "rules": [[0, ["RuleNode", null, [0], {"later": [0]}, true, 0, 1]]]}', b"\xff\xfe",
    ],
)  # fmt: skip
def test_what_is_forged_is_read_anew(content: bytes, kept: Path, review: Review, anew: list[str]) -> None:
    first = review()
    (entry,) = _entries(kept)
    _forge(entry, content)
    anew.clear()
    assert review() == first
    assert "house/own.rules" in anew


def test_no_forged_name_reaches_anything_but_nodes(kept: Path, review: Review) -> None:
    review()
    (entry,) = _entries(kept)
    held = _content(entry)
    for name in ("dataclass", "__builtins__", "print", "annotations"):
        held["rules"][0][1] = [name, "x", 0, 1]
        _forge(entry, json.dumps(held).encode())
        assert review().status == 1
        assert _content(entry)["rules"][0][1][0] == "PackNode", "written anew"


def test_a_forged_demand_does_not_pass(kept: Path, review: Review) -> None:
    review()
    (entry,) = _entries(kept)
    held = _content(entry)
    rule = held["rules"][0][-1]
    assert rule[0] == "RuleNode"
    rule[3] = {"later": [0, ["GroupNode", ["Name", "x", 0, 1], {"later": [0]}]]}
    _forge(entry, json.dumps(held).encode())
    outcome = review()
    assert outcome.status == 2
    assert "plancheck itself failed" in outcome.out


# --- where nothing can be kept ---------------------------------------------------------------------------------


def test_none_keeps_nothing(kept: Path, review: Review, monkeypatch: pytest.MonkeyPatch, anew: list[str]) -> None:
    monkeypatch.setenv(SETTING, "none")
    assert review() == review()
    assert anew.count("house/own.rules") == 2
    assert _entries(kept) == []


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
    assert _entries(kept) == []


def test_a_read_only_folder_still_lends(kept: Path, review: Review, anew: list[str]) -> None:
    first = review()
    (entry,) = _entries(kept)
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
    (entry,) = _entries(kept)
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
    assert _entries(kept) == []


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
    assert pack_shelf._folder() == Path(folder)


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
    names = [path.name for path in _entries(kept)]
    assert len([name for name in names if name.endswith(".packs")]) == MOST_ENTRIES
    assert f"{8:064x}.packs" not in names
    assert f"{MOST_ENTRIES + 7:064x}.packs" in names
    assert [name for name in names if name.endswith(".part")] == ["y.packs.1.bb.part"]


def test_an_entry_that_is_used_stays(kept: Path, review: Review) -> None:
    review()
    (entry,) = _entries(kept)
    os.utime(entry, (1_000_000, 1_000_000))
    review()
    assert entry.stat().st_mtime > 1_000_000


def test_a_pack_too_large_is_not_kept(kept: Path, review: Review, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pack_shelf, "MOST_BYTES", 1_000)
    assert review() == review()
    assert _entries(kept) == []


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
        assert [path.suffix for path in _entries(kept)] == [".packs"]
