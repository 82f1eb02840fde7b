"""`plancheck compare` from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from plancheck.cli.main import main
from tests.review.planned import HEADER
from tests.review.test_acceptance import ONE_LOCK


def _plan(folder: Path, name: str, text: str) -> str:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_nothing_changed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old = _plan(tmp_path, "old.plan", HEADER + ONE_LOCK)
    new = _plan(tmp_path, "new.plan", HEADER.replace('"A"', '"B"') + ONE_LOCK)
    assert main(["compare", old, old]) == 0
    assert main(["compare", old, new]) == 0
    out = capsys.readouterr().out
    assert out.count("No electrical change") == 2
    assert "Title block" in out


def test_something_changed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old = _plan(tmp_path, "old.plan", HEADER + ONE_LOCK)
    new = _plan(tmp_path, "new.plan", HEADER + ONE_LOCK.replace("EB1:NC", "EB1:NO"))
    assert main(["compare", old, new]) == 1
    out = capsys.readouterr().out
    assert "EB1:NO joined to ML1:+; EB1:NC no longer joined to ML1:+" in out
    assert "check local code" in out
    assert main(["compare", old, new, "--as", "json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["changed"] is True
    assert told["connections"] == [{"stayed": ["ML1:+"], "joined": ["EB1:NO"], "left": ["EB1:NC"]}]
    to = tmp_path / "changes.txt"
    assert main(["compare", old, new, "--to", str(to)]) == 1
    assert "EB1:NO joined" in to.read_text(encoding="utf-8")


def test_what_cannot_be_read_is_no_sameness(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old = _plan(tmp_path, "old.plan", HEADER + ONE_LOCK)
    broken = _plan(tmp_path, "broken.plan", HEADER + ONE_LOCK + "wire ML9:+ to PS1:+\n")
    assert main(["compare", old, broken]) == 2
    assert "ML9" in capsys.readouterr().err
    assert main(["compare", old, str(tmp_path / "none.plan")]) == 2
    assert "none.plan" in capsys.readouterr().err
    unjudged = _plan(tmp_path, "unjudged.plan", HEADER + ONE_LOCK.replace("rated 24 Vdc, 250 mA", ""))
    assert main(["compare", unjudged, unjudged]) == 2


def test_wrong_usage(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old = _plan(tmp_path, "old.plan", HEADER + ONE_LOCK)
    assert main(["compare", old]) == 2
    assert "two revisions" in capsys.readouterr().err
    assert main(["compare", old, str(tmp_path)]) == 2
    assert "is a folder" in capsys.readouterr().err
    assert main(["compare", old, old, old]) == 2
    assert "one plan too many" in capsys.readouterr().err
    assert main(["compare", old, old, "--to", old]) == 2
    assert "would be overwritten" in capsys.readouterr().err
