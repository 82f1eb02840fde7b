"""The README's examples are run, and print what it says they print."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from plancheck.cli.main import main
from tests.frame.readme import CHECKOUT, README, Command, File, shell_lines, steps


def test_examples_print_what_is_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    ran = 0
    for step in steps():
        if isinstance(step, File):
            (tmp_path / step.name).parent.mkdir(parents=True, exist_ok=True)
            (tmp_path / step.name).write_text(step.text, encoding="utf-8")
            continue
        name, *arguments = step.words
        assert name == "plancheck"
        main(arguments)
        out, err = capsys.readouterr()
        assert err == ""
        assert _shown(out, step) == step.printed
        ran += 1
    assert ran >= 2


def _shown(out: str, step: Command) -> str:
    """What is printed; where the README leaves lines out by `[…]`, so does this."""
    if "[…]\n" not in step.printed:
        return out
    first, *between, last = step.printed.split("[…]\n")
    assert out.startswith(first)
    assert out.endswith(last)
    rest = out[len(first) :]
    for part in between:
        assert part in rest
        rest = rest[rest.index(part) + len(part) :]
    return step.printed


def test_it_shows_a_plan_a_rule_and_a_correction_list() -> None:
    endings = {Path(step.name).suffix for step in steps() if isinstance(step, File)}
    assert {".plan", ".rules"} <= endings


def test_commands_to_copy_name_what_is_there() -> None:
    lines = shell_lines()
    assert any("plancheck review samples/" in line for line in lines)
    assert any(line.endswith("./check") for line in lines)
    assert os.access(CHECKOUT / "check", os.X_OK)
    assert "./check" in (CHECKOUT / ".ci" / "run").read_text(encoding="utf-8")


def test_the_caution_is_stated() -> None:
    text = " ".join(README.read_text(encoding="utf-8").split())
    assert "authority having jurisdiction decides" in text
    assert "check local code" in text
    assert "own listings and instructions govern" in text
