"""A bar on standard error while work takes long, on a terminal only."""

from __future__ import annotations

import sys
import time
from types import TracebackType

_QUIET_FOR = 0.7
_BETWEEN = 0.1
_CELLS = 24


class Progress:
    """Shows how much of `total` is done, from the time on at which it begins to feel long."""

    def __init__(self, total: int, what: str) -> None:
        self._total = max(total, 1)
        self._what = what
        self._next = time.monotonic() + _QUIET_FOR
        self._terminal = sys.stderr.isatty()
        self._drawn = False

    def __enter__(self) -> Progress:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._drawn:
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()

    def at(self, done: float) -> None:
        """Says how much is done."""
        if not self._terminal or time.monotonic() < self._next:
            return
        self._next = time.monotonic() + _BETWEEN
        share = min(done / self._total, 1.0)
        full = round(share * _CELLS)
        bar = "█" * full + "░" * (_CELLS - full)
        try:
            sys.stderr.write(f"\r{self._what} {bar} {share:4.0%}\x1b[K")
            sys.stderr.flush()
        except (OSError, UnicodeEncodeError):
            self._terminal = False
            return
        self._drawn = True
