"""Programs from outside that some checks need, and what is left unchecked where one is missing."""

from __future__ import annotations

import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path


@cache
def has_simulator() -> bool:
    """Whether the circuit simulator ngspice is installed."""
    return shutil.which("ngspice") is not None


@cache
def has_gauge_converter() -> bool:
    """Whether a `units` program is installed that knows the American wire gauge (GNU units does)."""
    if shutil.which("units") is None:
        return False
    asked = subprocess.run(["units", "-t", "awg(18)", "mm"], capture_output=True, text=True, check=False)
    return asked.returncode == 0 and asked.stdout.strip().startswith("1.02")


@cache
def has_neovim() -> bool:
    """Whether the editor Neovim is installed."""
    return shutil.which("nvim") is not None


FLAGS = ["--no-sandbox", "--disable-dev-shm-usage"]
"""What the browser is told where it runs as root, and in a box with little shared memory."""


@cache
def has_chromium() -> bool:
    """Whether the browser Chromium is installed."""
    return shutil.which("chromium") is not None


@cache
def accessibility_checker() -> Path | None:
    """The script of the accessibility checker axe-core, where npm has put it beside the environment's libraries."""
    script = Path(sys.prefix) / "npm" / "node_modules" / "axe-core" / "axe.min.js"
    return script if script.is_file() else None


def not_run() -> list[str]:
    """One line for each group of checks that cannot run here; they are not collected, so never counted."""
    lines = []
    if not has_simulator():
        lines.append(
            "NOT RUN: operating points and transients against the circuit simulator (ngspice is not installed)"
        )
    if not has_neovim():
        lines.append("NOT RUN: a plan typed in a real editor (Neovim is not installed)")
    if not has_chromium():
        lines.append("NOT RUN: the pages that are handed over, in a browser (Chromium is not installed)")
    elif accessibility_checker() is None:
        lines.append("NOT RUN: accessibility of the pages (axe-core from npm is not installed)")
    if not has_gauge_converter():
        lines.append("NOT RUN: wire gauges against a second witness (GNU units is not installed)")
    return lines
