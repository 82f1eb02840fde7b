"""A file of rules that is open: what loading it says, and whether its rules do on their examples as they say."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from plancheck.editor.documents import real_of
from plancheck.editor.libraries import Libraries
from plancheck.editor.plan_desk import Outcome, Rules
from plancheck.editor.texts import Texts
from plancheck.finding import Finding, Mistake
from plancheck.library.files import refused, shown_name
from plancheck.library.load import Library, load_library
from plancheck.library.own_fault import own_fault
from plancheck.library.refusal import UsageError
from plancheck.plan.kinds import Kinds
from plancheck.review.again import Superseded
from plancheck.review.report import PlanReport, reading_finding
from plancheck.review.review import review_text
from plancheck.review.tried import trial_finding
from plancheck.review.worked import Worked
from plancheck.rulebook import nodes
from plancheck.rulebook.load import load_rules
from plancheck.rulebook.read import read_rules
from plancheck.rulebook.rule import Rule, Rulebook
from plancheck.rulebook.trial import Trial, try_example
from plancheck.shipped import rules_folder
from plancheck.source import Source


@dataclass(frozen=True, slots=True)
class _Loaded:
    """Rules and kinds with the file among them, what is wrong with them, and every file of rules."""

    kinds: Kinds
    rulebook: Rulebook
    findings: Sequence[Finding]
    sources: Sequence[Source]


class RulesDesk:
    """Loads the rules around a file, and tries those in it."""

    def __init__(self, path: Path, libraries: Libraries, texts: Texts, today: date | None) -> None:
        self.path, self.real = path, os.path.realpath(path)
        self._libraries, self._texts, self._today = libraries, texts, today
        self._right: set[str] = set()
        """Texts of rules that did on all their examples as these say."""
        self._right_beside: object = None

    def review(self, check: Callable[[], None]) -> Outcome:
        """All that is to be said of the file as it stands. What `check` raises ends it."""
        source, mistake = self._texts.read(self.path, shown_name(self.path))
        if mistake is not None:
            return self._unread(source, mistake)
        try:
            loaded = self._load()
            check()
            wrong = list(self._wrong(loaded, check))
        except Superseded:
            raise
        except UsageError as trouble:
            return self._unread(source, refused(source, str(trouble))[1])
        # The last guard: a fault of ours must not look like rules in order.
        except Exception as fault:
            return self._unread(source, own_fault(source, fault))
        library = self._libraries.of(self.path)
        rules = Rules(loaded.kinds, loaded.rulebook, [read_rules(each)[0] for each in loaded.sources])
        findings = [*loaded.findings, *map(trial_finding, wrong)]
        return Outcome(findings, Worked(), {}, frozenset({self.real}), library, library.choice(), rules=rules)

    def _unread(self, source: Source, mistake: Mistake) -> Outcome:
        return Outcome((reading_finding(mistake),), Worked(), {}, frozenset({self.real}))

    # --- loading -----------------------------------------------------------------------------------------------

    def _load(self) -> _Loaded:
        """As shipped, as a pack at hand, or, of no pack that anybody has named, with its folder as one."""
        library = self._libraries.of(self.path)
        shipped = self._shipped()
        if Path(self.real).is_relative_to(os.path.realpath(rules_folder())):
            book, mistakes = load_rules(shipped, library.kinds, known_right=True)
            return _Loaded(library.kinds, book, [reading_finding(mistake) for mistake in mistakes], shipped)
        if not os.path.isfile(self.real):
            return self._of_no_file(library.kinds, shipped)
        if not self._libraries.is_of_them(self.real, library):
            library = load_library([str(self.path.parent)], None, self._texts.read)
        return self._of_packs(library, shipped)

    def _of_no_file(self, kinds: Kinds, shipped: list[Source]) -> _Loaded:
        """A text that has not been saved yet is a pack by itself."""
        source = self._texts.read(self.path, shown_name(self.path))[0]
        source.of_pack = True
        folder = shown_name(self.path.parent)
        sources = [*shipped, source]
        book, mistakes = load_rules(sources, kinds, known_right=True, folder_of={source.name: folder})
        return _Loaded(kinds, book, [reading_finding(mistake) for mistake in mistakes], sources)

    def _of_packs(self, library: Library, shipped: list[Source]) -> _Loaded:
        own = [source for pack in library.at_hand for source in pack.files.rules]
        findings = [finding for report in library.broken for finding in report.findings]
        return _Loaded(library.kinds, library.rulebook, findings, [*shipped, *own])

    def _shipped(self) -> list[Source]:
        home = rules_folder().parent
        paths = sorted(rules_folder().rglob("*.rules"))
        return [self._texts.read(path, shown_name(path.relative_to(home)))[0] for path in paths]

    # --- trials ------------------------------------------------------------------------------------------------

    def _wrong(self, loaded: _Loaded, check: Callable[[], None]) -> Iterator[Trial]:
        """What went wrong with the examples of the file's rules.

        A rule that was right, and says what it said among the same others, is not tried again.
        """
        beside = tuple(self._beside(loaded))
        if beside != self._right_beside:
            self._right, self._right_beside = set(), beside
        for rule in (rule for rule in loaded.rulebook.rules if self._is_own(rule.at.source)):
            if rule.whole_at.text in self._right:
                continue
            wrong = [trial for trial in self._try(rule, loaded, check) if not trial.right]
            if not wrong and not rule.late:
                self._right.add(rule.whole_at.text)
            yield from wrong

    def _try(self, rule: Rule, loaded: _Loaded, check: Callable[[], None]) -> Iterator[Trial]:
        def review(example: Source) -> PlanReport:
            check()
            day = self._today or date.today()
            return review_text(example, loaded.kinds, loaded.rulebook, _alone, day, excerpt=True)

        yield from (try_example(rule, example, review) for example in rule.examples)

    def _beside(self, loaded: _Loaded) -> Iterator[str]:
        """Every text that a trial may hang on, but for the rules of the file itself."""
        yield from dict.fromkeys(kind.at.source.text for kind in loaded.kinds.by_name.values())
        for source in loaded.sources:
            if not self._is_own(source):
                yield source.text
                continue
            statements = read_rules(source)[0].statements
            others = (node for node in statements if not isinstance(node, nodes.RuleNode))
            yield from (source.text[node.start : node.end] for node in others)

    def _is_own(self, source: Source) -> bool:
        return real_of(source) == self.real


def _alone(wanted: str, by: Source) -> str:
    return "nothing: an example stands for itself"
