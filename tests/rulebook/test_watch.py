"""Why a rule judged as it did: what is told is what the judge saw, and watching changes nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from plancheck.circuit.conditions import Levels, Space, Truth
from plancheck.finding import Finding
from plancheck.render.layout import Page
from plancheck.render.why_page import why_page
from plancheck.rulebook.rule import Rulebook
from plancheck.rulebook.why import Account, account
from plancheck.source import Source, Span
from tests.rulebook.small import ALARM, EVERY, MAINS, PLAN, PRESSED, SPACE, book, judged, levels, on, rule_text
from tests.rulebook.test_trial import Review

HERE = Source("here", "")
Facts = Mapping[str, Levels | Truth | str | float]


def told(body: str, facts: Facts, text: str = PLAN, head: str = "") -> Account:
    rules = book(rule_text(body, head=head))

    def review(watched: Rulebook) -> Review:
        verdicts = judged(watched, facts, text)
        gaps = [f"{g.rule} for {g.subject}: {g.reason}" for g in verdicts.gaps]
        return Review(list(verdicts.findings), [], gaps)

    return account(rules.rules[0], rules, review)


def lines(body: str, facts: Facts | None = None, text: str = PLAN, head: str = "", only: str = "") -> list[str]:
    page = why_page(told(body, facts or {}, text, head), "small.plan", Page(120), only)
    return [line.strip() for line in page.splitlines()[2:] if line.strip()]


def test_what_a_where_left_out_and_what_was_judged() -> None:
    body = "for each lock L\nwhere L.rated-volts > 12 V\nrequire L.drop-out-volts <= most"
    assert lines(body, head="limit most = 5 V") == [
        "It speaks of L1, line 3: found of it",
        "Judged 1 time: as required 0, not so 1.",
        "for each lock L",
        "goes through lock L: L1, L2",
        "L = L1",
        "where L.rated-volts > 12 V → yes",
        "L.rated-volts → 24 V",
        "require L.drop-out-volts <= most → no: a finding",
        "L.drop-out-volts → 6 V",
        "most → 5 V",
        "L = L2",
        "where L.rated-volts > 12 V → no: left out",
        "L.rated-volts → 12 V",
    ]  # fmt: skip


def test_a_rule_that_judged_nothing_says_so_first() -> None:
    assert lines("for each lock L\nwhere L.rated-volts > 50 V\nrequire no")[:2] == [
        "It says nothing.",
        "Nothing was judged: there was nothing to go through, or a “where” left all of it out.",
    ]
    assert lines("for each gate G\nrequire no")[2:] == ["for each gate G", "goes through gate G: there is none"]


def test_a_rule_that_does_not_run_there() -> None:
    page = lines("for each lock L\nrequire no", head="only in us", text=PLAN + "jurisdiction eu\n")
    assert page == ["It says nothing.", "It was not asked of this plan: it runs only in us."]


def test_values_are_those_of_the_condition_that_counts() -> None:
    # 24 V at rest, 20 V without mains, 25 V on alarm: 25 V is farthest beyond 23 V.
    alarm = SPACE.on(ALARM)
    dark = ~SPACE.on(MAINS) & EVERY & ~alarm
    volts = levels(SPACE, (alarm, 25.0), (dark, 20.0), (EVERY & ~alarm & ~dark, 24.0))
    page = lines("for each load X\nwhere X.device is given\nrequire in every condition: X.volts <= 23 V",
                 {"L1 volts": volts, "L2 volts": levels(Space(()), (1, 12.0))})  # fmt: skip
    assert "require in every condition → no, for instance fire alarm on: a finding" in page
    assert page[page.index("X.volts <= 23 V → no") + 1] == "X.volts → 25 V"
    assert "require in every condition → yes, for instance in normal condition: as required" in page


def test_the_things_of_some_and_what_was_not_asked() -> None:
    page = lines(
        "for each door D\nrequire some lock L of D where L.rated-volts > 12 V: L.rated-amps > 1 A or L.keeps is latch"
    )
    start = page.index("D = D1") + 1
    assert page[start : start + 11] == [
        "require some lock L of D → yes: as required",
        "L = L1",
        "where L.rated-volts > 12 V → yes",
        "L.rated-volts → 24 V",
        "one of these at least → yes",
        "L.rated-amps > 1 A → no",
        "L.rated-amps → 500 mA",
        "L.keeps is latch → yes",
        "L.keeps → latch",
        "D = D2",
        "require some lock L of D → no: a finding",
    ]
    page = lines("for each lock L\nwhere L.keeps is latch or L.drop-out-volts is given\nrequire yes")
    assert "L.drop-out-volts is given → not asked: decided without it" in page


def test_what_the_plan_does_not_give_is_told_as_such() -> None:
    page = lines("for each lock L\nrequire L.drop-out-volts >= 5 V")
    assert page[1].startswith("Not assessed: test/r for L2: L2 does not state “drop-out-volts”")
    assert "Judged 2 times: as required 1, not so 0, no answer 1." in page
    assert "require L.drop-out-volts >= 5 V → no answer: L2 does not state “drop-out-volts”" in page
    assert "L.drop-out-volts → not given" in page


def test_one_thing_alone() -> None:
    page = lines("for each lock L\nrequire L.rated-volts <= 12 V", only="L2")
    assert "L = L2" in page
    assert "L = L1" not in page


def test_limits_that_are_left_open_are_each_told() -> None:
    page = lines("for each plan P\nrequire 4 V <= most", head="limit most = 5 V\nlimit in us most = 3 V")
    assert [line for line in page if line.startswith("most")] == ["most → 3 V", "most → 5 V"]


def said(finding: Finding) -> tuple[object, ...]:
    """What a finding says, but for the text in which it points."""
    return replace(finding, at=Span(HERE, 0, 0)), finding.at.start, finding.at.end, finding.fingerprint


@pytest.mark.parametrize(
    "body",
    [
        "for each lock L of door D\nwhere D.egress is sensor release\n"
        "require in every condition with fire alarm: not (L secured)",
        "for each door D, lock L of D\nrequire in some condition where L secured: not (L secured)",
        "for each lock L\nrequire not (in every condition: L secured)",
        "for each lock L\n"
        "require (count load X of L where X.polarised is no) >= 1 and every load X of L: X.style is coil",
        "for each load X\nrequire in every condition where X energised: X.volts * X.rated-amps <= 12 W",
        "for each lock L\nrequire L.drop-out-volts >= 5 V",
    ],
)  # fmt: skip
def test_watching_changes_no_verdict(body: str) -> None:
    facts: Facts = {
        "L1 secured": on(MAINS), "L2 secured": on(PRESSED), "L1 energised": on(MAINS), "L2 energised": on(PRESSED),
        "L1 volts": levels(SPACE, (EVERY, 24.0)), "L2 volts": levels(SPACE, (EVERY, 12.0)),
    }  # fmt: skip
    plain = judged(book(rule_text(body)), facts)
    watched = told(body, facts)
    assert list(map(said, watched.reviewed.findings)) == list(map(said, plain.findings))
    assert list(watched.reviewed.not_assessed) == [f"{g.rule} for {g.subject}: {g.reason}" for g in plain.gaps]
    assert sum(step.answer is not True and not step.reason for step in watched.judged) == len(plain.findings)
