"""One task after another, on as many cores as there are; answers in the order of the tasks, whatever order they end in.

A process that dies takes its own task with it and no other. Work that raises, or that dies, is answered by `Lost`.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TypeVar

from plancheck.library.own_fault import where_raised

Task = TypeVar("Task")
Result = TypeVar("Result")

Told = Callable[[float], None]
"""Is told how much is done."""
Work = Callable[[Task, Told], Result]
"""Works out one task, and tells how much of it is done, from 0 to 1.

What is common to all tasks is loaded before, and belongs to the work: where the system can copy a process as it is,
every process has it from the start. Elsewhere the work is pickled, as tasks and results are everywhere.
"""


@dataclass(frozen=True, slots=True)
class Lost:
    """What stands for the result of a task that was not worked out; `why` says what happened to it."""

    why: str


def cores() -> int:
    """How many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def worked_out(
    tasks: Sequence[Task], work: Work[Task, Result], processes: int, on_progress: Told
) -> Iterator[Result | Lost]:
    """What comes of each task; `on_progress` is told how many are done.

    One task, or one process, is worked out here: to start another takes time, and memory.
    """
    if min(processes, len(tasks)) < 2:
        return _one_by_one(tasks, work, on_progress)
    from plancheck.cli.team import Team

    return Team(tasks, work, min(processes, len(tasks))).results(on_progress)


def _one_by_one(
    tasks: Sequence[Task], work: Work[Task, Result], on_progress: Told
) -> Generator[Result | Lost, None, None]:
    with clearing_up() as clear_up:
        for number, task in enumerate(tasks):
            if number:
                clear_up()
            on_progress(number)
            yield tried(work, task, lambda share, before=number: on_progress(before + share))  # type: ignore[misc]


def tried(work: Work[Task, Result], task: Task, on_progress: Told) -> Result | Lost:
    """What comes of a task. A fault of ours takes down one task alone, and is told as one."""
    try:
        return work(task, on_progress)
    except Exception as fault:
        return Lost(where_raised(fault))


@contextmanager
def clearing_up() -> Iterator[Callable[[], None]]:
    """What takes away the rings that a task leaves behind, between one task and the next.

    What is there already, and what stays after a task, is not searched again: a search through all that was loaded
    takes as long as the review of a small plan.
    """

    def clear_up() -> None:
        gc.collect()
        gc.freeze()

    gc.freeze()
    try:
        yield clear_up
    finally:
        gc.unfreeze()
