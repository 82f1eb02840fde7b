"""What is told of the thing under the cursor in a rules file."""

from __future__ import annotations

from collections.abc import Sequence

from plancheck.authoring.hover import Told
from plancheck.authoring.hover_quantity import quantity_told
from plancheck.authoring.hover_words import kind_told, rule_told
from plancheck.authoring.markdown import code, heading, paragraphs, plain, table
from plancheck.authoring.of_rules.lexed import Sort as LexedSort
from plancheck.authoring.of_rules.lexed import Token, lexed
from plancheck.authoring.of_rules.names import Found, RulesNames
from plancheck.authoring.of_rules.sites import Site, Sort
from plancheck.authoring.of_rules.view import RulesView
from plancheck.rulebook import nodes
from plancheck.rulebook.things import CLASSES, ancestry
from plancheck.rulebook.topics import Topic
from plancheck.rulebook.vocabulary import Word
from plancheck.rulebook.words import FORMS
from plancheck.source import Span


def hover(view: RulesView, names: RulesNames, offset: int) -> Told | None:
    """What is told at an offset; None where there is nothing to tell."""
    found = names.at(offset)
    if found is not None and offset < found.at.end:
        text = _of_name(view, names, found)
        if text:
            return Told(found.at, text)
    return _of_word(view, offset)


def _of_name(view: RulesView, names: RulesNames, found: Found) -> str:
    site = found.site
    match site.sort:
        case Sort.FACT:
            return fact_told(site.word) if site.word else ""
        case Sort.CLASS:
            return class_told(site.name, view)
        case Sort.VARIABLE:
            return paragraphs([f"{heading(site.name)}: {_article(site.of)}", *_says(site.of)])
        case Sort.LIMIT:
            return _limit_told(view, site)
        case Sort.SITUATION:
            return _situation_told(view, site.name)
        case Sort.TOPIC:
            topic = view.rulebook.topics.get(site.name)
            return _topic_told(topic) if topic else ""
        case Sort.RULE:
            rule = view.rulebook.get(site.name)
            return rule_told(rule) if rule else ""
        case Sort.KIND:
            kind = view.kinds.get(site.name)
            return kind_told(kind) if kind else ""


def fact_told(word: Word) -> str:
    """A fact: what it is of a thing of its class, its type, and whether it changes with the condition."""
    when = ", in each condition" if word.conditional else ""
    return paragraphs([f"{code(f'{word.of}.{word.name}')}: {plain(f'{word.type}{when}')}", plain(word.says)])


def class_told(name: str, view: RulesView) -> str:
    """A class of things: what it is, and the words that it has."""
    if name not in CLASSES:
        return ""
    above = ", ".join(ancestry(name)[1:])
    words = view.rulebook.vocabulary
    own = [word for word in (words.find(name, fact) for fact in words.names(name)) if word and word.of == name]
    rows = [(word.name, str(word.type), word.says) for word in own]
    return paragraphs(
        [
            f"{heading(name)}: {plain(CLASSES[name].says)}",
            f"also has the words of {plain(above)}" if above else "",
            table(("fact", "type", ""), rows) if rows else "",
        ]
    )


def _says(of: str) -> Sequence[str]:
    return [plain(CLASSES[of].says)] if of in CLASSES else []


def _article(of: str) -> str:
    return f"{'an' if of[:1] in 'aeiou' else 'a'} {plain(of)}"


def _limit_told(view: RulesView, site: Site) -> str:
    rules = (n for n in view.file.statements if isinstance(n, nodes.RuleNode) and n.start == site.scope)
    given = [m for rule in rules for m in rule.head if isinstance(m, nodes.LimitMember) and m.name.text == site.name]
    rows = []
    for each in given:
        where = f"in {each.tag.text}" if each.tag else ""
        edition = f"under {each.edition.text}" if each.edition else ""
        amount = f"{each.amount.text} {each.amount.unit}"
        rows.append((amount, f"{where} {edition}".strip(), each.source.text if each.source else ""))
    return paragraphs([f"{heading(site.name)}: a limit", table(("amount", "where", "source"), rows)])


def _situation_told(view: RulesView, name: str) -> str:
    situation = view.rulebook.situations.get(name)
    if situation is None:
        return ""
    said = (f"{s.role.text} {'on' if s.on else 'off'}" if s.role else "everything at rest" for s in situation.settings)
    return paragraphs([f"{heading(name)}: a situation", plain("; ".join(said))])


def _topic_told(topic: Topic) -> str:
    rows = [(clause.edition.text, clause.text) for of in topic.codes() for clause in topic.of_code(of)]
    return paragraphs([f"{heading(topic.title)}: clauses", table(("edition", "clause"), rows)])


# --- words and amounts -------------------------------------------------------------------------------------


def _of_word(view: RulesView, offset: int) -> Told | None:
    tokens = [token for token in lexed(view.source.text) if token.sort is not LexedSort.LINE_END]
    number = next((i for i, token in enumerate(tokens) if token.start <= offset < token.end), None)
    if number is None or tokens[number].sort in (LexedSort.COMMENT, LexedSort.STRING):
        return None
    for first in (number, number - 1):
        if 0 <= first < len(tokens) - 1 and tokens[first].sort is LexedSort.NUMBER:
            told = quantity_told(float(tokens[first].text), tokens[first + 1].text)
            if told:
                return Told(Span(view.source, tokens[first].start, tokens[first + 1].end), told)
    return _of_keyword(view, tokens[number])


def _of_keyword(view: RulesView, token: Token) -> Told | None:
    """The forms of the language in which a word stands first, or else stands at all."""
    leading = [form for form in FORMS if form[0].split()[0] == token.text]
    forms = leading or [form for form in FORMS if token.text in form[0].split()]
    if not forms or token.sort is not LexedSort.WORD:
        return None
    rows = [f"{code(form)}: {plain(says)}" for form, says in forms[:8]]
    return Told(Span(view.source, token.start, token.end), paragraphs(rows))
