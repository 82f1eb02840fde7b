"""Reviews behind the author's back: one at a time, each given up as soon as it is of no use any longer."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any, Generic, TypeVar

from plancheck.editor.collecting import Collecting
from plancheck.review.again import Superseded

T = TypeVar("T")


class Job(Generic[T]):
    """Something to be worked out. `key` says what of: of each there is at most one."""

    def __init__(self, key: str, work: Callable[[Callable[[], None]], T], done: Callable[[T], None]) -> None:
        self.key, self.work, self.done = key, work, done
        self.dropped = False

    def check(self) -> None:
        """Called by the work now and then; raises `Superseded` where nobody waits for it any longer."""
        if self.dropped:
            raise Superseded

    def tell(self, result: T) -> None:
        """Hands over what came of it, to be called by whoever may drop it."""
        if not self.dropped:
            self.done(result)


class Background:
    """A thread that works out one job after another; `hand_over` takes what is to be called where jobs are dropped."""

    def __init__(self, hand_over: Callable[[Callable[[], None]], object]) -> None:
        self._hand_over = hand_over
        self._collecting = Collecting()
        self._waiting: dict[str, Job[Any]] = {}
        self._running: Job[Any] | None = None
        self._changed = threading.Condition()
        self._ended = False
        self._thread: threading.Thread | None = None

    def ask(self, job: Job[Any]) -> None:
        """Has a job done; an earlier one of the same key is dropped."""
        with self._changed:
            self._drop(job.key)
            self._waiting[job.key] = job
            if self._thread is None:
                # A daemon: the process must not wait for a review that nobody reads.
                self._thread = threading.Thread(target=self._run, name="reviews", daemon=True)
                self._thread.start()
            self._changed.notify()

    def drop(self, key: str) -> None:
        """Drops what waits or runs under a key."""
        with self._changed:
            self._drop(key)

    def end(self) -> None:
        """Drops everything; nothing is done any more."""
        with self._changed:
            self._ended = True
            for key in list(self._waiting):
                self._drop(key)
            if self._running is not None:
                self._running.dropped = True
            self._changed.notify()

    def _drop(self, key: str) -> None:
        waiting = self._waiting.pop(key, None)
        for job in (waiting, self._running):
            if job is not None and job.key == key:
                job.dropped = True

    def _run(self) -> None:
        while (job := self._next()) is not None:
            try:
                result = job.work(job.check)
            except Superseded:
                continue
            finally:
                self._running = None
            self._collecting.tidy()
            self._hand_over(lambda job=job, result=result: job.tell(result))  # type: ignore[misc]

    def _next(self) -> Job[Any] | None:
        with self._changed:
            self._changed.wait_for(lambda: self._ended or self._waiting)
            if self._ended:
                return None
            self._running = self._waiting.pop(next(iter(self._waiting)))
            return self._running
