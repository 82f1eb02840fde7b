"""Every name of the rules at hand with all its places."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from plancheck.authoring.edit import Edit
from plancheck.authoring.of_rules.sites import Site, Sort, sites_of
from plancheck.authoring.of_rules.view import RulesView
from plancheck.authoring.rename import Refusal
from plancheck.rulebook.read import RulesFile
from plancheck.rulebook.vocabulary import Vocabulary
from plancheck.source import Source, Span

RENAMED = frozenset((Sort.VARIABLE, Sort.LIMIT, Sort.SITUATION, Sort.TOPIC, Sort.RULE))
_ONE_WORD = re.compile(r"[^\W\d_][\w\-]*")


@dataclass(frozen=True, slots=True)
class Found:
    """A name where it stands."""

    site: Site
    at: Span


class KnownSites:
    """The sites of files that were gone through before and are as they were."""

    def __init__(self) -> None:
        self._known: dict[str, tuple[Source, Vocabulary, list[Site]]] = {}

    def of(self, file: RulesFile, words: Vocabulary) -> list[Site]:
        """The names in a file, in order of place."""
        known = self._known.get(file.source.name)
        if known is None or known[:2] != (file.source, words):
            known = self._known[file.source.name] = file.source, words, sites_of(file, words)
        return known[2]


class RulesNames:
    """The names in all files of rules, as they stand."""

    def __init__(self, view: RulesView, known: KnownSites) -> None:
        self.view, self._known = view, known

    @property
    def own(self) -> list[Site]:
        """Those of the text itself."""
        return self._known.of(self.view.file, self.view.rulebook.vocabulary)

    def at(self, offset: int) -> Found | None:
        """The name at an offset, or that ends there."""
        around = [site for site in self.own if site.start <= offset <= site.end]
        if not around:
            return None
        site = max(around, key=lambda site: (offset < site.end, site.start))
        return Found(site, Span(self.view.source, site.start, site.end))

    def each(self, site: Site, declaration: bool = True) -> list[Found]:
        """Every place of a name, in order of text and place."""
        found = [each for each in self._same(site) if declaration or not each.site.declared]
        return sorted(found, key=lambda each: each.at.order)

    def declared(self, site: Site) -> list[Span]:
        """Where a name is declared: in rules, or, of a fact or a kind, among the kinds."""
        kinds = self.view.kinds
        if site.sort is Sort.KIND:
            kind = kinds.get(site.name)
            return [kind.at] if kind else []
        if site.sort is Sort.FACT:
            named = ((k.slots, k.constants, k.signals, k.states, k.at) for k in kinds.by_name.values())
            return [at for *where, at in named if any(site.name in names for names in where)] if _of_kinds(site) else []
        return [found.at for found in self._same(site) if found.site.declared]

    def rename(self, offset: int, new: str) -> list[Edit] | Refusal:
        """The edits that give the name at an offset another; or why it cannot be."""
        found = self.at(offset)
        if found is None or not self.renameable(found):
            return Refusal("this is not a name that these rules give")
        site = found.site
        words = new.split() if site.sort is Sort.SITUATION else [new]
        if not words or not all(_ONE_WORD.fullmatch(word) for word in words):
            return Refusal(f"“{new}” is not a name: a letter, then letters, figures, “-” or “_”")
        if self._is_taken(site, new):
            return Refusal(f"there is “{new}” already")
        return [Edit(each.at, new) for each in self.each(site)]

    def renameable(self, found: Found) -> bool:
        """Whether a name can be another: what is shipped has the name that it has."""
        places = self.declared(found.site)
        own = (at.source is self.view.source or at.source.of_pack for at in places)
        return found.site.sort in RENAMED and bool(places) and all(own)

    def _is_taken(self, site: Site, new: str) -> bool:
        wanted = f"{site.name.partition('/')[0]}/{new}" if site.sort is Sort.RULE else new
        sorts = (Sort.VARIABLE, Sort.LIMIT) if site.scope >= 0 else (site.sort,)
        own = self.own if site.scope >= 0 else [found.site for found in self._everywhere]
        rule = self._rule_around(site.start)
        return any(
            each.declared and each.sort in sorts and each.name == wanted and (site.scope < 0 or each.start in rule)
            for each in own
        )

    def _rule_around(self, offset: int) -> range:
        around = (range(n.start, n.end) for n in self.view.file.statements if n.start <= offset < n.end)
        return next(around, range(0))

    def _same(self, site: Site) -> Iterator[Found]:
        if site.scope >= 0:
            same = (s for s in self.own if (s.sort, s.name, s.scope) == (site.sort, site.name, site.scope))
            yield from (Found(s, Span(self.view.source, s.start, s.end)) for s in same)
        elif site.sort is Sort.FACT:
            assert site.word is not None
            yield from (f for f in self._everywhere if f.site.word is not None and f.site.word == site.word)
        else:
            yield from (f for f in self._everywhere if (f.site.sort, f.site.name) == (site.sort, site.name))

    @cached_property
    def _everywhere(self) -> list[Found]:
        return [found for file in self.view.whole for found in self._in(file)]

    def _in(self, file: RulesFile) -> Iterator[Found]:
        sites = self._known.of(file, self.view.rulebook.vocabulary)
        yield from (Found(site, Span(file.source, site.start, site.end)) for site in sites)


def _of_kinds(site: Site) -> bool:
    return site.word is not None and site.word.says.startswith(("declared by", "signal of", "state of"))
