"""Variances and gaps: what becomes of a finding, and what the rules about variances see."""

from __future__ import annotations

import pytest

from plancheck.rulebook.judge import Verdicts
from tests.rulebook.small import book, judged, rule_text

COMPLAINT = rule_text("for each lock L of door D\nrequire no", name="held")
MINOR = rule_text("for each lock L of door D\nrequire no", name="minor", severity="note")
VARIANCE_RULES = "".join(
    rule_text(f"for each variance V\n{body}", name=name)
    for name, body in (
        ("expired", "require not V.expired"),
        ("unused", "require V.used"),
        ("ungranted", "where V.life-safety\nrequire V.granted"),
        ("unknown", "require V.known"),
    )
)
GRANTED = 'granted by "the official" reference "VAR-1"; until 2027-06-30'


def review(variance: str, *, life_safety: bool = True) -> Verdicts:
    held = COMPLAINT.replace("severity error", "severity error\n    life-safety") if life_safety else COMPLAINT
    text = f'plan "V"\nholder L1 {{ rated 24 Vdc, 1 A }}\ndoor D1 {{ locks L1 }}\n{variance}\n'
    return judged(book(held, MINOR, VARIANCE_RULES), {}, text)


def outcome(variance: str, *, life_safety: bool = True) -> tuple[bool, list[str]]:
    """Whether the finding stands under the variance, and what else was found."""
    found = review(variance, life_safety=life_safety).findings
    (held,) = (f for f in found if f.rule == "test/held")
    return held.variance is not None, [f.rule for f in found if f.rule not in ("test/held", "test/minor")]


@pytest.mark.parametrize("on", ["L1", "D1"])
def test_a_granted_variance_covers_the_finding_and_it_is_still_listed(on: str) -> None:
    variance = f'variance test/held on {on} {{ reason "glazed"; {GRANTED} }}'
    assert outcome(variance) == (True, [])
    (held, minor) = review(variance).findings
    assert held.variance is not None
    assert (held.variance.reason, held.variance.granted_by) == ("glazed", "the official")
    assert (held.variance.reference, held.variance.until) == ("VAR-1", "2027-06-30")
    assert minor.variance is None


@pytest.mark.parametrize(
    ("entries", "life_safety", "covered", "complaints"),
    [
        # for life safety: reason, who granted it, their reference, an end that is not past
        ('reason "r"', True, False, ["test/ungranted"]),
        ('reason "r"; granted by "x" reference "y"', True, False, ["test/ungranted"]),
        ('reason "r"; granted by "x" reference "y"; until 2026-11-25', True, True, []),
        ('reason "r"; granted by "x" reference "y"; until 2026-11-24', True, False, ["test/expired"]),
        # for the rest: a reason, and an end only if one is given
        ('reason "r"', False, True, []),
        ('reason "r"; until 2026-11-24', False, False, ["test/expired"]),
    ],
)
def test_what_a_variance_must_say(entries: str, life_safety: bool, covered: bool, complaints: list[str]) -> None:
    assert outcome(f"variance test/held on L1 {{ {entries} }}", life_safety=life_safety) == (covered, complaints)


def test_a_variance_that_covers_nothing_is_seen() -> None:
    assert outcome(f'variance test/nothing on L1 {{ reason "r"; {GRANTED} }}')[1] == ["test/unused", "test/unknown"]
    text = f'door D2\nvariance test/held on D2 {{ reason "r"; {GRANTED} }}'
    assert outcome(text) == (False, ["test/unused"])


def test_a_name_that_is_no_rule_is_answered_with_the_nearest() -> None:
    rules = book(
        COMPLAINT, rule_text('for each variance V\nwhere V.near is given\nrequire no\nfound "{V.near}"', name="near")
    )

    def near(rule: str) -> list[str]:
        text = f'plan "V"\nholder L1 {{ rated 24 Vdc, 1 A }}\nvariance {rule} on L1 {{ reason "r" }}\n'
        return [f.found for f in judged(rules, {}, text).findings if f.rule == "test/near"]

    assert near("test/hold") == ["test/held"]
    assert near("tset/held") == ["test/held"]
    assert near("other/held") == ["test/held"]
    assert near("test/held") == near("x/unlike-anything") == []


def test_a_variance_on_the_plan_covers_what_is_found_of_the_plan_itself() -> None:
    of_plan = rule_text("for each plan P\nrequire no", name="plans")
    rules = book(of_plan, COMPLAINT)
    text = """plan "V"
holder L1 { rated 24 Vdc, 1 A }
door D1 { locks L1 }
variance test/plans on plan { reason "r" }
variance test/held on plan { reason "r" }
"""
    found = judged(rules, {}, text).findings
    assert {f.rule: f.variance is not None for f in found} == {"test/plans": True, "test/held": False}


def test_a_variance_covers_the_thing_it_names_and_no_other() -> None:
    text = """plan "V"
typical leaf {
    holder L { rated 24 Vdc, 1 A }
    door here { locks L }
}
place leaf as D1
place leaf as D2
variance test/held on D1/L { reason "r" }
"""
    found = judged(book(COMPLAINT), {}, text).findings
    assert {f.subject: f.variance is not None for f in found} == {"D1/L": True, "D2/L": False}


def test_a_variance_in_a_typical_is_for_each_place_of_it() -> None:
    text = """plan "V"
typical leaf {
    holder L { rated 24 Vdc, 1 A }
    door here { locks L }
    variance test/held on here { reason "r" }
    variance test/minor on L { reason "r" }
}
place leaf as D1
place leaf as D2
"""
    found = judged(book(COMPLAINT, MINOR), {}, text).findings
    assert len(found) == 4
    assert all(f.variance is not None for f in found)


def test_several_things_take_a_variance_each() -> None:
    text = """plan "V"
holder L1 { rated 24 Vdc, 1 A }
holder L2 { rated 24 Vdc, 1 A }
holder L3 { rated 24 Vdc, 1 A }
door D1 { locks L1, L2, L3 }
variance test/held on L1 { reason "r" }
variance test/held on L3 { reason "r" }
"""
    found = judged(book(COMPLAINT), {}, text).findings
    assert {f.subject: f.variance is not None for f in found} == {"L1": True, "L2": False, "L3": True}


def test_a_gap_is_a_finding_of_a_rule_about_gaps() -> None:
    rules = book(
        rule_text('for each gap G\nrequire no\nfound "{G.rule} on {G.subject}: {G.reason}"', name="not-assessed"),
        rule_text("for each lock L\nrequire L.spare-parts >= 1", name="asks"),
    )
    text = 'plan "G"\nholder L1 { rated 24 Vdc, 1 A }\nholder L2 { rated 24 Vdc, 1 A; spare-parts 2 }\n'
    verdicts = judged(rules, {}, text)
    assert [(g.rule, g.subject) for g in verdicts.gaps] == [("test/asks", "L1")]
    assert [f.found for f in verdicts.findings] == ["test/asks on L1: L1 does not state “spare-parts”"]
    assert [f.at.line for f in verdicts.findings] == [2]
