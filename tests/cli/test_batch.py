"""Many plans on all cores: the same answers in the same order, a process that dies, a command that is stopped."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from html.parser import HTMLParser
from pathlib import Path

import pytest

from plancheck.cli.batch import on_all_cores
from plancheck.cli.main import main
from tests.review.planned import HEADER
from tests.review.test_acceptance import ONE_LOCK

SAMPLES = Path(__file__).parents[2] / "samples"


def test_answers_come_in_the_order_of_the_tasks() -> None:
    done: list[int] = []

    def slow_first(task: int) -> tuple[int, int]:
        time.sleep(0.05 if task == 0 else 0)
        return task * task, os.getpid()

    found = on_all_cores(list(range(9)), slow_first, lambda task: (-1, 0), 3, done.append)
    assert [square for square, _ in found] == [n * n for n in range(9)]
    assert len({process for _, process in found}) >= 2
    assert os.getpid() not in {process for _, process in found}
    assert done == list(range(1, 10))


def test_one_task_or_one_process_needs_no_other() -> None:
    assert on_all_cores([1], lambda _: os.getpid(), lambda _: 0, 4, lambda _: None) == [os.getpid()]
    assert on_all_cores([1, 2], lambda _: os.getpid(), lambda _: 0, 1, lambda _: None) == [os.getpid()] * 2


def test_a_process_that_dies_takes_its_own_task_alone() -> None:
    def deadly(task: int) -> str:
        if task in (1, 4):
            os.kill(os.getpid(), signal.SIGKILL)
        return f"done {task}"

    found = on_all_cores(list(range(6)), deadly, lambda task: f"lost {task}", 2, lambda _: None)
    assert found == ["done 0", "lost 1", "done 2", "done 3", "lost 4", "done 5"]


def test_a_plan_whose_process_dies_does_not_pass(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from plancheck.cli import review_command

    for name in ("a", "b", "c"):
        (tmp_path / f"{name}.plan").write_text(HEADER + ONE_LOCK, encoding="utf-8")
    whole = review_command.review_text

    def deadly(source, *rest, **named):  # type: ignore[no-untyped-def]
        if source.name.endswith("b.plan"):
            os.kill(os.getpid(), signal.SIGKILL)
        return whole(source, *rest, **named)

    monkeypatch.setattr(review_command, "review_text", deadly)
    assert main(["review", str(tmp_path), "--processes", "2"]) == 2
    out = capsys.readouterr().out
    assert "plancheck itself failed" in out
    assert out.count("ML1") > 2


@pytest.mark.parametrize("form", ["text", "json", "sarif"])
def test_the_same_words_whether_one_by_one_or_at_once(form: str, tmp_path: Path) -> None:
    answers = []
    for processes in ("1", "2"):
        to = tmp_path / f"{form}-{processes}"
        assert main(["review", str(SAMPLES), "--as", form, "--to", str(to), "--processes", processes]) == 1
        answers.append(to.read_bytes())
    assert answers[0] == answers[1]


def test_a_command_that_is_stopped_leaves_nothing_running(tmp_path: Path) -> None:
    for number in range(12):
        (tmp_path / f"{number}.plan").write_text((SAMPLES / "quay-house.plan").read_text("utf-8"), encoding="utf-8")
    command = [sys.executable, "-m", "plancheck", "review", str(tmp_path), "--processes", "2"]
    started = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True)
    time.sleep(1.2)
    os.killpg(started.pid, signal.SIGINT)
    _, said = started.communicate(timeout=30)
    if started.returncode != 0:  # a machine so quick that it was done before
        assert started.returncode == 2
        assert b"stopped before the end" in said
        assert b"Traceback" not in said
    with pytest.raises(ProcessLookupError):
        os.killpg(started.pid, 0)


class _Table(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.scripts = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "tr":
            self.rows.append([])
        elif tag in ("td", "th"):
            self.rows[-1].append("")
        self.scripts += tag == "script"

    def handle_data(self, data: str) -> None:
        if self.rows and self.rows[-1]:
            self.rows[-1][-1] += data


def test_the_index_counts_what_the_review_finds(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    hostile = HEADER.replace("Test bench", "<script>alert(1)</script> & more") + ONE_LOCK
    (tmp_path / "a.plan").write_text(hostile, encoding="utf-8")
    (tmp_path / "b.plan").write_text((SAMPLES / "rear-exit-faulty.plan").read_text("utf-8"), encoding="utf-8")
    (tmp_path / "c.plan").write_bytes(b"\xff\xfe")
    index = tmp_path / "index.html"
    assert main(["review", str(tmp_path), "--index", str(index)]) == 2
    table = _Table()
    table.feed(index.read_text(encoding="utf-8"))
    assert table.scripts == 1
    _, first, second, third = table.rows
    assert first[0] == "<script>alert(1)</script> & more"
    # As README's way of counting has it: 7 errors, 6 of them life safety, 1 warning.
    assert second[4:9] == ["7", "6", "1", "0", "0"]
    assert third[-1].startswith("not read")
    assert "7 errors (6 life safety), 1 warning" in capsys.readouterr().out


def test_an_index_that_cannot_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = tmp_path / "a.plan"
    plan.write_text(HEADER + ONE_LOCK, encoding="utf-8")
    for index, told in (
        (str(tmp_path), "--index: "),
        (str(tmp_path / "none" / "index.html"), "does not exist"),
        (str(plan), "is a plan to review"),
    ):
        assert main(["review", str(plan), "--index", index]) == 2
        assert told in capsys.readouterr().err
    same = str(tmp_path / "same")
    assert main(["review", str(plan), "--index", same, "--to", same]) == 2
    assert "is what --to names" in capsys.readouterr().err
    assert main(["review", str(plan), "--processes", "none"]) == 2
    assert "no number of processes" in capsys.readouterr().err
