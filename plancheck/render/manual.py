"""The manual: every rule on a page of its own, contents by pack, an index of words; from the rules alone.

The same pages as HTML for browser and print, and as Markdown. Whatever a pack writes is text: nothing of it acts.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from plancheck.render.basis_rows import BasisRow, basis_rows
from plancheck.rulebook.outline import Outline, Part, outlines
from plancheck.rulebook.rule import Example, Rule, Rulebook

TITLE = "Manual of the rules"
LOCAL_CODE = "Life safety: check local code."
LEAD = (
    "Each rule as it is held against a plan: what it looks at, what it asks for and why, with plans that it passes and "
    "fails. An aid for the one who reviews, not a decision. The authority having jurisdiction decides; check local "
    "code. Braces in a text hold what is filled in when the rule speaks."
)


@dataclass(frozen=True, slots=True)
class RulePage:
    """One rule, ready to be laid out."""

    rule: Rule
    pack: str
    """Name and title of its pack."""
    outline: Outline
    basis: tuple[BasisRow, ...]

    @property
    def anchor(self) -> str:
        """What links to this page name: a name holds no dots, so that no two rules share one."""
        return "rule." + self.rule.id.replace("/", ".")

    @property
    def severity(self) -> str:
        """Severity, and whether it guards life."""
        return f"{self.rule.severity} · life safety" if self.rule.life_safety else str(self.rule.severity)

    @property
    def remedy(self) -> list[str]:
        """Remedies, each once."""
        texts = (part.texts.get("remedy", "") for part in self.outline.parts)
        return list(dict.fromkeys(text for text in texts if text))

    def examples(self, passes: bool) -> list[Example]:
        """The plans that it must pass, or must fail."""
        return [example for example in self.rule.examples if example.passes is passes]


def pages(book: Rulebook) -> list[RulePage]:
    """The pages, sorted by the rules' ids."""
    rules = sorted(book.rules, key=lambda rule: rule.id)
    known = outlines(rules)
    titles = {name: f"{name}: {title}" if title else name for name, title in book.packs.items()}
    return [RulePage(r, titles.get(r.pack, r.pack), known[r.id], tuple(basis_rows(r))) for r in rules]


def by_pack(all_pages: Sequence[RulePage]) -> Iterator[tuple[str, list[RulePage]]]:
    """The pages of each pack."""
    for pack, alike in groupby(all_pages, key=lambda page: page.pack):
        yield pack, list(alike)


def index(all_pages: Sequence[RulePage]) -> list[tuple[str, list[RulePage]]]:
    """Each word that rules ask for, with the rules that do."""
    found: dict[str, list[RulePage]] = {}
    for page in all_pages:
        for word in page.outline.words:
            found.setdefault(word, []).append(page)
    return sorted(found.items(), key=lambda each: (each[0].casefold(), each[0]))


def looked_at(part: Part) -> list[tuple[str, str, bool]]:
    """What one `for each` does, in rows: what it is called, the text, and whether that is an expression."""
    rows = [("Goes through", part.for_each, True)]
    rows += [("Keeps those where", where, True) for where in part.wheres]
    rows.append(("Requires", part.require, True))
    for label, word in (("Headline", "headline"), ("Finds", "found"), ("Asks for", "required")):
        if word in part.texts:
            rows.append((label, part.texts[word], False))
    rows += [("Shows", f"{what}: {value}", False) for what, value in part.evidence]
    return rows


def limit_rows(rule: Rule) -> list[tuple[str, str, str, str]]:
    """Limits: name, value, where it counts, source."""
    return [(each.name, each.text, each.where.strip() or "everywhere", each.source) for each in rule.limits]
