"""The examples of README and DEVELOPERS are run, and print what the page says they print."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.frame.readme import CHECKOUT, PAGES, README, acted_out, shell_lines, shown_files


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_examples_print_what_is_shown(page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    commands = acted_out(page)
    assert commands
    for command in commands:
        assert command.shown == command.said


def test_it_shows_a_plan_a_rule_and_a_correction_list() -> None:
    assert {".plan", ".rules"} <= {Path(name).suffix for name in shown_files(README)}


def test_commands_to_copy_name_what_is_there() -> None:
    lines = shell_lines(README)
    assert any("plancheck review samples/" in line for line in lines)
    assert any(line.endswith("./check") for line in lines)
    assert os.access(CHECKOUT / "check", os.X_OK)
    assert "./check" in (CHECKOUT / ".ci" / "run").read_text(encoding="utf-8")


def test_the_caution_is_stated() -> None:
    text = " ".join(README.read_text(encoding="utf-8").split())
    assert "authority having jurisdiction decides" in text
    assert "check local code" in text
    assert "own listings and instructions govern" in text
