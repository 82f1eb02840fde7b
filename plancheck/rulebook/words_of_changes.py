"""Facts of what in-house packs change."""

from __future__ import annotations

from plancheck.rulebook.types import TEXT, YES_NO
from plancheck.rulebook.vocabulary import Word

CHANGE_WORDS = [
    Word("change", "rule", TEXT, "the rule that it changes", lambda i, c, v: c.change.rule),
    Word("change", "pack", TEXT, "the in-house pack that wants it", lambda i, c, v: c.change.pack),
    Word("change", "reason", TEXT, "the reason that the pack gives", lambda i, c, v: c.change.reason),
    Word("change", "effect", TEXT, "what holds because of it, in words", lambda i, c, v: c.says or None),
    Word("change", "life-safety", YES_NO, "that rule guards life", lambda i, c, v: c.life_safety),
    Word("change", "loosens", YES_NO, "the rule lets more pass by it, or may", lambda i, c, v: c.loosens),
    Word("change", "switches-off", YES_NO, "the rule is not run because of it", lambda i, c, v: c.switches_off),
    Word("change", "overruled", YES_NO, "another pack wants something stricter", lambda i, c, v: c.overruled),
]
