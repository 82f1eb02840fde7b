"""Which way a limit tightens its rule. Every expectation is worked out by hand: does a greater number let more pass?"""

from __future__ import annotations

import pytest

from plancheck.rulebook.slope import LOOSER, TIGHTER, UNTOLD
from tests.rulebook.small import book, rule_text

LIMIT = "limit most = 5 V"


@pytest.mark.parametrize(
    ("require", "way"),
    [
        ("X.rated-volts <= most", LOOSER),
        ("X.rated-volts < most", LOOSER),
        ("X.rated-volts >= most", TIGHTER),
        ("most > X.rated-volts", LOOSER),
        ("most < X.rated-volts", TIGHTER),
        ("not X.rated-volts > most", LOOSER),
        ("not (not X.rated-volts > most)", TIGHTER),
        ("X.inductive or X.rated-volts <= most", LOOSER),
        ("X.rated-volts + 1 V <= most + 2 V", LOOSER),
        ("X.rated-volts - most <= 1 V", LOOSER),
        ("most - X.rated-volts <= 1 V", TIGHTER),
        # a load draws no negative current, and two is more than nothing
        ("X.rated-volts * X.rated-amps <= most * X.rated-amps", LOOSER),
        ("X.rated-volts <= most * 2", LOOSER),
        ("X.rated-volts / most <= 3", LOOSER),
        ("most / X.rated-volts <= 3", TIGHTER),
        ("X.rated-volts <= most * (1 + X.rated-amps / 1 A)", LOOSER),
        # a difference may be negative, so may volts in a condition
        ("X.rated-volts <= most * (X.rated-amps / 1 A - 1)", UNTOLD),
        ("X.rated-volts <= most * -1", UNTOLD),
        ("in every condition: X.volts * most <= 3 V * most", UNTOLD),
        ("in every condition: X.volts <= most", LOOSER),
        ("in some condition: X.volts >= most", TIGHTER),
        # fewer conditions to answer for: looser; more conditions among which one is wanted: looser
        ("in every condition where X.volts >= most: X energised", LOOSER),
        ("in normal condition where X.volts >= most: X energised", LOOSER),
        ("in some condition where X.volts <= most: X energised", LOOSER),
        ("every load Y where Y.rated-volts >= most: Y.rated-volts <= 24 V", LOOSER),
        ("every load Y: Y.rated-volts <= most", LOOSER),
        ("some load Y where Y.rated-volts >= most: Y.rated-volts <= 24 V", TIGHTER),
        ("(count load Y where Y.rated-volts > most) <= 3", LOOSER),
        ("(count load Y where Y.rated-volts > most) >= 3", TIGHTER),
        ("X.rated-volts is most", UNTOLD),
        ("X.rated-volts is not most", UNTOLD),
        ("X.rated-volts <= most and X.rated-volts >= most - 1 V", UNTOLD),
        ("X.rated-volts <= most and X.rated-volts - most <= 1 V", LOOSER),
        ("X.rated-volts <= 5 V", UNTOLD),
    ],
)
def test_the_way_is_read_off_the_demand(require: str, way: int) -> None:
    (rule,) = book(rule_text(f"for each load X\nrequire {require}", head=LIMIT)).rules
    assert rule.slope("most") == way


def test_a_where_turns_it_round() -> None:
    # Above 5 V the rule looks at it; from 6 V on fewer things are looked at, so more pass.
    (rule,) = book(rule_text("for each load X\nwhere X.rated-volts >= most\nrequire no", head=LIMIT)).rules
    assert rule.slope("most") == LOOSER
