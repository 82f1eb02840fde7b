"""Plans that use a text: it is checked as a part of them."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator, Sequence
from itertools import islice
from pathlib import Path

from plancheck.library.files import ReadFile, is_shared

MOST_LOOKED_AT = 200
"""Plans of one folder that are looked at."""
MOST_HOSTS = 8
DEEPEST = 8
_USE = re.compile(r'^\s*use\s+"([^"\r\n]*)"', re.MULTILINE)


def hosts(path: Path, folders: Sequence[Path], read: ReadFile) -> list[Path]:
    """Plans that use a text, itself or by what they use, beside it or above it as far as a folder that is open."""
    return list(islice(_hosts(path, lambda: _places(path, folders), read, frozenset()), MOST_HOSTS))


def _hosts(path: Path, places: Callable[[], Iterator[Path]], read: ReadFile, seen: frozenset[str]) -> Iterator[Path]:
    real = os.path.realpath(path)
    if real in seen or len(seen) > DEEPEST:
        return
    for folder in places():
        for plan in islice(sorted(folder.glob("*.plan")), MOST_LOOKED_AT):
            source, mistake = read(plan, "")
            if mistake is not None or real not in _used(plan, source.text):
                continue
            if is_shared(source):
                yield from _hosts(plan, places, read, seen | {real})
            else:
                yield plan


def _used(plan: Path, text: str) -> set[str]:
    """Real paths of the files that a plan says it uses."""
    wanted = (match[1] for match in _USE.finditer(text))
    return {os.path.realpath(plan.parent / name) for name in wanted if name.isprintable()}


def _places(path: Path, folders: Sequence[Path]) -> Iterator[Path]:
    """The folder of a text, and those above it within a folder that is open."""
    yield path.parent
    within = [folder for folder in folders if path.is_relative_to(folder)]
    for folder in path.parents[1:] if within else ():
        if any(folder.is_relative_to(top) for top in within):
            yield folder
