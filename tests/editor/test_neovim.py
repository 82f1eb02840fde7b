"""A plan typed in Neovim (from Debian), set up as the README says. What its terminal shows is kept as snapshots.

The words that must be on a screen are asserted; the snapshots fix how the rest looks.
"""

from __future__ import annotations

import os
import re
import stat
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion

import plancheck
from tests.editor.plans import SHED
from tests.editor.terminal import Terminal

CHECKOUT = Path(plancheck.__file__).resolve().parent.parent


def readme_snippet() -> str:
    """What the README says to put into `init.lua`."""
    page = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    match = re.search(r"```lua\n(.*?)```", page, re.DOTALL)
    assert match is not None
    return match[1]


@pytest.fixture
def neovim(tmp_path: Path) -> Iterator[Terminal]:
    """The editor with the plan open, the README's lines in its `init.lua`."""
    (tmp_path / "shed.plan").write_text(SHED, encoding="utf-8")
    own = (Path(__file__).parent / "init.lua").read_text(encoding="utf-8")
    (tmp_path / "init.lua").write_text(own + readme_snippet(), encoding="utf-8")
    command = tmp_path / "bin" / "plancheck"
    command.parent.mkdir()
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m plancheck "$@" --as-of 2026-11-25\n', encoding="utf-8")
    command.chmod(command.stat().st_mode | stat.S_IXUSR)
    env = {
        **os.environ,
        "PATH": f"{command.parent}{os.pathsep}{os.environ['PATH']}",
        "PYTHONPATH": str(CHECKOUT),
        "HOME": str(tmp_path),
        "XDG_STATE_HOME": str(tmp_path / "state"),
    }
    terminal = Terminal(["nvim", "-u", "init.lua", "-i", "NONE", "shed.plan"], tmp_path, env)
    yield terminal
    terminal.close()


def test_open_mistake_rename_and_layout(neovim: Terminal, snapshot: SnapshotAssertion) -> None:
    neovim.shows(lambda screen: "boat school, shed" in screen)
    # The strike's return is led to a supply that is not there, at the end of the last wire.
    neovim.types("G$F1r9")
    mistaken = neovim.shows(lambda screen: "PS9:-" in screen and "<<" in screen and "PS9" in screen.split("<<")[-1])
    assert mistaken == snapshot(name="a mistake while it is typed")
    neovim.types("r1")
    mended = neovim.shows(lambda screen: "PS1:-" in screen.splitlines()[16] and "PS9" not in screen)
    assert mended == snapshot(name="and mended")
    neovim.types("gg/SB1\r:lua vim.lsp.buf.rename('PB7')\r")
    renamed = neovim.shows(lambda screen: screen.count("PB7") >= 3 and "SB1 {" not in screen)
    assert "wire PS1:+ to PB7:COM" in renamed
    assert "wire PB7:NO to ES1:+" in renamed
    assert renamed == snapshot(name="another name")
    neovim.types(":8s/    //e | 9s/^    //e | 10s/^    //e\r")
    neovim.shows(lambda screen: "\n 10 interior" in screen or "interior" in screen)
    neovim.types(":lua (vim.lsp.buf.format or vim.lsp.buf.formatting_sync)()\r")
    laid_out = neovim.shows(lambda screen: bool(re.search(r"\d+     interior", screen)))
    assert laid_out == snapshot(name="laid out")


def test_a_fix_is_chosen_and_the_finding_goes(neovim: Terminal, snapshot: SnapshotAssertion) -> None:
    neovim.shows(lambda screen: "boat school, shed" in screen)
    neovim.types(":%s/; suppression built in//\r")
    found = neovim.shows(lambda screen: "Nothing limits" in screen)
    assert found == snapshot(name="a coil without suppression")
    neovim.types("gg/electric-strike\r:lua vim.lsp.buf.code_action()\r")
    offered = neovim.shows(lambda screen: "Put a diode across ES1" in screen and "Type number" in screen)
    assert offered == snapshot(name="what can be done about it")
    neovim.types("1\r")
    mended = neovim.shows(lambda screen: "D2:cathode to ES1:+" in screen and "Nothing limits" not in screen)
    assert "diode D2 { rated 400 V, 1 A }" in mended
    assert "wire D2:anode to ES1:-" in mended
    assert mended == snapshot(name="a diode across the coil")
