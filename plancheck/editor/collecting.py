"""Python's collector of rings, held back: on a large plan it would stop everything for half a second, at any moment.

What a review builds stays, and hardly any rings are among it. So what is there after a review is set aside, and only
what came since then is searched; everything is, where what was set aside has grown by half.
"""

from __future__ import annotations

import gc

MANY = 50_000
"""New objects from which on they are searched: a hundredth of a second."""
GROWN = 1.5


class Collecting:
    """Takes the collector over; the process has one."""

    def __init__(self) -> None:
        gc.disable()
        self._searched = 0
        """Objects that were set aside when everything was searched last."""

    def tidy(self) -> None:
        """Searches what is new, where that is much."""
        if gc.get_count()[0] < MANY:
            return
        if not self._searched:
            gc.freeze()
            self._searched = gc.get_freeze_count()
            return
        everything = gc.get_freeze_count() > GROWN * self._searched
        if everything:
            gc.unfreeze()
        gc.collect()
        gc.freeze()
        if everything:
            self._searched = gc.get_freeze_count()
