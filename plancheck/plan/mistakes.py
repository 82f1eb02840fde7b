"""The mistakes of one plan as they are found: each place told once, and a limit on how many are told."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import islice

from plancheck.finding import Mistake
from plancheck.nearest import did_you_mean
from plancheck.source import Span

MOST_MISTAKES = 1_000
"""Mistakes told of one plan's meaning; past them one more says that there are others."""
MOST_COMPARISONS = 200_000
"""Names compared in search of near ones. A plan where every name is wrong needs no hint at each."""


class Mistakes:
    """A growing list of mistakes. A typical placed fifty times tells its mistake once.

    Of a part of a plan, `whole` gives the names of the whole, by what they are the names of.
    """

    def __init__(self, whole: Mapping[str, Sequence[str]] | None = None) -> None:
        self.told: list[Mistake] = []
        self.whole = whole or {}
        self.asked_whole = False
        """Whether something told hangs on names of the whole plan."""
        self._seen: set[tuple[str, int, int, str]] = set()
        self.comparisons = 0
        """Names looked at in search of near ones."""

    def add(
        self,
        at: Span,
        headline: str,
        found: str = "",
        expected: str = "",
        hint: str = "",
        also_at: tuple[Span, ...] = (),
    ) -> None:
        """Notes a mistake, unless its place is known to have it."""
        key = (at.source.name, at.start, at.end, expected)
        if key in self._seen or len(self.told) > MOST_MISTAKES:
            return
        self._seen.add(key)
        if len(self.told) == MOST_MISTAKES:
            headline, found, expected, also_at = "There are more mistakes", f"{MOST_MISTAKES:,} up to here", "", ()
            hint = "Mend the first ones."
        self.told.append(Mistake(at, headline, found, expected, hint, also_at))

    def known(self, what: str, own: Iterable[str]) -> Sequence[str]:
        """Names of the whole plan, of devices, say; `own` are those at hand, which are all unless this is a part."""
        self.asked_whole = True
        return self.whole[what] if what in self.whole else list(own)

    def hint(self, name: str, names: Collection[str]) -> str:
        """The nearest of some names to one that is not among them, or nothing."""
        self.comparisons += len(names)
        wanted = self.comparisons <= MOST_COMPARISONS and len(self.told) < MOST_MISTAKES
        return did_you_mean(name, names) if wanted else ""


def listed(names: Iterable[str], most: int = 16) -> str:
    """Names with commas between, the first ones where there are many."""
    shown = list(islice(names, most + 1))
    return ", ".join(shown[:most]) + (" …" if len(shown) > most else "")
