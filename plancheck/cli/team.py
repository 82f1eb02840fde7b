"""Processes that work out tasks side by side, each one task at a time; who is dead is told of, and replaced."""

from __future__ import annotations

import gc
import os
import pickle
import signal
import sys
import threading
import time
from collections.abc import Generator, Iterator, Sequence
from contextlib import contextmanager, suppress
from multiprocessing import get_context, parent_process
from multiprocessing.connection import Connection, wait
from typing import TYPE_CHECKING, Any, Generic

from plancheck.cli.batch import Lost, Result, Task, Told, Work, clearing_up, tried
from plancheck.library.own_fault import where_raised

if TYPE_CHECKING:  # not every system has both
    from multiprocessing.context import ForkContext, SpawnContext

_BETWEEN = 0.1
"""Seconds between two words of a process about how far it is."""
_PATIENCE = 5.0
"""Seconds to wait for the end of a process that has hung up."""


def way_to_start() -> ForkContext | SpawnContext:
    """How a process begins: as a copy of this one, which has loaded everything, where that is sound; else anew.

    A copy has one thread only: what another thread held at the time stays held in it for ever.
    """
    if sys.platform.startswith("linux") and threading.active_count() == 1:
        return get_context("fork")
    return get_context("spawn")


class Team(Generic[Task, Result]):
    """So many processes for so many tasks; they are started when there is something for them to do."""

    def __init__(self, tasks: Sequence[Task], work: Work[Task, Result], size: int) -> None:
        self._tasks, self._work, self._size = tasks, work, size
        self._begun = 0
        self._finished = 0
        self._done: dict[int, Result | Lost] = {}
        self._members: dict[Connection, _Member] = {}

    def results(self, on_progress: Told) -> Generator[Result | Lost, None, None]:
        """What comes of each task, in their order; at the end, or when nobody asks on, every process is ended."""
        try:
            for number in range(len(self._tasks)):
                while number not in self._done:
                    self._hand_out()
                    self._listen()
                    on_progress(self._finished + sum(member.share for member in self._members.values()))
                yield self._done.pop(number)
        finally:
            for member in self._members.values():
                member.end()

    def _hand_out(self) -> None:
        for member in list(self._members.values()):
            if member.number is None:
                self._give(member)
        while len(self._members) < self._size and self._begun < len(self._tasks):
            try:
                member = _Member(self._work)
            except OSError:  # no room for one more: with those that there are, or none
                break
            self._members[member.pipe] = member
            self._give(member)

    def _give(self, member: _Member) -> None:
        if self._begun == len(self._tasks):
            return
        number, self._begun = self._begun, self._begun + 1
        member.number = number
        with suppress(OSError):  # it has died meanwhile, which is heard of when it is listened to
            member.pipe.send_bytes(pickle.dumps(self._tasks[number]))

    def _listen(self) -> None:
        """Waits for the next word of anybody."""
        busy = [pipe for pipe, member in self._members.items() if member.number is not None]
        if not busy:
            number, self._begun = self._begun, self._begun + 1
            self._finish(number, tried(self._work, self._tasks[number], lambda share: None))
        for pipe in wait(busy) if busy else ():
            member = self._members[pipe]  # type: ignore[index]
            try:
                ended, said = pickle.loads(member.pipe.recv_bytes())
            except (EOFError, OSError):
                del self._members[member.pipe]
                ended, said = True, Lost(member.death())
            if ended and member.number is not None:
                self._finish(member.number, said)
            member.share, member.number = (0.0, None) if ended else (said, member.number)

    def _finish(self, number: int, result: Result | Lost) -> None:
        self._done[number] = result
        self._finished += 1


class _Member:
    """A process as it is seen from here: its pipe, the number of the task that it has, and how far it is."""

    def __init__(self, work: Work[Any, Any]) -> None:
        context = way_to_start()
        self.pipe, theirs = context.Pipe()
        self.number: int | None = None
        self.share = 0.0
        try:
            self._process = context.Process(target=_serve, args=(theirs, work), daemon=True)
            with _uninterrupted():
                self._process.start()
        except OSError:
            self.pipe.close()
            raise
        finally:
            theirs.close()

    def death(self) -> str:
        """How it died; it hung up, and has little time left for more."""
        self.pipe.close()
        self._process.join(_PATIENCE)
        self._process.kill()
        self._process.join()
        status = self._process.exitcode or 0
        if status >= 0:
            return f"its process ended with status {status}"
        with suppress(ValueError):
            return f"its process was ended by {signal.Signals(-status).name}"
        return f"its process was ended by signal {-status}"

    def end(self) -> None:
        """Ends it, whatever it does."""
        self._process.kill()
        self._process.join()
        self.pipe.close()


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Ctrl-C reaches every process of a terminal. Who works here has no word in it: it is ended with the command."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _serve(pipe: Connection, work: Work[Any, Any]) -> None:
    """The life of a process: a task in, an answer out, until it is ended."""
    gc.disable()  # as in the command that it works for
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    with clearing_up() as clear_up:
        while True:
            try:
                task = pickle.loads(pipe.recv_bytes())
                pipe.send_bytes(_answer(tried(work, task, _Word(pipe))))
            except (EOFError, OSError):
                return
            del task
            clear_up()


def _answer(result: object) -> bytes:
    try:
        return pickle.dumps((True, result))
    except Exception as fault:
        return pickle.dumps((True, Lost(where_raised(fault))))


class _Word:
    """Tells now and then how far a task is."""

    def __init__(self, pipe: Connection) -> None:
        self._pipe, self._next = pipe, time.monotonic() + _BETWEEN

    def __call__(self, share: float) -> None:
        now = time.monotonic()
        if now >= self._next:
            self._next = now + _BETWEEN
            self._pipe.send_bytes(pickle.dumps((False, share)))


def _end_with_parent() -> None:
    """A command that is ended from outside, without a chance to end others, leaves nothing running."""
    parent = parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)
