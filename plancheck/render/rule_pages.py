"""Rules and their vocabulary as text: the list of rules, one rule in full, the words a rule may use."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import takewhile

from plancheck.nearest import did_you_mean
from plancheck.render.columns import padded, shown, width, wrapped
from plancheck.render.layout import Page, entry, headed, plural
from plancheck.rulebook.forms import FORMS
from plancheck.rulebook.nodes import SituationNode
from plancheck.rulebook.rule import Basis, Example, Limit, Rule, Rulebook
from plancheck.rulebook.things import CLASSES, ancestry
from plancheck.rulebook.vocabulary import Vocabulary, Word

_WIDE = 90
"""From this many columns on the list of rules has a line for each."""
_EXAMPLE = re.compile(r"\s*(passes|fails)\s")
_LIFE_SAFETY = "life safety"
_SEVERITY = 22


def rule_list(rules: Sequence[Rule], page: Page) -> str:
    """Every rule by its id, with severity and title."""
    names = max((width(rule.id) for rule in rules), default=0) + 2
    lines = [line for rule in sorted(rules, key=lambda rule: rule.id) for line in _listed(rule, names, page)]
    lines.append(plural(len(rules), "rule"))
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
    lines += _several("Basis", [_basis(basis) for basis in rule.basis], page)
    lines += _several("Limit", [_limit(limit) for limit in rule.limits], page)
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


def _basis(basis: Basis) -> str:
    return f"{basis.tag}: {basis.said}" if basis.tag else basis.said


def _limit(limit: Limit) -> str:
    where = f" in {limit.tag}" if limit.tag else ""
    source = f" ({limit.source})" if limit.source else ""
    return f"{limit.name} = {limit.text}{where}{source}"


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


def word_list(book: Rulebook, page: Page) -> str:
    """The vocabulary: forms, situations, then every class of things with its facts."""
    lines = [*headed("How a rule is said", page)]
    for form, says in FORMS:
        lines += [form, *(f"    {line}" for line in wrapped(says, page.width - 4))]
    lines += ["", *headed("Situations", page)]
    for name, situation in sorted(book.situations.items()):
        lines += [name, f"    {_situation(situation)}"]
    for of, thing in CLASSES.items():
        above = ", ".join(ancestry(of)[1:])
        lines += ["", *headed(f"{of}: {thing.says}" + (f"; also has the words of {above}" if above else ""), page)]
        for word in _words_of(of, book.vocabulary):
            lines += _word(word, page)
    return _text(lines)


def _situation(situation: SituationNode) -> str:
    settings = (
        f"{setting.role.text} {'on' if setting.on else 'off'}" if setting.role else "everything at rest"
        for setting in situation.settings
    )
    return "; ".join(settings)


def _words_of(of: str, vocabulary: Vocabulary) -> list[Word]:
    return sorted((word for word in vocabulary.words.values() if word.of == of), key=lambda word: word.name)


def _word(word: Word, page: Page) -> Iterator[str]:
    when = ", in each condition" if word.conditional else ""
    first, *others = wrapped(f"{word.name}  {word.type}{when}", page.width)
    yield page.paint.strong(word.name) + page.paint.quiet(first[len(word.name) :])
    yield from (page.paint.quiet(f"    {line}") for line in others)
    yield from ("    " + line for line in wrapped(word.says, page.width - 4))


def word_page(name: str, book: Rulebook, page: Page) -> str | None:
    """Everything of that name, by the class it belongs to; None where there is no such word."""
    found = [word for word in book.vocabulary.words.values() if word.name == name]
    if not found:
        return None
    lines: list[str] = []
    for word in found:
        lines += headed(f"{word.of}: {CLASSES[word.of].says}", page)
        lines += [*_word(word, page), ""]
    return _text(lines)


def nearest_word(name: str, book: Rulebook) -> str:
    """A hint at the word that was meant."""
    return did_you_mean(name, sorted({word.name for word in book.vocabulary.words.values()}))


def _text(lines: Sequence[str]) -> str:
    return "\n".join(line.rstrip() for line in lines) + "\n"
