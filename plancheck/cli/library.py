"""The rules and device kinds of one run: the shipped ones, and those of the folders named by --packs."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import groupby
from pathlib import Path

from plancheck.cli.files import files_of_pack, read_text, shown_name
from plancheck.cli.output import reason
from plancheck.cli.pack_shelf import Loaded, PackShelf
from plancheck.cli.parser import UsageError
from plancheck.finding import Mistake
from plancheck.plan.kinds import Kinds, load_kinds
from plancheck.review.report import PlanReport, unread
from plancheck.rulebook.load import load_rules
from plancheck.rulebook.rule import Rule, Rulebook
from plancheck.shipped import rules_folder
from plancheck.source import Source

_KIND = re.compile(r"^kind\b", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Library:
    """What plans are held against. `broken` reports each text of a pack that holds mistakes."""

    kinds: Kinds
    rulebook: Rulebook
    broken: tuple[PlanReport, ...]
    packs: frozenset[str]
    folders: tuple[Path, ...]
    files: frozenset[str]
    """Real paths of the in-house files: they are no plans to review."""
    own_sources: Mapping[str, frozenset[str]]
    """Names of the rule files of each in-house folder, as shown."""

    def rules_of(self, folder: str) -> list[Rule]:
        """The rules that stand in an in-house folder."""
        return [rule for rule in self.rulebook.rules if rule.at.source.name in self.own_sources[str(Path(folder))]]


def load_library(folders: Sequence[str]) -> Library:
    """The shipped rules and kinds with those of the folders. A folder without either is wrong usage."""
    pack_folders = tuple(_pack_folder(folder) for folder in dict.fromkeys(folders))
    troubles: list[tuple[Source, Mistake]] = []
    shipped = rules_folder()
    kind_sources = _read(sorted(shipped.glob("kinds/*.plan")), troubles, shipped.parent)
    rule_sources = _read(sorted(shipped.rglob("*.rules")), troubles, shipped.parent)
    shipped_kinds, shipped_rules = len(kind_sources), len(rule_sources)
    own: list[Path] = []
    own_sources: dict[str, frozenset[str]] = {}
    for folder in pack_folders:
        plans, rules = _files(folder, ".plan", troubles), _files(folder, ".rules", troubles)
        if not plans and not rules:
            raise UsageError(f"“{shown_name(folder)}” holds no rules (.rules) and no device kinds (.plan).")
        kind_sources += filter(_declares_kinds, _read(plans, troubles))
        read = _read(rules, troubles)
        rule_sources += read
        own_sources[str(folder)] = frozenset(source.name for source in read)
        own += plans + rules
    load = partial(_loaded, kind_sources, rule_sources)
    if troubles or not pack_folders:
        kinds, rulebook, wrong = load(not pack_folders)
    else:
        shelf = PackShelf(kind_sources, rule_sources, kind_sources[shipped_kinds:], rule_sources[shipped_rules:])
        kinds, rulebook, wrong = shelf.serve(load)
    mistakes = [mistake for _, mistake in troubles] + wrong
    named = {folder.resolve().name for folder in pack_folders}
    return Library(
        kinds,
        rulebook,
        _by_source(mistakes),
        frozenset(named | set(rulebook.packs)),
        pack_folders,
        frozenset(str(path.resolve()) for path in own),
        own_sources,
    )


def _loaded(kind_sources: Sequence[Source], rule_sources: Sequence[Source], known_right: bool) -> Loaded:
    kinds, kind_mistakes = load_kinds(kind_sources)
    rulebook, rule_mistakes = load_rules(rule_sources, kinds, known_right=known_right)
    return kinds, rulebook, kind_mistakes + rule_mistakes


def _declares_kinds(source: Source) -> bool:
    """Whether a text of a pack is one of kinds; the others hold devices and typicals for plans to `use`."""
    return "kinds/" in source.name or _KIND.search(source.text) is not None


def _pack_folder(text: str) -> Path:
    folder = Path(text)
    try:
        with_entries = folder.is_dir() and list(folder.iterdir()) is not None
    except (OSError, ValueError) as trouble:
        raise UsageError(f"--packs: “{shown_name(folder)}” cannot be read: {reason(trouble)}.") from None
    if not with_entries:
        raise UsageError(f"--packs: “{shown_name(folder)}” is no folder.")
    return folder


def _files(folder: Path, ending: str, troubles: list[tuple[Source, Mistake]]) -> list[Path]:
    files, refused = files_of_pack(folder, ending)
    troubles += refused
    return files


def _read(paths: Sequence[Path], troubles: list[tuple[Source, Mistake]], home: Path | None = None) -> list[Source]:
    sources = []
    for path in paths:
        source, mistake = read_text(path, shown_name(path.relative_to(home) if home else path))
        if mistake is None:
            sources.append(source)
        else:
            troubles.append((source, mistake))
    return sources


def _by_source(mistakes: Sequence[Mistake]) -> tuple[PlanReport, ...]:
    ordered = sorted(mistakes, key=lambda mistake: mistake.at.order)
    groups = (list(group) for _, group in groupby(ordered, key=lambda mistake: mistake.at.source.name))
    return tuple(unread(group[0].at.source, tuple(group)) for group in groups)
