"""The rules and device kinds of one run: the shipped ones, and those of in-house packs."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import Path

from plancheck.finding import Mistake
from plancheck.library.files import ReadFile, read_text, shown_name
from plancheck.library.house import HouseFolders, names_of
from plancheck.library.pack_shelf import Loaded, PackShelf
from plancheck.library.packs import PackFiles, checked_texts, named_folder, pack_files
from plancheck.plan.kinds import Kinds, load_kinds
from plancheck.review.adopted import Adopted, PackNote
from plancheck.review.report import PlanReport, unread
from plancheck.rulebook.changed import applying
from plancheck.rulebook.fitting_kinds import fitting
from plancheck.rulebook.load import load_rules
from plancheck.rulebook.rule import Rule, Rulebook
from plancheck.shipped import rules_folder
from plancheck.source import Source

Troubles = list[tuple[Source, Mistake]]


@dataclass(frozen=True, slots=True)
class Pack:
    """An in-house pack at hand. `why` says who adopts it for every plan; it is empty where a plan must."""

    name: str
    title: str
    why: str
    files: PackFiles
    kinds: frozenset[str]


@dataclass(frozen=True, slots=True)
class Choice:
    """What one plan is held against."""

    kinds: Kinds
    rulebook: Rulebook
    adopted: Adopted


@dataclass(frozen=True, slots=True)
class Library:
    """All that is at hand. `broken` reports each text of a pack that holds mistakes."""

    kinds: Kinds
    rulebook: Rulebook
    """With the rules of every pack at hand, and none changed."""
    broken: tuple[PlanReport, ...]
    packs: frozenset[str]
    folders: tuple[Path, ...]
    files: frozenset[str]
    """Real paths of the in-house files: they are no plans to review."""
    at_hand: tuple[Pack, ...] = ()
    house: str = ""
    """Company and name of its file."""
    _choices: dict[frozenset[str], Choice] = field(default_factory=dict, compare=False, repr=False)

    def rules_of(self, folder: str) -> list[Rule]:
        """The rules that stand in an in-house folder."""
        real = os.path.realpath(folder)
        names = {s.name for pack in self.at_hand if pack.files.real == real for s in pack.files.rules}
        return [rule for rule in self.rulebook.rules if rule.at.source.name in names]

    def choice(self, adopts: Iterable[str] = ()) -> Choice:
        """What holds for a plan that adopts these packs."""
        wanted = frozenset(adopts)
        if wanted not in self._choices:
            self._choices[wanted] = self._chosen(wanted)
        return self._choices[wanted]

    def _chosen(self, adopts: frozenset[str]) -> Choice:
        applied = [pack for pack in self.at_hand if pack.why or pack.name in adopts]
        if not self.at_hand:
            return Choice(self.kinds, self.rulebook, Adopted(house=self.house))
        others = {kind: pack.name for pack in self.at_hand if pack not in applied for kind in pack.kinds}
        notes = tuple(PackNote(pack.name, pack.title, pack.why or "adopted by the plan") for pack in applied)
        texts = tuple(text for pack in applied for text in pack.files.texts)
        book = applying(self.rulebook, {pack.name for pack in applied})
        return Choice(self.kinds.without(others), book, Adopted(notes, texts, self.house))


def load_library(folders: Sequence[str], house: HouseFolders | None = None, read: ReadFile = read_text) -> Library:
    """The shipped rules and kinds with those of the folders, and of the packs of a company's file.

    A folder that is none, or holds nothing of a pack, is wrong usage; in a company's file it is a mistake.
    """
    named = [named_folder(folder) for folder in dict.fromkeys(folders)]
    troubles: Troubles = list(house.troubles) if house else []
    packs: dict[str, PackFiles] = {}
    for folder in named + list(house.folders if house else ()):
        found = pack_files(folder, named=folder in named, read=read)
        if packs.setdefault(found.real, found) is found:
            troubles += found.troubles
    return _Loading(troubles, tuple(packs.values()), frozenset(map(os.path.realpath, named)), house).library()


class _Loading:
    def __init__(
        self, troubles: Troubles, packs: tuple[PackFiles, ...], named: frozenset[str], house: HouseFolders | None
    ) -> None:
        self.troubles, self.packs, self.named, self.house = troubles, packs, named, house
        shipped = rules_folder()
        self.kind_sources = self._shipped(sorted(shipped.glob("kinds/*.plan")), shipped.parent)
        self.rule_sources = self._shipped(sorted(shipped.rglob("*.rules")), shipped.parent)

    def _shipped(self, paths: Sequence[Path], home: Path) -> list[Source]:
        read = [read_text(path, shown_name(path.relative_to(home))) for path in paths]
        self.troubles += [(source, mistake) for source, mistake in read if mistake]
        return [source for source, mistake in read if not mistake]

    def loaded(self) -> Loaded:
        if self.troubles or not self.packs:
            return self.read()
        own_kinds = [source for pack in self.packs for source in pack.kinds]
        own_rules = [source for pack in self.packs for source in pack.rules]
        every = [*self.kind_sources, *own_kinds], [*self.rule_sources, *own_rules]
        return PackShelf(*every, own_kinds, own_rules).serve(self.read)

    def read(self) -> Loaded:
        kinds, kind_mistakes = load_kinds([*self.kind_sources, *(k for pack in self.packs for k in pack.kinds)])
        if self.packs:
            kinds, misfits = fitting(kinds, {k.name for pack in self.packs for k in pack.kinds})
            kind_mistakes += misfits
        folder_of = {source.name: pack.shown for pack in self.packs for source in pack.rules}
        rule_sources = [*self.rule_sources, *(source for pack in self.packs for source in pack.rules)]
        # Kinds of packs that fit change nothing of what a shipped rule asks.
        book, rule_mistakes = load_rules(rule_sources, kinds, known_right=True, folder_of=folder_of)
        return kinds, book, kind_mistakes + rule_mistakes

    def library(self) -> Library:
        kinds, book, wrong = self.loaded()
        at_hand = tuple(self.pack(files, book, kinds) for files in self.packs)
        names = sorted({pack.name for pack in at_hand} | set(book.packs))
        adopted = names_of(self.house.house.adopts, names) if self.house else []
        texts = [mistake for pack in at_hand for mistake in checked_texts(pack.files, kinds)]
        mistakes = [mistake for _, mistake in self.troubles] + wrong + adopted + texts
        return Library(
            kinds,
            book,
            _by_source(mistakes),
            frozenset(names),
            tuple(pack.folder for pack in self.packs),
            frozenset(file for pack in self.packs for file in pack.paths),
            at_hand,
            f"{self.house.house.company}: {self.house.house.source.name}" if self.house else "",
        )

    def pack(self, files: PackFiles, book: Rulebook, kinds: Kinds) -> Pack:
        names = {source.name for source in files.kinds}
        own_kinds = frozenset(kind.name for kind in kinds.by_name.values() if kind.at.source.name in names)
        name = book.pack_of_folder.get(files.shown, Path(files.real).name)
        why = "named by --packs" if files.real in self.named else ""
        if not why and self.house and name in dict(self.house.house.adopts):
            why = f"adopted by {self.house.house.source.name}"
        return Pack(name, book.packs.get(name, "") if name in book.in_house else "", why, files, own_kinds)


def _by_source(mistakes: Sequence[Mistake]) -> tuple[PlanReport, ...]:
    ordered = sorted(mistakes, key=lambda mistake: mistake.at.order)
    groups = (list(group) for _, group in groupby(ordered, key=lambda mistake: mistake.at.source.name))
    return tuple(unread(group[0].at.source, tuple(group)) for group in groups)
