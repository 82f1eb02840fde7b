"""`plancheck fair-copy`: which files it touches, and what it says."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.calling import CHECKOUT, Caller

ROUGH, FAIR = "fuse   F1{rated 1 A}\n", "fuse F1 { rated 1 A }\n"


def test_files_are_laid_out_and_named(tmp_path: Path, plancheck: Caller) -> None:
    rough, fair, rules = tmp_path / "a.plan", tmp_path / "b.plan", tmp_path / "c.rules"
    rough.write_text(ROUGH, encoding="utf-8")
    fair.write_text(FAIR, encoding="utf-8")
    rules.write_text("pack   p\n", encoding="utf-8")
    rough.chmod(0o640)
    told = plancheck("fair-copy", tmp_path, "--tell")
    assert told.status == 1
    assert told.out.split() == [rough.as_posix(), rules.as_posix()]
    assert rough.read_text(encoding="utf-8") == ROUGH
    done = plancheck("fair-copy", tmp_path)
    assert (done.status, done.out) == (0, told.out)
    assert rough.read_text(encoding="utf-8") == FAIR
    assert rules.read_text(encoding="utf-8") == "pack p\n"
    assert stat.S_IMODE(rough.stat().st_mode) == 0o640
    assert plancheck("fair-copy", tmp_path, "--tell").status == 0


def test_what_cannot_be_had_is_told(tmp_path: Path, plancheck: Caller) -> None:
    (tmp_path / "a.plan").write_bytes(b"\xff\xfe")
    told = plancheck("fair-copy", tmp_path / "a.plan", tmp_path / "missing.plan")
    assert told.status == 2
    assert "a.plan” is not written in UTF-8" in told.err
    assert "missing.plan” cannot be read" in told.err


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ((), "Say what to lay out"),
        (("-", "a.plan"), "- stands alone"),
        (("a.plan", "--as", "plan"), "--as belongs to -"),
    ],
)
def test_usage(options: tuple[str, ...], words: str, plancheck: Caller) -> None:
    told = plancheck("fair-copy", *options)
    assert told.status == 2
    assert words in told.err


def test_standard_input_to_standard_output() -> None:
    for form, text, wanted in (("plan", ROUGH, FAIR), ("rules", "pack   p\r\n", "pack p\r\n")):
        done = subprocess.run(
            [sys.executable, "-m", "plancheck", "fair-copy", "-", "--as", form],
            input=text.encode(),
            capture_output=True,
            env={**os.environ, "PYTHONPATH": str(CHECKOUT)},
            check=True,
        )
        assert done.stdout.decode() == wanted
