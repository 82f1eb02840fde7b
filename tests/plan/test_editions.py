"""Editions of codes: how they are written, and the header that names them."""

from __future__ import annotations

import pytest

from plancheck.plan.edition import edition_first, read_edition
from plancheck.plan.model import Plan
from plancheck.plan.resolve import resolve
from plancheck.source import Source
from tests.rulebook.small import kinds


@pytest.mark.parametrize(
    ("text", "code", "year"),
    [
        ("IBC 2018", "IBC", 2018),
        ("  IBC   2018 ", "IBC", 2018),
        ("NFPA 101-2015", "NFPA 101", 2015),
        ("NFPA 2001-2018", "NFPA 2001", 2018),
        ("BS 7273-4:2015+A2:2023", "BS 7273-4", 2015),
        ("EN 13637:2015", "EN 13637", 2015),
    ],
)
def test_code_and_year(text: str, code: str, year: int) -> None:
    edition = read_edition(text)
    assert edition is not None
    assert (edition.code, edition.year) == (code, year)


@pytest.mark.parametrize("text", ["", "IBC", "2018", "EN 13637", "IBC 18", "IBC 2021, 1010.2.12", "the newest"])
def test_what_is_no_edition(text: str) -> None:
    assert read_edition(text) is None


@pytest.mark.parametrize(
    ("text", "edition", "rest"),
    [
        ("IBC 2021, 1010.2.12", "IBC 2021", "1010.2.12"),
        ("NFPA 101-2015 7.2.1.6.2", "NFPA 101-2015", "7.2.1.6.2"),
        ("IBC 2021: section 1010.2.12(3)", "IBC 2021", "section 1010.2.12(3)"),
    ],
)
def test_a_clause_begins_with_its_edition(text: str, edition: str, rest: str) -> None:
    found = edition_first(text)
    assert found is not None
    assert (found[0].text, found[1]) == (edition, rest)


@pytest.mark.parametrize("text", ["state amendment 7, care wards", "1010.2.12", "x" * 5_000, "2000," * 5_000])
def test_a_clause_in_words_of_the_author_s_own_has_none(text: str) -> None:
    assert edition_first(text) is None


def read(text: str) -> tuple[Plan, list[str]]:
    plan, mistakes = resolve(Source("e.plan", 'plan "p"\n' + text), kinds(), lambda name, source: "nothing")
    return plan, [m.headline for m in mistakes]


def test_a_plan_names_an_edition_of_each_code() -> None:
    plan, mistakes = read('edition "IBC 2018", "NFPA 101-2015"\nedition "NFPA 72-2019", "IBC 2018"\n')
    assert mistakes == []
    assert [e.text for e in plan.editions] == ["IBC 2018", "NFPA 101-2015", "NFPA 72-2019"]


@pytest.mark.parametrize(
    ("text", "headline"),
    [
        ('edition "IBC"\n', "An edition names a code and its year"),
        ('edition "IBC 2018", "ibc 2021"\n', "Two editions of IBC cannot both hold"),
        ("edition IBC\n", "“edition” cannot be read"),
        ("edition\n", "This statement is cut short"),
    ],
)
def test_an_edition_that_cannot_be_taken(text: str, headline: str) -> None:
    plan, mistakes = read(text)
    assert mistakes == [headline]
    assert [e.text for e in plan.editions] in ([], ["IBC 2018"])
