"""Layer 1: texts to statements. Knows source texts and nothing of what a statement means."""

from plancheck.syntax.read import read_statements

__all__ = ["read_statements"]
