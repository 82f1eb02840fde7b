"""Packs come from anywhere: nothing in one is run, nothing outside it is read, and every refusal is a plain message."""

from __future__ import annotations

import os
import time
import unicodedata
from pathlib import Path

import pytest

from plancheck.library.packs import MOST_ENTRIES, MOST_FILES
from tests.cli.calling import Caller
from tests.cli.plans import HOUSE_RULE, SOUND

SECRET = 'device "secret" is a relay { }\n'


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a plan, a pack, and a secret beside the pack."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "sound.plan").write_text(SOUND, encoding="utf-8")
    (tmp_path / "secret.plan").write_text(SECRET, encoding="utf-8")
    (tmp_path / "house").mkdir()
    (tmp_path / "house/own.rules").write_text(HOUSE_RULE, encoding="utf-8")
    return tmp_path


def _refused(plancheck: Caller, words: str) -> str:
    began = time.perf_counter()
    outcome = plancheck("review", "sound.plan", "--packs", "house", "--width", "300")
    assert time.perf_counter() - began < 60
    assert outcome.status == 2
    assert words in outcome.out
    assert "Kestrel Wharf boat school, tool room" in outcome.out
    return outcome.out


@pytest.mark.parametrize("wanted", ["../secret.plan", "../../etc/passwd", "/etc/passwd", "~/secret.plan", "leads.plan"])
def test_a_pack_uses_no_file_outside_itself(wanted: str, folder: Path, plancheck: Caller) -> None:
    (folder / "house/leads.plan").symlink_to("../secret.plan")
    (folder / "house/devices.plan").write_text(f'use "{wanted}"\n', encoding="utf-8")
    assert "root:" not in _refused(plancheck, f"“{wanted}” cannot be used")


def test_a_pack_uses_its_own_files(folder: Path, plancheck: Caller) -> None:
    (folder / "house/inner").mkdir()
    relay = 'device "ours" is a relay { rated 24 Vdc, 80 mA; contact form C; contacts 3 A at 30 Vdc }\n'
    (folder / "house/inner/relay.plan").write_text(relay, encoding="utf-8")
    (folder / "house/devices.plan").write_text('use "inner/relay.plan"\n', encoding="utf-8")
    assert "cannot be used" not in plancheck("review", "sound.plan", "--packs", "house").out


def test_links_out_of_it_and_in_circles_are_refused(folder: Path, plancheck: Caller) -> None:
    (folder / "house/passwd.rules").symlink_to("/etc/passwd")
    (folder / "house/round.rules").symlink_to("round.rules")
    (folder / "house/out").symlink_to("..")
    text = _refused(plancheck, "“house/passwd.rules” leads out of its pack")
    assert "“house/round.rules” is no file" in text
    assert "root:" not in text


def test_a_pipe_is_not_waited_for(folder: Path, plancheck: Caller) -> None:
    os.mkfifo(folder / "house/pipe.rules")
    (folder / "house/folder.rules").mkdir()
    assert "folder.rules" not in _refused(plancheck, "“house/pipe.rules” is no file")


def test_there_is_an_end_to_its_size(folder: Path, plancheck: Caller) -> None:
    for number in range(MOST_FILES + 5):
        (folder / f"house/{number}.rules").write_text("pack house\n", encoding="utf-8")
    _refused(plancheck, "This pack holds too much")


def test_there_is_an_end_to_all_its_texts_together(folder: Path, plancheck: Caller) -> None:
    for number in range(6):
        (folder / f"house/{number}.rules").write_text("pack house\n" + "#" * 900_000, encoding="utf-8")
    _refused(plancheck, "This pack holds too much")


def test_there_is_an_end_to_its_folders(folder: Path, plancheck: Caller) -> None:
    deep = folder / "house" / "/".join("d" * 20)
    deep.mkdir(parents=True)
    (deep / "own.rules").write_text("pack house\n", encoding="utf-8")
    _refused(plancheck, "This pack is nested too deeply")


def test_other_files_are_counted_and_not_read(folder: Path, plancheck: Caller) -> None:
    for number in range(MOST_ENTRIES + 5):
        (folder / f"house/{number}.txt").touch()
    _refused(plancheck, "This pack holds too much")


def test_nothing_that_a_terminal_would_obey_is_printed(folder: Path, plancheck: Caller) -> None:
    # C1 controls and bidirectional overrides are text in UTF-8; escapes and bells are no text at all.
    evil = "\u009b31m\u202etxet\u2066"
    text = HOUSE_RULE.replace("No push-buttons", f"No {evil}").replace("Take it out.", f"Take {evil}.")
    text = text.replace("House rules", f"House {evil}")
    text += f'change electrical/loop-drop {{ reason "{evil}"; limit most = 8 % }}\n'
    text += f'change egress/fire-alarm-release {{ reason "{evil}"; off }}\n'
    (folder / "house/own.rules").write_text(text, encoding="utf-8")
    for arguments in (
        ("review", "sound.plan", "--packs", "house"),
        ("rules", "--packs", "house"),
        ("rules", "show", "house/no-buttons", "--packs", "house"),
        ("rules", "trial", "house"),
    ):
        said = plancheck(*arguments).said
        assert {c for c in said if unicodedata.category(c) in ("Cc", "Cf")} <= {"\n"}
        assert "\\x9b31m" in said or "trial" in arguments
    (folder / "house/own.rules").write_text(HOUSE_RULE.replace("No push", "\x1b[31m"), encoding="utf-8")
    assert "\x1b" not in _refused(plancheck, "is not a text")


@pytest.mark.parametrize(
    "text",
    [
        "change " * 30_000,
        "change a/b {" * 20_000,
        "pack p\nchange egress/fire-alarm-release { reason " + '"x" ' * 50_000 + "}\n",
        "pack p\n" + 'change egress/fire-alarm-release { reason "r"; off }\n' * 3_000,
        'pack p\nchange egress/button-location { reason "r" ' + "limit highest = 3 in " * 5_000 + "}\n",
        "pack p\nchange " + "a" * 100_000 + "/b { off }\n",
        "house " * 50_000,
        'house "x" { packs ' + '"a", ' * 20_000 + "}\n",
    ],
    ids=range(8),
)
def test_hostile_changes_get_mistakes_and_soon(text: str, folder: Path, plancheck: Caller) -> None:
    (folder / "house/bad.rules").write_text(text, encoding="utf-8")
    _refused(plancheck, "house/bad.rules")


def test_a_hostile_company_s_file(folder: Path, plancheck: Caller) -> None:
    names = ", ".join('"p"' for _ in range(20_000))
    (folder / "plancheck.house").write_text(f'house "x" {{ packs {names} }}\n', encoding="utf-8")
    outcome = plancheck("review", "sound.plan")
    assert outcome.status == 2
    assert "This company has too many packs" in outcome.out
