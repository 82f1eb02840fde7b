"""One plan under review: an open one, or one that uses an open text."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from plancheck.editor.libraries import Libraries
from plancheck.editor.rule_links import rule_links
from plancheck.editor.texts import Texts
from plancheck.finding import Finding, Mistake
from plancheck.library.files import IncludeReader, refused, shown_name
from plancheck.library.load import Choice, Library
from plancheck.library.own_fault import own_fault
from plancheck.library.refusal import UsageError
from plancheck.plan.adopt import adopted_by
from plancheck.plan.kinds import Kinds
from plancheck.review.again import Again, Reviewed, Superseded
from plancheck.review.report import reading_finding
from plancheck.review.worked import Worked
from plancheck.rulebook.read import RulesFile
from plancheck.rulebook.rule import Rulebook
from plancheck.source import Source
from plancheck.syntax.reread import Readings, ReadText


@dataclass(frozen=True, slots=True, eq=False)
class Rules:
    """Files of rules as they were loaded: those around an open one, it among them."""

    kinds: Kinds
    rulebook: Rulebook
    files: Sequence[RulesFile]


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """What a review came to: findings in every text of a plan, and what was worked out."""

    findings: Sequence[Finding]
    worked: Worked
    texts: Mapping[str, ReadText]
    """Every text that was read, by its name."""
    used: frozenset[str]
    """Real paths of all files that it hangs on, those that are not there among them."""
    library: Library | None = None
    choice: Choice | None = None
    links: Mapping[str, str] = field(default_factory=dict)
    """Addresses of the rules' pages."""
    rules: Rules | None = None
    """Of a file of rules."""

    @property
    def sources(self) -> list[Source]:
        """All that it was worked out from."""
        files = self.rules.files if self.rules else ()
        return [*(text.source for text in self.texts.values()), *(file.source for file in files)]


class PlanDesk:
    """Reviews of one plan, of which only what has changed is worked out again."""

    def __init__(self, path: Path, libraries: Libraries, texts: Texts, readings: Readings, today: date | None) -> None:
        self.path, self.real = path, os.path.realpath(path)
        self._libraries, self._texts, self._readings, self._today = libraries, texts, readings, today
        self._again: Again | None = None
        self._links: tuple[object, Mapping[str, str]] = (None, {})

    def review(self, check: Callable[[], None]) -> Outcome:
        """The plan reviewed as it stands. What `check` raises ends it."""
        source, mistake = self._texts.read(self.path, shown_name(self.path))
        if mistake is not None:
            return self._unread(source, mistake)
        try:
            return self._reviewed(source, check)
        except Superseded:
            raise
        except UsageError as trouble:
            return self._unread(source, refused(source, str(trouble))[1])
        # The last guard of “nothing passes unassessed”: a fault of ours must not look like a plan in order.
        except Exception as fault:
            self._again = None
            return self._unread(source, own_fault(source, fault))

    def _reviewed(self, source: Source, check: Callable[[], None]) -> Outcome:
        library = self._libraries.of(self.path)
        choice = library.choice(adopted_by(source))
        again = self._again
        if again is None or again.rulebook is not choice.rulebook or again.kinds is not choice.kinds:
            again = self._again = Again(
                choice.kinds,
                choice.rulebook,
                packs=library.packs,
                adopted=choice.adopted,
                read=self._readings.read,
            )
        include = IncludeReader(self.path, source, library.folders, choice.adopted.texts, self._texts.read)
        reviewed = again.review(source, include, self._today or date.today(), lambda done, total: check())
        return self._outcome(reviewed, include, library, choice)

    def _outcome(self, reviewed: Reviewed, include: IncludeReader, library: Library, choice: Choice) -> Outcome:
        if self._links[0] is not choice.rulebook and any(f.rule in choice.rulebook.by_id for f in reviewed.findings):
            self._links = choice.rulebook, rule_links(choice.rulebook)
        return Outcome(
            [*(finding for report in library.broken for finding in report.findings), *reviewed.findings],
            reviewed.worked,
            {text.source.name: text for text in reviewed.texts},
            frozenset({self.real, *map(str, include.used)}),
            library,
            choice,
            self._links[1],
        )

    def _unread(self, source: Source, mistake: Mistake) -> Outcome:
        return Outcome((reading_finding(mistake),), Worked(), {}, frozenset({self.real}))
