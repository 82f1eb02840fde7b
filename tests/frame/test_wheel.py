"""The wheel works away from its checkout: rules and grammars travel inside it."""

from __future__ import annotations

import os
import subprocess
import sys
import venv
from pathlib import Path

import pytest

from tests.cli.calling import Outcome
from tests.frame.readme import CHECKOUT

PLAN = """\
plan "Kestrel Wharf boat school, paint store"
revision "A" dated 2026-11-02
supply PS1 { output 24 Vdc, 1 A; class 2 }
cable C1 { conductors 2 of 18 AWG; length 40 ft }
wire PS1:+ to PS1:- in C1/red
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fresh environment with the wheel in it; the libraries are lent from this one."""
    folder = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check"]
    build = ["wheel", "--no-deps", "--no-build-isolation", "--wheel-dir", str(folder), str(CHECKOUT)]
    subprocess.run([*pip, *build], check=True, capture_output=True)
    home = folder / "fresh"
    venv.create(home, with_pip=False)
    python = home / "bin" / "python"
    (wheel,) = folder.glob("*.whl")
    install = ["--python", str(python), "install", "--no-deps", "--no-index", str(wheel)]
    subprocess.run([*pip, *install], check=True, capture_output=True)
    (site,) = home.glob("lib/python*/site-packages")
    (site / "lent.pth").write_text("\n".join(p for p in sys.path if p.endswith("site-packages")))
    return home / "bin"


def _run(program: Path, *arguments: str, cwd: Path) -> Outcome:
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
    done = subprocess.run([program, *arguments], cwd=cwd, env=environment, capture_output=True, text=True, check=False)
    return Outcome(done.returncode, done.stdout, done.stderr)


def test_it_is_the_wheel_that_is_used(installed: Path, tmp_path: Path) -> None:
    asked = "import plancheck.shipped as s; print(s.__file__); print(s.rules_folder())"
    where = _run(installed / "python", "-c", asked, cwd=tmp_path).out.split()
    assert all(str(installed.parent) in line for line in where)


def test_rules_travel_inside(installed: Path, tmp_path: Path) -> None:
    # Run where the checkout stands: Python finds the package beside it.
    here = _run(Path(sys.executable), "-m", "plancheck", "rules", cwd=CHECKOUT)
    there = _run(installed / "plancheck", "rules", cwd=tmp_path)
    assert (there.status, there.err) == (0, "")
    assert "egress/fire-alarm-release" in there.out
    assert there.out == here.out


def test_it_reviews_from_another_folder(installed: Path, tmp_path: Path) -> None:
    (tmp_path / "a.plan").write_text(PLAN, encoding="utf-8")
    (tmp_path / "b.plan").write_text(PLAN, encoding="utf-8")
    outcome = _run(installed / "plancheck", "review", ".", "--index", "index.html", "--processes", "2", cwd=tmp_path)
    assert outcome.err == ""
    page = (tmp_path / "index.html").read_text(encoding="utf-8")
    assert "</style>" in page
    assert "aria-sort" in page.partition("<script>")[2]
    assert "electrical/dead-short" in outcome.out
    assert outcome.status in (1, 2)
