"""Tasks side by side: their order, what a dying process costs, and that nothing is left running."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import time
from collections.abc import Callable
from multiprocessing import get_context

import pytest

from plancheck.cli import team
from plancheck.cli.batch import Lost, Told, cores, worked_out
from tests.cli.calling import process

Unpicklable = Callable[[], None]


def slow_first(task: int, on_progress: Told) -> tuple[int, int]:
    """The square of a number, and who worked it out; the first takes longest."""
    time.sleep(0.5 if task == 0 else 0)
    return task * task, os.getpid()


def hardly_ever(task: str, on_progress: Told) -> str | Unpicklable:
    """Dies, raises, or gives back what cannot be sent, as its task says."""
    if task == "killed":
        os.kill(os.getpid(), signal.SIGKILL)
    if task == "left":
        os._exit(3)
    if task == "fault":
        raise ZeroDivisionError
    return (lambda: None) if task == "unsendable" else f"{task} done"


def in_steps(task: int, on_progress: Told) -> int:
    """Tells that it is half done, long enough to be heard."""
    time.sleep(0.15)
    on_progress(0.5)
    time.sleep(0.05)
    return task


@pytest.fixture(params=["as here", "anew"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Processes that begin as this system prefers it, and such as begin anew."""
    if request.param == "anew":
        monkeypatch.setattr(team, "way_to_start", lambda: get_context("spawn"))
    return str(request.param)


def nothing(done: float) -> None:
    """Nobody watches."""


def test_answers_come_in_the_order_of_the_tasks(way: str) -> None:
    answers = list(worked_out(range(9), slow_first, 3, nothing))
    found = [answer for answer in answers if not isinstance(answer, Lost)]
    assert [square for square, _ in found] == [0, 1, 4, 9, 16, 25, 36, 49, 64]
    assert len({who for _, who in found} - {os.getpid()}) >= 2
    assert multiprocessing.active_children() == []


@pytest.mark.parametrize(("tasks", "processes"), [([5], 8), ([5, 6], 1)])
def test_one_task_or_one_process_needs_no_other(tasks: list[int], processes: int) -> None:
    told: list[float] = []
    assert list(worked_out(tasks, slow_first, processes, told.append)) == [(n * n, os.getpid()) for n in tasks]
    assert told == [float(n) for n in range(len(tasks))]


def test_who_dies_takes_its_own_task_and_no_other(way: str) -> None:
    tasks = ["a", "killed", "b", "left", "fault", "unsendable", "killed", "killed", "c"]
    found = list(worked_out(tasks, hardly_ever, 2, nothing))
    assert [found[0], found[2], found[8]] == ["a done", "b done", "c done"]
    why = {task: answer.why for task, answer in zip(tasks, found, strict=True) if isinstance(answer, Lost)}
    assert set(why) == {"killed", "left", "fault", "unsendable"}
    assert why["killed"] == "its process was ended by SIGKILL"
    assert why["left"] == "its process ended with status 3"
    assert why["fault"].startswith("ZeroDivisionError at cli/test_batch.py:")
    assert "pickle" in why["unsendable"] or "AttributeError" in why["unsendable"]


def test_a_fault_is_told_alike_without_other_processes() -> None:
    (found,) = worked_out(["fault"], hardly_ever, 1, nothing)
    assert isinstance(found, Lost)
    assert found.why.startswith("ZeroDivisionError at cli/test_batch.py:")


def test_progress_is_told_within_a_task_and_never_goes_back_far(way: str) -> None:
    told: list[float] = []
    assert list(worked_out([1, 2, 3, 4], in_steps, 2, told.append)) == [1, 2, 3, 4]
    assert any(done % 1 for done in told)
    assert max(told) == told[-1] == 4


def test_where_no_process_can_be_had_the_work_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise BlockingIOError

    monkeypatch.setattr(team, "_Member", full)
    assert list(worked_out([1, 2], slow_first, 2, nothing)) == [(1, os.getpid()), (4, os.getpid())]


def test_who_stops_listening_leaves_nothing_running() -> None:
    answers = worked_out(range(50), slow_first, 2, nothing)
    next(answers)
    assert len(multiprocessing.active_children()) == 2
    del answers
    assert multiprocessing.active_children() == []


def test_cores_are_those_that_may_be_used() -> None:
    one = "import os; os.sched_setaffinity(0, {min(os.sched_getaffinity(0))}); "
    asked = f"{one}from plancheck.cli.batch import cores; print(cores())"
    assert os.popen(f"{sys.executable} -c '{asked}'").read() == "1\n"
    assert cores() == len(os.sched_getaffinity(0))


def test_a_single_plan_loads_nothing_of_it() -> None:
    asked = "import sys, plancheck.cli.review_command, plancheck.cli.existing_command; print(*sys.modules)"
    loaded = os.popen(f"{sys.executable} -c '{asked}'").read().split()
    assert "plancheck.cli.batch" in loaded
    assert {"multiprocessing", "plancheck.cli.team"} & set(loaded) == set()


@pytest.mark.parametrize("wrong", ["0", "-1", "two", "1.5", "", "9999999999", "٣"])
def test_a_number_of_processes_is_a_number(wrong: str) -> None:
    outcome = process(["review", "x.plan", f"--processes={wrong}"])
    assert outcome.status == 2
    assert "is no number of processes from 1 to 1024" in outcome.err
