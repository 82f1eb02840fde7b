"""A folder reviewed by one process and by several: the same words, the same plans, nothing left running."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.bench.doors import building
from tests.cli.calling import CHECKOUT, Outcome, process
from tests.cli.plans import FAULTY, HOUSE_RULE, NOTED, SOUND

ANEW = """
import sys
from multiprocessing import get_context
from plancheck.cli import team
from plancheck.cli.main import main
team.way_to_start = lambda: get_context("spawn")
if __name__ == "__main__":
    sys.exit(main())
"""
"""The command, with processes that begin anew as they do on other systems."""

DEADLY = """
import os, signal, sys
from plancheck.cli import reviewing
from plancheck.cli.main import main
whole = reviewing.review_text

def deadly(source, *rest, **named):
    if source.name.endswith("b.plan"):
        os.kill(os.getpid(), signal.SIGKILL)
    return whole(source, *rest, **named)

reviewing.review_text = deadly
sys.exit(main())
"""
"""The command, of which a process dies over `b.plan`, as it does where memory runs out."""


def _run(program: str, *arguments: str | Path, cwd: Path) -> Outcome:
    """Another program than `plancheck`, in a file of its own."""
    script = cwd / "program.py"
    script.write_text(program, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, script, *map(str, arguments)],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(CHECKOUT)},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    return Outcome(done.returncode, done.stdout, done.stderr)


@pytest.mark.parametrize("form", [["text", "--full"], ["json"], ["sarif"]], ids=lambda form: str(form[0]))
def test_the_same_words_from_one_process_and_from_several(form: list[str], tmp_path: Path) -> None:
    asked = ["review", CHECKOUT / "samples", "--as-of", "2026-11-25", "--as", *form, "--processes"]
    alone, together = process([*asked, "1"], tmp_path), process([*asked, "3"], tmp_path)
    assert (alone.status, alone.err) == (1, "")
    assert together == alone
    if form == ["json"]:  # it holds all that the others are made of
        assert _run(ANEW, *asked, "2", cwd=tmp_path) == alone


EASED = """
change egress/button-location {
    reason    "seats on wheels"
    limit     lowest = 34 in
}
"""
"""A finding of every plan, at a place in a text that all of them share."""


def test_the_same_words_of_plans_that_share_a_pack(tmp_path: Path) -> None:
    (tmp_path / "house").mkdir()
    (tmp_path / "house" / "house.rules").write_text(HOUSE_RULE + EASED, encoding="utf-8")
    for name, text in (("a", FAULTY), ("b", SOUND), ("c", NOTED)):
        (tmp_path / f"{name}.plan").write_text(text, encoding="utf-8")
    for form in ("text", "json", "sarif"):
        asked = ["review", ".", "--packs", "house", "--as", form, "--processes"]
        alone = process([*asked, "1"], tmp_path)
        assert alone.status == 1
        assert "egress/button-location" in alone.out
        assert process([*asked, "3"], tmp_path) == alone


def test_a_plan_whose_process_dies_does_not_pass_and_no_other_suffers(tmp_path: Path) -> None:
    for name, text in (("a", FAULTY), ("b", SOUND), ("c", NOTED), ("d", SOUND)):
        (tmp_path / f"{name}.plan").write_text(text, encoding="utf-8")
    asked = ["review", ".", "--as", "json", "--processes"]
    outcome = _run(DEADLY, *asked, "2", cwd=tmp_path)
    assert (outcome.status, outcome.err) == (2, "")
    told = {plan["file"]: plan for plan in json.loads(outcome.out)["plans"]}
    whole = {plan["file"]: plan for plan in json.loads(process([*asked, "1"], tmp_path).out)["plans"]}
    lost = told.pop("b.plan")
    (finding,) = lost["findings"]
    assert finding["headline"] == "The review of “b.plan” was cut short: nothing in it was assessed"
    assert finding["found"] == "its process was ended by SIGKILL"
    assert "--processes" in finding["remedy"]
    assert lost["rules_run"] == []
    del whole["b.plan"]
    assert told == whole
    assert len(told["a.plan"]["findings"]) > 0


def test_texts_for_others_to_use_are_reviewed_where_nobody_used_them(tmp_path: Path) -> None:
    """By hand: `used` belongs to the plan. Of those that no plan uses, `m` uses `n` behind it, and `z` uses `y`
    before it, which has had its turn by then."""
    texts = {
        "a.plan": SOUND + 'use "used.plan"\n',
        "m.plan": 'use "n.plan"\n',
        "n.plan": "# for others\n",
        "used.plan": "# for others\n",
        "y.plan": "# for others\n",
        "z.plan": 'use "y.plan"\n',
    }
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    for processes in ("1", "2"):
        outcome = process(["review", ".", "--as", "json", "--processes", processes], tmp_path)
        assert [plan["file"] for plan in json.loads(outcome.out)["plans"]] == ["a.plan", "m.plan", "y.plan", "z.plan"]


# --- the command is stopped --------------------------------------------------------------------------------------


def _children(parent: int) -> list[int]:
    found = []
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            status = (folder / "stat").read_text()
        except OSError:  # it has ended meanwhile
            continue
        if int(status.rpartition(")")[2].split()[1]) == parent:
            found.append(int(folder.name))
    return found


def _is_there(number: int) -> bool:
    try:
        status = Path(f"/proc/{number}/stat").read_text()
    except OSError:
        return False
    return status.rpartition(")")[2].split()[0] != "Z"


def _until(condition: Callable[[], bool], seconds: float = 20.0) -> bool:
    end = time.monotonic() + seconds
    while not condition() and time.monotonic() < end:
        time.sleep(0.02)
    return condition()


@pytest.fixture
def busy(tmp_path: Path) -> Path:
    """A folder whose review takes far longer than a test waits."""
    for name in ("a", "b", "c"):
        (tmp_path / f"{name}.plan").write_text(building(1_000), encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("how", ["from the terminal", "to the command alone", "without a last word"])
def test_a_command_that_is_stopped_leaves_nothing_running(how: str, busy: Path) -> None:
    run = subprocess.Popen(
        [sys.executable, "-m", "plancheck", "review", str(busy), "--processes", "2", "--to", str(busy / "letter")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(CHECKOUT)},
        start_new_session=True,
    )
    assert _until(lambda: len(_children(run.pid)) == 2)
    members = _children(run.pid)
    if how == "from the terminal":
        os.killpg(run.pid, signal.SIGINT)
    else:
        run.send_signal(signal.SIGINT if how == "to the command alone" else signal.SIGKILL)
    out, err = run.communicate(timeout=20)
    assert out == b""
    if how == "without a last word":
        assert run.returncode == -signal.SIGKILL
    else:
        assert run.returncode == 2
        assert err == b"plancheck: stopped before the end; nothing was assessed.\n"
    assert _until(lambda: not any(map(_is_there, members)))
    assert sorted(path.name for path in busy.iterdir()) == ["a.plan", "b.plan", "c.plan"]
