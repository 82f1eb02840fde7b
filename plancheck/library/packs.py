"""The files of an in-house pack: which there are, of what sort, and that none of them leads out of it.

A pack comes from anywhere: links out of it are refused, so are files that are none, and there is an end to their
number. Nothing in a pack is run.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from plancheck.finding import Mistake
from plancheck.library.files import IncludeReader, ReadFile, is_shared, read_text, refused, shown_name
from plancheck.library.refusal import UsageError, reason
from plancheck.plan.kinds import Kinds
from plancheck.plan.resolve import resolve
from plancheck.source import Source

MOST_FILES = 200
"""Texts of one pack."""
MOST_CHARACTERS = 4_000_000
"""Of all its texts."""
MOST_ENTRIES = 5_000
"""Files and folders of any sort that are looked at for them."""
DEEPEST_FOLDER = 8
_KIND = re.compile(r"^kind\b", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class PackFiles:
    """The texts of a pack's folder. `paths` are real ones of all its files, sample plans among them."""

    folder: Path
    real: str
    rules: tuple[Source, ...] = ()
    kinds: tuple[Source, ...] = ()
    texts: tuple[Source, ...] = ()
    """Devices and typicals."""
    paths: tuple[str, ...] = ()
    troubles: tuple[tuple[Source, Mistake], ...] = ()

    @property
    def shown(self) -> str:
        """The folder as it is shown."""
        return shown_name(self.folder)


def named_folder(text: str) -> Path:
    """A folder named on the command line."""
    folder = Path(text)
    try:
        with_entries = folder.is_dir() and list(folder.iterdir()) is not None
    except (OSError, ValueError) as trouble:
        raise UsageError(f"--packs: “{shown_name(folder)}” cannot be read: {reason(trouble)}.") from None
    if not with_entries:
        raise UsageError(f"--packs: “{shown_name(folder)}” is no folder.")
    return folder


def pack_files(folder: Path, *, named: bool, read: ReadFile = read_text) -> PackFiles:
    """What stands in a folder; where that is nothing of a pack, a folder `named` by hand is wrong usage."""
    troubles: list[tuple[Source, Mistake]] = []
    paths = list(_inside(folder, troubles))
    sources = list(_read(folder, paths, troubles, read))
    if not paths and not troubles:
        said = f"“{shown_name(folder)}” holds no rules (.rules) and no device kinds (.plan)"
        if named:
            raise UsageError(f"{said}.")
        troubles.append(refused(Source(shown_name(folder), ""), said, "neither", "a pack"))
    plans = [source for source in sources if source.name.endswith(".plan")]
    return PackFiles(
        folder,
        os.path.realpath(folder),
        tuple(source for source in sources if source.name.endswith(".rules")),
        tuple(filter(_declares_kinds, plans)),
        tuple(source for source in plans if not _declares_kinds(source) and is_shared(source)),
        tuple(os.path.realpath(path) for path in paths),
        tuple(troubles),
    )


def _read(
    folder: Path, paths: Iterable[Path], troubles: list[tuple[Source, Mistake]], read: ReadFile
) -> Iterator[Source]:
    """The texts of some files, as many as a pack may hold."""
    characters = 0
    for path in paths:
        source, mistake = read(path, "")
        source.of_pack = True
        characters += len(source.text)
        if characters > MOST_CHARACTERS:
            troubles.append(_too_much(folder, "This pack holds too much", f"{MOST_CHARACTERS:,} characters"))
            return
        if mistake is not None:
            troubles.append((source, mistake))
        else:
            yield source


def _declares_kinds(source: Source) -> bool:
    return "kinds/" in source.name or _KIND.search(source.text) is not None


def checked_texts(files: PackFiles, kinds: Kinds) -> list[Mistake]:
    """What is wrong with the devices and typicals of a pack, whether a plan speaks of them or not."""
    if not files.texts:
        return []
    nobody = Source(f"{files.shown}/", "")
    include = IncludeReader(files.folder / "nobody", nobody, [files.folder], files.texts)
    return [mistake for mistake in resolve(nobody, kinds, include, files.texts)[1] if mistake.at.source is not nobody]


def _inside(folder: Path, troubles: list[tuple[Source, Mistake]]) -> Iterator[Path]:
    """Texts of a pack, sorted; whatever is none of it, or too much, is told."""

    def unreadable(trouble: OSError) -> None:
        name = shown_name(trouble.filename or folder)
        troubles.append(refused(Source(name, ""), f"“{name}” cannot be read: {reason(trouble)}"))

    root, looked_at, taken = Path(os.path.realpath(folder)), 0, 0
    for here, folders, files in os.walk(folder, onerror=unreadable):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        looked_at += len(folders) + len(files)
        if len(Path(here).relative_to(folder).parts) >= DEEPEST_FOLDER and folders:
            folders.clear()
            troubles.append(_too_much(here, "This pack is nested too deeply", f"{DEEPEST_FOLDER} folders deep"))
        for name in sorted(name for name in files if name.endswith((".plan", ".rules"))):
            taken += 1
            wrong = _refusal(Path(here, name), root)
            if wrong:
                troubles.append(wrong)
            elif taken <= MOST_FILES:
                yield Path(here, name)
        if looked_at > MOST_ENTRIES or taken > MOST_FILES:
            said = f"{MOST_FILES} texts and {MOST_ENTRIES:,} files of any sort"
            troubles.append(_too_much(folder, "This pack holds too much", said))
            return


def _too_much(place: str | Path, headline: str, most: str) -> tuple[Source, Mistake]:
    return refused(Source(shown_name(place), ""), headline, "more", f"at most {most}")


def _refusal(path: Path, root: Path) -> tuple[Source, Mistake] | None:
    """What is told of a path that is no file of the pack."""
    name = shown_name(path)
    real = os.path.realpath(path)
    if not Path(real).is_relative_to(root):
        return refused(Source(name, ""), f"“{name}” leads out of its pack")
    if not os.path.isfile(real):
        return refused(Source(name, ""), f"“{name}” is no file")
    return None
