"""Examples that show a change: what is cut out of the plan, what it does, and what is wrong with it."""

from __future__ import annotations

import pytest

from plancheck.rulebook.shown_changes import with_shown_changes
from plancheck.rulebook.split import changes_in
from plancheck.source import Source
from tests.rulebook.small import book, rule_text

RULES = book(rule_text("for each load X\nrequire X.rated-volts <= most", name="volts", head="limit most = 12 V"))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", []),
        ("wire a:1 to b:2\n", []),
        ("  change a/b { off }\nwire x", ["change a/b { off }"]),
        ('change a/b {\n  # }\n  reason "}"\n}\nx', ['change a/b {\n  # }\n  reason "}"\n}']),
        ("change a/b { off }\n\tchange c/d { off } door D1", ["change a/b { off }", "change c/d { off }"]),
        # no block of its own: behind something, in a device's block, in a text, in a comment
        ("door D1 change a/b { off }", []),
        ("door D1 {\n  change a/b { }\n}", []),
        ('plan "\nchange a/b { off }', ["change a/b { off }"]),
        ("# change a/b { off }\nchanges a/b { }", []),
        ("change a/b { off", ["change a/b { off"]),
        ("change a/b", ["change a/b"]),
    ],
)
def test_where_the_blocks_are(text: str, found: list[str]) -> None:
    assert [text[start:end] for start, end in changes_in(text)] == found


def test_the_plan_keeps_its_places_and_the_rule_is_changed() -> None:
    text = 'holder L1 { rated 24 Vdc, 1 A }\n  change test/volts { reason "r"\n limit most = 30 V }  holder L2\n'
    plan, changed, mistakes = with_shown_changes(Source("x", text), RULES)
    assert mistakes == []
    assert len(plan.text) == len(text)
    assert plan.text.split() == ["holder", "L1", "{", "rated", "24", "Vdc,", "1", "A", "}", "holder", "L2"]
    assert plan.text.index("L2") == text.index("L2")
    rule = changed.get("test/volts")
    assert rule is not None
    assert [limit.text for limit in rule.limits] == ["30 V"]
    (case,) = changed.cases
    assert (case.change.pack, case.loosens, case.change.at.line) == ("example", True, 2)


@pytest.mark.parametrize(
    ("change", "at", "headline"),
    [
        ('change test/vlots { off; reason "r" }', "test/vlots", "There is no rule “test/vlots”"),
        ("change test/volts { off }", "test/volts", "A change gives its reason"),
        ("change test/volts { of }", "of", "“change” cannot be read"),
        ("change test/volts { off", "f", "“change” is not finished"),
    ],
)
def test_what_is_wrong_with_one_is_told(change: str, at: str, headline: str) -> None:
    text = f"holder L1\n  {change}"
    plan, changed, (mistake,) = with_shown_changes(Source("x", text), RULES)
    assert mistake.headline == headline
    assert (mistake.at.line, mistake.at.text) == (2, at)
    assert plan.text.split() == ["holder", "L1"]
    assert changed.cases == ()
