"""Where the company's own file is looked for, and the folders that it names."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from plancheck.finding import Mistake
from plancheck.library.files import ReadFile, read_text, shown_name
from plancheck.library.refusal import UsageError
from plancheck.rulebook.house import House, read_house
from plancheck.source import Source, Span

L = TypeVar("L")
HOUSE_FILE = "plancheck.house"
"""Looked for beside a plan, and above it up to the folder that is reviewed, or that is worked in."""


@dataclass(frozen=True, slots=True)
class HouseFolders:
    """A company's file with the folders of its packs, those that are there, and all that is wrong about it."""

    house: House
    folders: tuple[Path, ...] = ()
    troubles: tuple[tuple[Source, Mistake], ...] = ()


def house_of(plan: Path, given: Sequence[str]) -> Path | None:
    """The company's file that a plan is held to: the nearest from its own folder up to the topmost of these:

    a folder given that holds the plan, and the folder that is worked in, where that holds it. So it is the same file
    however a plan below that folder is named.
    """
    top = _top(plan, given)
    return next((file for folder, file in _upwards(plan) if folder.is_relative_to(top)), None)


def house_above(plan: Path, given: Sequence[str]) -> Path | None:
    """The nearest company's file that stands too far up to be obeyed."""
    top = _top(plan, given)
    return next((file for folder, file in _upwards(plan) if not folder.is_relative_to(top)), None)


def _top(plan: Path, given: Sequence[str]) -> Path:
    home = Path(os.path.abspath(plan)).parent
    folders = [Path(os.path.abspath(text)) for text in given if os.path.isdir(text)]
    with suppress(OSError):  # The folder that is worked in may have been taken away meanwhile.
        folders.append(Path.cwd())
    holding = [folder for folder in folders if home.is_relative_to(folder)]
    return min(holding, key=lambda folder: len(folder.parts), default=home)


def _upwards(plan: Path) -> Iterator[tuple[Path, Path]]:
    """Every company's file beside a plan and above it, the nearest first: its folder, and the file as it is shown."""
    home, here = Path(os.path.abspath(plan)).parent, plan.parent
    for folder in (home, *home.parents):
        if os.path.isfile(folder / HOUSE_FILE):
            yield folder, here / HOUSE_FILE
        here = here.parent if here.name not in ("", "..") else here / ".."


def named_house(text: str) -> Path:
    """The file named on the command line."""
    if not os.path.isfile(text):
        raise UsageError(f"--house: “{text}” is no file.")
    return Path(text)


def read_house_file(path: Path, read: ReadFile = read_text) -> HouseFolders:
    """A company's file and its packs."""
    source, mistake = read(path, "")
    if mistake is not None:
        return HouseFolders(House(source), (), ((source, mistake),))
    house, mistakes = read_house(source)
    folders: list[Path] = []
    root = Path(os.path.realpath(path.parent))
    for name, at in house.folders:
        reason = _unfit(name, path.parent, root)
        if reason:
            expected = "a folder under that of this file"
            mistakes.append(Mistake(at, f"The pack “{name}” cannot be had", reason, expected, _near(name, path.parent)))
        else:
            folders.append(path.parent / name)
    return HouseFolders(house, tuple(folders), tuple((source, each) for each in mistakes))


def _unfit(name: str, home: Path, root: Path) -> str:
    """Why a name is not that of a pack's folder."""
    if not name.strip() or not name.isprintable():
        return "no name of a folder"
    real = Path(os.path.realpath(home / name))
    if name.startswith(("/", "\\", "~")) or not real.is_relative_to(root):
        return "a folder outside that of this file"
    if real == root:
        return "the folder of this file itself"
    return "" if real.is_dir() else "no such folder"


def _near(name: str, home: Path) -> str:
    from plancheck.nearest import did_you_mean

    return did_you_mean(name, sorted(_folders(home)))


def _folders(home: Path) -> Iterator[str]:
    try:
        yield from (entry.name for entry in os.scandir(home) if entry.is_dir())
    except OSError:
        return


class ByHouse(Generic[L]):
    """A library for each company's file that plans are held to, loaded when the first of them is met."""

    def __init__(
        self,
        load: Callable[..., L],
        packs: Sequence[str],
        named: str | None,
        given: Sequence[str],
        read: ReadFile = read_text,
    ) -> None:
        self._load, self._packs, self._given, self._read = load, packs, given, read
        self._named = named_house(named) if named is not None else None
        self._known: dict[str, L] = {}

    def __reduce__(self) -> tuple[object, ...]:
        """Sent to another process, it loads there what it is asked for: a library holds what cannot be sent."""
        named = str(self._named) if self._named is not None else None
        return ByHouse, (self._load, self._packs, named, self._given, self._read)

    def of(self, plan: Path) -> L:
        """The library for a plan."""
        return self._at(self._named or house_of(plan, self._given))

    def above(self, plan: Path) -> str:
        """The file above a plan that is held to none, where there is one that was not obeyed."""
        if self._named or house_of(plan, self._given):
            return ""
        file = house_above(plan, self._given)
        return shown_name(file) if file else ""

    def all(self, plans: Sequence[Path]) -> list[L]:
        """Those for some plans; without any, the one that no company's file says anything about."""
        libraries = [self.of(plan) for plan in plans] or [self._at(self._named)]
        return list({id(library): library for library in libraries}.values())

    def _at(self, file: Path | None) -> L:
        key = os.path.realpath(file) if file else ""
        if key not in self._known:
            house = read_house_file(file, self._read) if file else None
            self._known[key] = self._load(self._packs, house)
        return self._known[key]


def names_of(mistakes: Sequence[tuple[str, Span]], known: Sequence[str]) -> list[Mistake]:
    """Mistakes for packs that a company adopts and that are not at hand."""
    from plancheck.nearest import did_you_mean

    expected = "the name of a pack that “packs” or --packs gives"
    return [
        Mistake(at, f"There is no pack “{name}” to adopt", f"“{name}”", expected, did_you_mean(name, known))
        for name, at in mistakes
        if name not in known
    ]
