"""Rules and their vocabulary as text: the list of rules, one rule in full, the words a rule may use."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby, takewhile

from plancheck.nearest import did_you_mean
from plancheck.render.basis_rows import basis_lines
from plancheck.render.changes_text import changed
from plancheck.render.columns import padded, shown, width, wrapped
from plancheck.render.layout import Page, entry, headed, plural
from plancheck.rulebook.change_cases import ChangeCase
from plancheck.rulebook.nodes import SituationNode
from plancheck.rulebook.rule import Example, Limit, Rule, Rulebook
from plancheck.rulebook.things import CLASSES, ancestry
from plancheck.rulebook.topics import Topic
from plancheck.rulebook.words import WordLine, listing

_WIDE = 90
"""From this many columns on the list of rules has a line for each."""
_EXAMPLE = re.compile(r"\s*(passes|fails)\s")
_LIFE_SAFETY = "life safety"
_SEVERITY = 22


def rule_list(rules: Sequence[Rule], page: Page, cases: Sequence[ChangeCase] = ()) -> str:
    """Every rule by its id, with severity and title as it is written; then what packs change."""
    names = max((width(rule.id) for rule in rules), default=0) + 2
    lines = [line for rule in sorted(rules, key=lambda rule: rule.id) for line in _listed(rule, names, page)]
    lines.append(plural(len(rules), "rule"))
    lines += _several("Changed", [line for case in cases for line in changed(case)], page)
    return _text(lines)


def _listed(rule: Rule, names: int, page: Page) -> Iterator[str]:
    """One line where the page is wide enough; else the title, and at last the severity too, below the id."""
    name = page.paint.strong(padded(rule.id, names))
    severity = page.paint.severity(padded(_severity(rule), _SEVERITY), rule.severity)
    if page.width >= _WIDE:
        first, *others = wrapped(rule.title, page.width - names - _SEVERITY)
        yield name + severity + first
        yield from (" " * (names + _SEVERITY) + line for line in others)
        return
    yield from [name + severity] if page.width >= names + _SEVERITY else [name, "    " + severity]
    yield from ("    " + line for line in wrapped(rule.title, page.width - 4))


def _severity(rule: Rule) -> str:
    return f"{rule.severity} · {_LIFE_SAFETY}" if rule.life_safety else str(rule.severity)


def rule_page(rule: Rule, book: Rulebook, page: Page) -> str:
    """One rule in full, with the plans on which it must stay silent or speak."""
    lines = [*headed(rule.id, page), *entry("Title", rule.title, page), *entry("Severity", _severity(rule), page)]
    title = book.packs.get(rule.pack, "")
    lines += entry("Pack", f"{rule.pack}: {title}" if title else rule.pack, page)
    if rule.only_in:
        lines += entry("Runs", f"only where the jurisdiction is {rule.only_in}, or not stated", page)
    lines += _several("Basis", list(basis_lines(rule)), page)
    lines += _several("Limit", [_limit(limit) for limit in rule.limits], page)
    cases = (case for case in book.cases if case.change.rule == rule.id)
    lines += _several("Changed", [line for case in cases for line in changed(case)], page)
    lines += entry("Known limits", rule.known_limits, page)
    lines += entry("Stands in", f"{rule.at.source.name}, line {rule.at.line}", page)
    if rule.life_safety:
        lines += entry("", "Life safety: check local code.", page)
    lines += ["", *_as_written(rule)]
    for example in rule.examples:
        lines += ["", *_example(example, page)]
    return _text(lines)


def _several(label: str, texts: Sequence[str], page: Page) -> Iterator[str]:
    for number, text in enumerate(texts):
        yield from entry("" if number else label, text, page)


def _limit(limit: Limit) -> str:
    source = f" ({limit.source})" if limit.source else ""
    return f"{limit.name} = {limit.text}{limit.where}{source}"


def _as_written(rule: Rule) -> Iterator[str]:
    """What the rule says, up to its first example."""
    first, *others = rule.whole_at.text.expandtabs(4).splitlines()
    yield shown(first)
    members = list(takewhile(lambda line: not _EXAMPLE.match(line), others))
    while members and not members[-1].strip():
        members.pop()
    yield from map(shown, members)


def _example(example: Example, page: Page) -> Iterator[str]:
    yield from map(page.paint.strong, entry("Passes" if example.passes else "Fails", example.title, page))
    for line in example.text.splitlines():
        yield "    " + shown(line.expandtabs(4))


def word_list(book: Rulebook, page: Page, word: str = "") -> str:
    """The vocabulary: forms, situations, classes, then the facts of each class; or what has to do with one word."""
    lines: list[str] = []
    for of, words in groupby(listing(book.vocabulary, word), key=lambda line: line.of):
        lines += [*headed(_heading(of), page), *(line for each in words for line in _word(each, page)), ""]
    lines += _named("Situations", {n: _situation(s) for n, s in sorted(book.situations.items())}, word, page)
    lines += _named("Tables of clauses", {n: _topic(t) for n, t in sorted(book.topics.items())}, word, page)
    return _text(lines)


def _named(heading: str, told: Mapping[str, str], word: str, page: Page) -> Iterator[str]:
    """Names with a line on each: all of them, or the one that is asked for."""
    wanted = {name: says for name, says in told.items() if not word or word.casefold() == name.casefold()}
    if wanted:
        yield from headed(heading, page)
    for name, says in wanted.items():
        yield page.paint.strong(name)
        yield from ("    " + line for line in wrapped(says, page.width - 4))
    if wanted:
        yield ""


def _topic(topic: Topic) -> str:
    clauses = (f"{clause.edition.text}, {clause.text}" for code in topic.codes() for clause in topic.of_code(code))
    return f"{topic.title}: {'; '.join(clauses)}"


def _heading(of: str) -> str:
    if of in CLASSES:
        above = ", ".join(ancestry(of)[1:])
        return f"{of}: {CLASSES[of].says}" + (f"; also has the words of {above}" if above else "")
    return "Classes of things" if of else "How a rule is said"


def _word(word: WordLine, page: Page) -> Iterator[str]:
    when = ", in each condition" if word.conditional else ""
    first, *others = wrapped(f"{word.name}  {word.type}{when}", page.width)
    yield page.paint.strong(word.name) + page.paint.quiet(first[len(word.name) :])
    yield from (page.paint.quiet(f"    {line}") for line in others)
    yield from ("    " + line for line in wrapped(word.says, page.width - 4))


def _situation(situation: SituationNode) -> str:
    settings = (
        f"{setting.role.text} {'on' if setting.on else 'off'}" if setting.role else "everything at rest"
        for setting in situation.settings
    )
    return "; ".join(settings)


def nearest_word(name: str, book: Rulebook) -> str:
    """A hint at the word that was meant."""
    words = {word.name for word in book.vocabulary.words.values()}
    return did_you_mean(name, sorted({*words, *book.situations, *book.topics}))


def _text(lines: Sequence[str]) -> str:
    return "\n".join(line.rstrip() for line in lines) + "\n"
