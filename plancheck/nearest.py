"""The nearest name to a misspelt one."""

from __future__ import annotations

from collections.abc import Iterable


def nearest(name: str, names: Iterable[str]) -> str | None:
    """The name most like `name`, or None where nothing is near."""
    from difflib import get_close_matches

    by_fold: dict[str, str] = {}
    for candidate in names:
        by_fold.setdefault(candidate.casefold(), candidate)
    close = get_close_matches(name.casefold(), by_fold, n=1, cutoff=0.6)
    return by_fold[close[0]] if close else None


def did_you_mean(name: str, names: Iterable[str]) -> str:
    """A hint naming the nearest name, or nothing."""
    near = nearest(name, names)
    return f"Did you mean “{near}”?" if near is not None else ""
