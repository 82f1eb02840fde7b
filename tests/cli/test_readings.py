"""`plancheck readings` from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from plancheck.cli.main import main
from tests.review.planned import HEADER
from tests.review.test_acceptance import ONE_LOCK

HEAD = "condition,from,to,reading V\n"


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "bench.plan"
    path.write_text(HEADER + ONE_LOCK, encoding="utf-8")
    return path


def _sheet(plan: Path, text: str) -> str:
    path = plan.with_name("filled.csv")
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_all_within(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["readings", str(plan), _sheet(plan, HEAD + ",ML1:+,ML1:-,23.6\n")]) == 0
    out = capsys.readouterr().out
    assert "1 reading, 1 as the plan has them, 0 outside" in out
    assert out.index("prove dead") < out.index("1 reading")


def test_some_outside(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = _sheet(plan, HEAD + ",ML1:+,ML1:-,23.6\nEB1.pressed on,ML1:+,ML1:-,23.6\n")
    assert main(["readings", str(plan), sheet]) == 1
    assert "EB1:COM–NC welded: explains 2 of 2" in capsys.readouterr().out


def test_json(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = _sheet(plan, HEAD + "EB1.pressed on,ML1:+,ML1:-,23.6\n")
    assert main(["readings", str(plan), sheet, "--as", "json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["explanations"][0]["what"] == "EB1:COM–NC welded"
    assert told["readings"][0]["within"] is False


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (HEAD + ",ML1:+,ML1:-,much\n", "“much” is no reading"),
        ("a,b\n1,2\n", "The sheet has no column"),
        ("", "is empty"),
        ("\x00", "is not a text"),
    ],
)
def test_odd_sheets(plan: Path, text: str, told: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["readings", str(plan), _sheet(plan, text)]) == 2
    printed = capsys.readouterr()
    assert told in " ".join(printed.err.split())
    assert printed.out == ""


def test_wrong_usage(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["readings", str(plan)]) == 2
    assert "which sheet" in capsys.readouterr().err
    assert main(["readings", str(plan), str(plan.parent)]) == 2
    assert "is a folder" in capsys.readouterr().err
    sheet = _sheet(plan, HEAD + ",ML1:+,ML1:-,23.6\n")
    assert main(["readings", str(plan), sheet, "--to", sheet]) == 2
    assert "would be overwritten" in capsys.readouterr().err
    assert main(["readings", str(plan.with_name("none.plan")), sheet]) == 2
    assert "none.plan" in capsys.readouterr().err
