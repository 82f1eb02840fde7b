"""Examples that show a change: a `change` block in the plan of an example stands for a pack that wants it.

It is cut out before the plan is read, and acts on the rulebook for this one example, as the pack “example”.
"""

from __future__ import annotations

import re
from dataclasses import replace

from plancheck.finding import Mistake
from plancheck.rulebook.assemble import Assembling
from plancheck.rulebook.change import near_rule, read_change
from plancheck.rulebook.change_cases import Change
from plancheck.rulebook.changed import applying
from plancheck.rulebook.read import RulesFile, read_change_block
from plancheck.rulebook.rule import Rulebook
from plancheck.rulebook.split import changes_in
from plancheck.source import Source, Span

PACK = "example"
_TEXT = re.compile(r"[^\r\n]")


def with_shown_changes(source: Source, book: Rulebook) -> tuple[Source, Rulebook, list[Mistake]]:
    """The plan of an example without its changes, the rulebook as they make it, and what is wrong with them."""
    stretches = changes_in(source.text)
    if not stretches:
        return source, book, []
    mistakes: list[Mistake] = []
    changes = [change for stretch in stretches if (change := _change(source, stretch, book, mistakes))]
    text, behind = "", 0
    for start, end in stretches:
        text += source.text[behind:start] + _TEXT.sub(" ", source.text[start:end])
        behind = end
    shown = replace(book, changes=tuple(changes))
    plan = Source(source.name, text + source.text[behind:])
    return plan, applying(shown, {*book.in_house, PACK}), mistakes


def _change(source: Source, stretch: tuple[int, int], book: Rulebook, mistakes: list[Mistake]) -> Change | None:
    node, wrong = read_change_block(source, *stretch)
    mistakes += wrong
    if node is None:
        return None
    rule = book.get(node.rule)
    if rule is None:
        near = near_rule(node.rule, book.by_id)
        hint = f"Did you mean “{near}”?" if near else ""
        at = Span(source, node.start, node.end)
        mistakes.append(Mistake(at, f"There is no rule “{node.rule}”", f"“{node.rule}”", "PACK/RULE", hint))
        return None
    work = Assembling(RulesFile(source, ()), book.vocabulary, book.situations, book.topics, rule.id, PACK)
    change = read_change(node, rule, work)
    mistakes += work.mistakes
    return change
