"""`plancheck rules`: the list of rules, one rule, their own examples tried, the words they may use, authors' aids."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Callable
from dataclasses import replace
from datetime import date

from plancheck.cli.author_commands import manual, new, rule_called, why, whys
from plancheck.cli.output import UNREAD, complain, page_width, takes_colour, written
from plancheck.cli.progress import Progress
from plancheck.library.house import named_house, read_house_file
from plancheck.library.load import Library, load_library
from plancheck.library.refusal import UsageError
from plancheck.render.layout import Page
from plancheck.render.paint import Paint
from plancheck.review.report import PlanReport
from plancheck.review.review import review_text
from plancheck.source import Source

FAILED = 1
"""Exit status: an example did not do what it says."""


def rules(options: Namespace) -> int:
    """Answers what is asked about the rules and returns the exit status."""
    if options.what == "new":
        return new(options)
    page = Page(page_width(options.width, sys.stdout), Paint(options.to is None and takes_colour(sys.stdout)))
    folders = [*options.packs, options.about] if options.what == "trial" and options.about else options.packs
    library = load_library(folders, None if options.house is None else read_house_file(named_house(options.house)))
    status = max(_ANSWERS[options.what](options, library, page), _mistakes(library, page))
    return status


def _mistakes(library: Library, page: Page) -> int:
    """Packs that hold mistakes are told on standard error: the answer is about the rules that stand."""
    if not library.broken:
        return 0
    from plancheck.render.text import mistakes_of

    complain(mistakes_of(library.broken, Page(page_width(None, sys.stderr))))
    return UNREAD


def _list(options: Namespace, library: Library, page: Page) -> int:
    from plancheck.render.rule_pages import rule_list

    return written(rule_list(library.rulebook.rules, page, library.choice().rulebook.cases), options.to)


def _show(options: Namespace, library: Library, page: Page) -> int:
    from plancheck.render.rule_pages import rule_page

    rule = rule_called(options.about, library)
    book = replace(library.rulebook, cases=library.choice().rulebook.cases)
    return written(rule_page(rule, book, page), options.to)


def _words(options: Namespace, library: Library, page: Page) -> int:
    from plancheck.render.rule_pages import nearest_word, word_list

    text = word_list(library.rulebook, page, options.about or "")
    if not text.strip():
        near = nearest_word(options.about, library.rulebook)
        raise UsageError(f"No rule may use the word “{options.about}”. {near}".rstrip())
    return written(text, options.to)


def _trial(options: Namespace, library: Library, page: Page) -> int:
    from plancheck.render.trial_page import trial_page
    from plancheck.rulebook.trial import try_rules

    rules = library.rules_of(options.about) if options.about else list(library.rulebook.rules)
    if options.rule is not None:
        wanted = rule_called(options.rule, library)
        rules = [rule for rule in rules if rule.id == wanted.id]
        if not rules:
            raise UsageError(f"The rule “{wanted.id}” does not stand in “{options.about}”.")
    with Progress(sum(len(rule.examples) for rule in rules), "trying") as progress:
        trials = try_rules(rules, _ExampleReview(library, progress))
    failed = not all(trial.right for trial in trials)
    told = whys(trials, library, page, every=options.rule is not None) if options.why else ""
    return written(trial_page(trials, page) + told, options.to, FAILED if failed else 0)


class _ExampleReview:
    """Reviews examples one by one. They are no whole plans: nobody asks them for a title."""

    def __init__(self, library: Library, progress: Progress) -> None:
        self._library = library
        self._progress = progress
        self._done = 0

    def __call__(self, source: Source) -> PlanReport:
        library = self._library
        self._progress.at(self._done)
        self._done += 1
        return review_text(source, library.kinds, library.rulebook, _alone, date.today(), excerpt=True)


def _alone(wanted: str, by: Source) -> str:
    return "nothing: an example stands for itself"


_ANSWERS: dict[str, Callable[[Namespace, Library, Page], int]] = {
    "list": _list,
    "show": _show,
    "words": _words,
    "trial": _trial,
    "why": why,
    "manual": manual,
}
