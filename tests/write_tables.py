"""`python -m tests.write_tables`: after a grammar was changed, the tables of both are worked out anew."""

from __future__ import annotations

from plancheck.rulebook.tree import STARTS as RULE_STARTS
from plancheck.syntax.tables import write_tables
from plancheck.syntax.tree import STARTS as PLAN_STARTS

GRAMMARS = {"plan": PLAN_STARTS, "rules": RULE_STARTS}

if __name__ == "__main__":
    for grammar, starts in GRAMMARS.items():
        write_tables(grammar, starts)
