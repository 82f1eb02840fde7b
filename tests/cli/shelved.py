"""Packs that are kept: a folder for them, a pack with a kind and two rules, and whether it was read anew."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from plancheck.library.pack_shelf import SETTING
from plancheck.rulebook import read as rule_reading
from plancheck.syntax import read as kind_reading
from tests.cli.calling import Caller, Outcome
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


def forget() -> None:
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
    forget()
    yield tmp_path / "kept"
    forget()


Review = Callable[[], Outcome]


@pytest.fixture
def review(plancheck: Caller) -> Review:
    """Reviews the plan with the pack, as from cold."""

    def call() -> Outcome:
        forget()
        return plancheck("review", "a.plan", "--packs", "house")

    return call


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


def entries(kept: Path) -> list[Path]:
    return sorted(kept.iterdir()) if kept.is_dir() else []
