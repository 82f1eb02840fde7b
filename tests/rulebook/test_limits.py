"""Limits by jurisdiction and edition: which number counts, and what a finding says where the plan leaves it open."""

from __future__ import annotations

import pytest

from plancheck.rulebook.limits import MOST_ALTERNATIVES
from tests.rulebook.small import PLAN, book, judged, load, rule_text

# (standby 0.42 A for 24 h + alarm 3.8 A for 5 min) = 10.08 + 0.317 = 10.397 Ah; × 1.20 = 12.48 Ah (a guide to NFPA 72,
# published); × 1.25 = 13.00 Ah, the margin that one secondary source gives from the edition of 2022 on.
NEEDED = 0.42 * 24 + 3.8 * 5 / 60
BODY = 'for each plan P\nrequire 12.6 Ah >= 10.397 Ah * margin\nrequired "{margin}"'
RULE = rule_text(BODY, head='limit margin = 120 %\nlimit under "NFPA 72-2022" margin = 125 %')


def found(rule: str, header: str) -> list[str]:
    text = PLAN.replace('plan "Small"\n', f'plan "Small"\n{header}\n')
    return [f.required for f in judged(book(rule), {}, text).findings]


def test_the_sum_is_the_guide_s() -> None:
    assert round(NEEDED, 3) == 10.397
    assert round(NEEDED * 1.2, 2) == 12.48
    assert round(NEEDED * 1.25, 2) == 13.0


def test_the_limit_of_the_edition_that_the_plan_names() -> None:
    assert found(RULE, 'edition "NFPA 72-2019"') == []
    assert found(RULE, 'edition "NFPA 72-2022"') == ["125 %"]


def test_a_later_edition_is_held_to_the_nearest_earlier_limit_and_told_so() -> None:
    assert found(RULE, 'edition "NFPA 72-2025"') == [
        "125 % (margin by NFPA 72-2022, the nearest earlier edition known: check NFPA 72-2025)"
    ]


def test_a_plan_that_names_no_edition_is_held_to_the_stricter_limit_and_told_so() -> None:
    said = "125 % (the plan names no edition of NFPA 72: held to the stricter limit, NFPA 72-2022)"
    assert found(RULE, "") == [said]
    assert found(RULE, 'edition "IBC 2018"') == [said]
    looser = RULE.replace("125 %", "110 %").replace("12.6 Ah", "12 Ah")
    assert found(looser, "") == [
        "120 % (the plan names no edition of NFPA 72: held to the stricter limit, NFPA 72 before 2022)"
    ]


def test_of_several_editions_the_newest_that_is_reached_counts() -> None:
    rule = RULE.replace("limit margin = 120 %", 'limit margin = 100 %\n    limit under "NFPA 72-2016" margin = 130 %')
    assert found(rule, 'edition "NFPA 72-2013"') == []
    assert found(rule, 'edition "NFPA 72-2016"') == ["130 %"]
    assert found(rule, 'edition "NFPA 72-2022"') == ["125 %"]


def test_jurisdiction_and_edition_together() -> None:
    rule = RULE.replace('limit under "NFPA 72-2022"', 'limit in us under "NFPA 72-2022"')
    assert found(rule, 'jurisdiction eu\nedition "NFPA 72-2022"') == []
    assert found(rule, 'jurisdiction us\nedition "NFPA 72-2022"') == ["125 %"]
    assert found(rule, "jurisdiction us") == [
        "125 % (the plan names no edition of NFPA 72: held to the stricter limit, NFPA 72-2022)"
    ]
    assert found(rule, "") == [
        "125 % (the plan states no jurisdiction and names no edition of NFPA 72: held to the stricter limit, "
        "us, NFPA 72-2022)"
    ]


@pytest.mark.parametrize(
    ("limits", "headline"),
    [
        ('limit under "NFPA 72-2022" margin = 125 %', "is not given for editions before NFPA 72-2022"),
        ('limit margin = 1 %\nlimit under "NFPA 72" margin = 2 %', "An edition names a code and its year"),
        ('limit margin = 1 %\nlimit under "Q 2022" margin = 2 %\nlimit under "Q 2022" margin = 3 %', "is given twice"),
        (
            "limit margin = 1 %\n"
            + "\n".join(f'limit under "Q{code} {2000 + year}" margin = 2 %' for code in range(2) for year in range(9)),
            "limits by too many editions",
        ),
    ],
)
def test_limits_that_are_wrong(limits: str, headline: str) -> None:
    _, mistakes = load(rule_text(BODY, head=limits))
    assert [headline in m.headline for m in mistakes] == [True], [m.headline for m in mistakes]
    assert MOST_ALTERNATIVES == 64
