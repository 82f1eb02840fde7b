"""`python -m tests.write_tables`: after a change of a grammar, of a shipped kind or rule, or of what makes nodes of
them, all that is worked out beforehand is worked out anew.
"""

from __future__ import annotations

from typing import Any

from plancheck.rulebook.read import KEPT as KEPT_RULES
from plancheck.rulebook.read import read_rules
from plancheck.rulebook.tree import STARTS as RULE_STARTS
from plancheck.shipped import rules_folder
from plancheck.source import Source
from plancheck.syntax.read import KEPT as KEPT_KINDS
from plancheck.syntax.read import read_statements
from plancheck.syntax.tables import is_current, write_tables
from plancheck.syntax.tree import STARTS as PLAN_STARTS

GRAMMARS = {"plan": PLAN_STARTS, "rules": RULE_STARTS}


def shipped_kinds() -> dict[str, Any]:
    """Place and node of each statement of each shipped file of kinds, by its text."""
    nodes: dict[str, Any] = {}
    for path in sorted(rules_folder().glob("kinds/*.plan")):
        source = Source(path.name, path.read_text(encoding="utf-8"))
        statements, mistakes = read_statements(source)
        assert mistakes == [], f"{path}: {mistakes[0].headline}"
        nodes[source.text] = tuple((s.offset, s.offset + len(s.text), s.node) for s in statements)
    return nodes


def shipped_rules() -> dict[str, Any]:
    """The nodes of each shipped file of rules, by its text."""
    nodes: dict[str, Any] = {}
    for path in sorted(rules_folder().rglob("*.rules")):
        source = Source(path.name, path.read_text(encoding="utf-8"))
        file, mistakes = read_rules(source)
        assert mistakes == [], f"{path}: {mistakes[0].headline}"
        nodes[source.text] = file.statements
    return nodes


if __name__ == "__main__":
    for grammar, starts in GRAMMARS.items():
        if not is_current(grammar, starts):
            write_tables(grammar, starts)
    for kept, read in ((KEPT_KINDS, shipped_kinds), (KEPT_RULES, shipped_rules)):
        # What was kept before must not pass for what is read now.
        kept.write({})
        kept.forget()
        kept.write(read())
