"""Many plans on all cores: one process a core, a plan at a time, answers in the order of the plans.

A process that dies takes down its own plan and no other: what came of that is what `failed` says of it.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from multiprocessing import get_all_start_methods, get_context
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import Generic, TypeVar

Task = TypeVar("Task")
Result = TypeVar("Result")


def cores() -> int:
    """How many processes can run at once here."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def on_all_cores(
    tasks: Sequence[Task],
    work: Callable[[Task], Result],
    failed: Callable[[Task], Result],
    processes: int,
    on_done: Callable[[int], None],
) -> list[Result]:
    """What `work` makes of each task. `on_done` is told how many are done.

    One task, one core, or a machine that cannot copy a process: all in this one, which `work` need not know.
    """
    processes = min(processes, len(tasks))
    if processes < 2 or "fork" not in get_all_start_methods():
        return list(_one_by_one(tasks, work, on_done))
    team = _Team(tasks, work, processes)
    try:
        return team.results(failed, on_done)
    finally:
        team.dismiss()


def _one_by_one(
    tasks: Sequence[Task], work: Callable[[Task], Result], on_done: Callable[[int], None]
) -> Iterator[Result]:
    for number, task in enumerate(tasks):
        yield work(task)
        on_done(number + 1)


class _Team(Generic[Task, Result]):
    """Processes that are copies of this one: what has been loaded is there in each of them."""

    def __init__(self, tasks: Sequence[Task], work: Callable[[Task], Result], processes: int) -> None:
        self.tasks, self.work = tasks, work
        self.waiting = list(range(len(tasks)))[::-1]
        self.busy: dict[Connection, tuple[int, BaseProcess]] = {}
        for _ in range(processes):
            self._begin()

    def _begin(self) -> None:
        """One more process, with the next task."""
        if not self.waiting:
            return
        context = get_context("fork")
        here, there = context.Pipe()
        process = context.Process(target=self._serve, args=(there, here), daemon=True)
        process.start()
        there.close()
        self._give(here, process)

    def _serve(self, pipe: Connection, other: Connection) -> None:
        """The life of a process: a number in, an answer out. Who stops the command stops it, not this."""
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        other.close()
        while True:
            try:
                number = pipe.recv()
            except EOFError:
                return
            pipe.send(self.work(self.tasks[number]))

    def _give(self, pipe: Connection, process: BaseProcess) -> None:
        number = self.waiting.pop()
        self.busy[pipe] = number, process
        pipe.send(number)

    def results(self, failed: Callable[[Task], Result], on_done: Callable[[int], None]) -> list[Result]:
        found: dict[int, Result] = {}
        while self.busy:
            for pipe in wait(list(self.busy)):
                assert isinstance(pipe, Connection)
                number, process = self.busy.pop(pipe)
                try:
                    found[number] = pipe.recv()
                except (EOFError, OSError):
                    found[number] = failed(self.tasks[number])
                    pipe.close()
                    self._begin()
                else:
                    if self.waiting:
                        self._give(pipe, process)
                    else:
                        pipe.close()
                on_done(len(found))
        return [found[number] for number in range(len(self.tasks))]

    def dismiss(self) -> None:
        """End what still runs: after a stop, nothing is left behind."""
        for pipe, (_, process) in self.busy.items():
            process.terminate()
            pipe.close()
