"""Clauses by edition: the shipped tables, how they are cited, what a door claims, packs that add to them."""

from __future__ import annotations

from datetime import date

import pytest

from plancheck.library.load import load_library
from plancheck.plan.edition import Edition, read_edition
from plancheck.review.review import review_text
from plancheck.rulebook.changed import applying
from plancheck.rulebook.load import load_rules
from plancheck.rulebook.topics import Topic, cite, read_claim, topics_of
from plancheck.source import Source
from tests.rulebook.small import PLAN as SMALL
from tests.rulebook.small import book, judged, kinds, rule_text

# Numbers as a code specialist's columns, the code council's journal and a city's plan-review notes print them
# (published); those with a star are from memory, and the tables must say so.
PRINTED = {
    "free": {"IBC 2015": "1010.1.9", "IBC 2021": "1010.2.10*", "IBC 2024": "1010.2.9", "NFPA 101": "7.2.1.5"},
    "hardware-release": {
        "IBC 2015": "1010.1.9.9", "IBC 2018": "1010.1.9.10", "IBC 2021": "1010.2.11*", "IBC 2024": "1010.2.10*",
        "NFPA 101": "7.2.1.5.6",
    },
    "sensor-release": {
        "IBC 2015": "1010.1.9.8", "IBC 2018": "1010.1.9.9", "IBC 2021": "1010.2.12", "IBC 2024": "1010.2.11*",
        "NFPA 101": "7.2.1.6.2",
    },
    "delayed": {
        "IBC 2015": "1010.1.9.7", "IBC 2018": "1010.1.9.8", "IBC 2021": "1010.2.13*", "IBC 2024": "1010.2.12*",
        "NFPA 101": "7.2.1.6.1",
    },
    "controlled": {
        "IBC 2015": "1010.1.9.6", "IBC 2018": "1010.1.9.7", "IBC 2021": "1010.2.14*", "IBC 2024": "1010.2.13*",
        "NFPA 101": "18/19.2.2.2.5",
    },
    "elevator-lobby": {"IBC 2015": "3006.4", "IBC 2024": "1010.2.14*", "NFPA 101": "7.2.1.6.3"},
    "stair-doors": {
        "IBC 2015": "1010.1.9.11", "IBC 2018": "1010.1.9.12*", "IBC 2021": "1010.2.7*", "IBC 2024": "1010.2.6*",
        "NFPA 101": "7.2.1.5.8",
    },
}  # fmt: skip


def topics() -> dict[str, Topic]:
    return dict(load_library([]).rulebook.topics)


def editions(*texts: str) -> list[Edition]:
    found = [read_edition(text) for text in texts]
    return [edition for edition in found if edition is not None]


@pytest.mark.parametrize("name", PRINTED)
def test_the_shipped_table_says_what_was_printed(name: str) -> None:
    table = {}
    for clause in topics()[name].clauses:
        star = "" if clause.grade == "published" else "*"
        assert clause.grade in ("published", "from memory")
        table[clause.edition.text] = clause.text + star
    printed = {k: v for k, v in PRINTED[name].items() if k != "NFPA 101"}
    printed |= {f"NFPA 101-{year}": PRINTED[name]["NFPA 101"] for year in (2012, 2015)}
    assert table == printed


def test_nfpa_72_moved_its_section_twice() -> None:
    # 6.16.7 in 2007, 21.9 in 2010 to 2016, 21.10 from 2019 (published).
    release = topics()["alarm-release"]
    for year, number in ((2007, "6.16.7"), (2010, "21.9"), (2013, "21.9"), (2016, "21.9"), (2019, "21.10")):
        (cited,) = cite([release], editions(f"NFPA 72-{year}"))
        assert cited.startswith(f"NFPA 72-{year}, {number} (")


def test_a_named_edition_is_cited_and_codes_beside_it_are_not() -> None:
    sensor = topics()["sensor-release"]
    assert cite([sensor], editions("IBC 2018")) == ["IBC 2018, 1010.1.9.9 (sensor release) (published)"]
    assert cite([sensor], editions("NFPA 101-2012", "IBC 2015")) == [
        "IBC 2015, 1010.1.9.8 (sensor release) (published)",
        "NFPA 101-2012, 7.2.1.6.2 (sensor release) (published)",
    ]


def test_without_an_edition_the_newest_is_cited_with_it() -> None:
    assert cite([topics()["sensor-release"]], []) == [
        "IBC 2024, 1010.2.11 (sensor release) (from memory)",
        "NFPA 101-2015, 7.2.1.6.2 (sensor release) (published)",
    ]


def test_an_edition_that_is_not_in_the_table_is_told_by_the_nearest_earlier_one() -> None:
    lobby = topics()["elevator-lobby"]
    assert cite([lobby], editions("IBC 2018")) == [
        "IBC 2015, 3006.4 (elevator lobbies) (published; the nearest earlier edition known: "
        "find the clause in IBC 2018)"
    ]
    assert cite([lobby], editions("IBC 2009")) == [
        "IBC 2015, 3006.4 (elevator lobbies) (published; no earlier edition is known: find the clause in IBC 2009)"
    ]


def test_a_code_that_no_table_knows_changes_nothing() -> None:
    sensor = topics()["sensor-release"]
    assert cite([sensor], editions("QBC 2018")) == cite([sensor], [])


def test_of_several_topics_those_of_the_door_s_class_are_cited() -> None:
    known = topics()
    asked = [known["sensor-release"], known["delayed"], known["alarm-release"]]
    assert cite(asked, editions("IBC 2018", "NFPA 72-2019"), ["delayed"]) == [
        "IBC 2018, 1010.1.9.8 (delayed egress) (published)",
        "NFPA 72-2019, 21.10 (release on fire alarm) (published)",
    ]
    assert cite(asked[:2], editions("IBC 2018"), ["alarm only"]) == [
        "IBC 2018, 1010.1.9.9 (sensor release), 1010.1.9.8 (delayed egress) (published)"
    ]


@pytest.mark.parametrize(
    ("claim", "names"),
    [
        ("IBC 2021, 1010.2.12", ["sensor-release"]),
        ("IBC 2021 section 1010.2.12, item 3", ["sensor-release"]),
        ("ibc 2021, § 1010.2.12", ["sensor-release"]),
        ("NFPA 101-2012, 19.2.2.2.5", ["controlled"]),
        ("IBC 2021, 1010.2.1", []),
        ("IBC 2006, 1010.2.12", []),
    ],
)
def test_what_a_claimed_clause_is_about(claim: str, names: list[str]) -> None:
    claimed = read_claim(claim)
    assert claimed is not None
    assert [topic.name for topic, _ in topics_of(claimed, topics().values())] == names


def test_a_claim_in_other_words_is_none() -> None:
    assert read_claim("state amendment 7, care wards") is None
    assert read_claim("IBC 2021") is None


# --- in a review -------------------------------------------------------------------------------------------------

PLAN = """plan "Kestrel Wharf boat school, chart house"
jurisdiction us
{header}
magnetic-lock ML1 {{ rated 24 Vdc, 250 mA; drop-out 6 V }}
door D1 {{ on exit path; egress {egress}; claimed under "{claim}"; locks ML1 }}
"""


def review(header: str, egress: str, claim: str) -> dict[str, tuple[str, tuple[str, ...]]]:
    library = load_library([])
    source = Source("p.plan", PLAN.format(header=header, egress=egress, claim=claim))
    report = review_text(source, library.kinds, library.rulebook, lambda name, by: "none", date(2026, 11, 25))
    found = {f.rule: (f.headline, f.basis) for f in report.findings}
    found["assumed"] = ("", tuple(report.assumed))
    return found


def test_a_report_cites_the_plan_s_edition() -> None:
    found = review('edition "IBC 2015"', "sensor release", "IBC 2015, 1010.1.9.8")
    assert found["egress/button-present"][1] == ("IBC 2015, 1010.1.9.8 (sensor release) (published)",)
    assert "egress/clause-claimed" not in found
    assert "egress/clause-of-another-edition" not in found


def test_a_clause_of_another_topic_is_found() -> None:
    found = review("", "controlled", "IBC 2018, 1010.1.9.9")
    assert found["egress/clause-claimed"][0] == "D1 is of class controlled, yet claims the clause of sensor release"


def test_a_clause_of_another_edition_than_the_plan_s_is_found() -> None:
    found = review('edition "IBC 2018"', "sensor release", "IBC 2015, 1010.1.9.8")
    assert "claims IBC 2015, 1010.1.9.8, yet the plan goes by IBC 2018" in found["egress/clause-of-another-edition"][0]


def test_a_code_that_nothing_knows_is_told() -> None:
    assert any(
        "ICB 2018 is named, of which no rule knows a clause or limit. Did you mean “IBC”?" in line
        for line in review('edition "ICB 2018"', "sensor release", "IBC 2018, 1010.1.9.9")["assumed"][1]
    )


# --- tables in rules files ---------------------------------------------------------------------------------------

TABLE = """clauses gangway "Gangways" for none {
    "QBC 2015" "1.1" grade published
    "QBC 2018" "1.2"; "QBC 2021" "1.3" grade from memory
}
"""


def load(*texts: str) -> tuple[dict[str, Topic], list[str], list[tuple[str, ...]]]:
    book, mistakes = load_rules([Source(f"{i}.rules", t) for i, t in enumerate(texts)], kinds())
    told = [f"{m.at.text}: {m.headline}; {m.found}; {m.expected}; {m.hint}" for m in mistakes]
    return dict(book.topics), told, [rule.basis_in("us", editions("QBC 2018")) for rule in book.rules]


def test_a_rule_refers_to_a_table_that_stands_anywhere() -> None:
    rule = rule_text("for each lock L\nrequire L.rated-volts <= 12 V", head='basis us clause gangway "as well"')
    _, mistakes, bases = load("pack a\n" + rule, "pack b\n" + TABLE)
    assert mistakes == []
    assert bases == [("common practice, no source", "QBC 2018, 1.2 (gangways)", "as well")]


def test_a_pack_adds_an_edition_and_changes_none() -> None:
    more = 'clauses gangway {\n    "QBC 2024" "1.4"\n    "QBC 2018" "9.9"\n}\n'
    topics, mistakes, _ = load("pack a\n" + TABLE, "pack b\n" + more)
    assert [c.text for c in topics["gangway"].of_code("QBC")] == ["1.1", "1.2", "1.3", "1.4"]
    assert mistakes == [
        '"QBC 2018" "9.9": The clause on gangways of QBC 2018 is given already; “9.9”; one: it is 1.2; '
    ]


def test_an_in_house_pack_does_not_say_who_may_claim_another_s_clauses() -> None:
    folders = {"1.rules": "site"}
    texts = [Source("0.rules", "pack a\n" + TABLE), Source("1.rules", "")]
    for words, told in {
        "": [],
        " for none": [],
        " for none, delayed": ["delayed: “delayed”"],
    }.items():
        texts[1] = Source("1.rules", f'pack b\nclauses gangway{words} {{\n    "QBC 2024" "1.4"\n}}\n')
        book, mistakes = load_rules(texts, kinds(), folder_of=folders)
        assert [f"{m.at.text}: {m.found}" for m in mistakes] == told
        assert book.topics["gangway"].classes == ("none",)


def test_a_pack_gives_no_edition_once_more_by_other_words() -> None:
    more = 'pack b\nclauses gangway {\n    "QBC-2018" "9.9"\n}\n'
    texts = [Source("0.rules", "pack a\n" + TABLE), Source("1.rules", more)]
    _, mistakes = load_rules(texts, kinds(), folder_of={"1.rules": "site"})
    assert [m.headline for m in mistakes] == ["The clause on gangways of QBC-2018 is given already"]


def test_clauses_of_a_pack_count_where_it_applies_and_are_cited_as_its() -> None:
    rule = rule_text("for each lock L\nrequire L.rated-volts <= 12 V", head="basis us clause gangway")
    more = 'pack b\nclauses gangway {\n    "QBC 2024" "1.4" grade published\n}\nclauses pier { "QBC 2024" "1.5" }\n'
    texts = [Source("0.rules", "pack a\n" + TABLE + rule), Source("1.rules", more)]
    book, mistakes = load_rules(texts, kinds(), folder_of={"1.rules": "site"})
    assert mistakes == []
    without, beside = applying(book, ()), applying(book, {"b"})
    assert (list(without.topics), list(beside.topics)) == (["gangway"], ["gangway", "pier"])
    assert without.rules[0].basis_in("us")[-1] == "QBC 2021, 1.3 (gangways) (from memory)"
    assert beside.rules[0].basis_in("us")[-1] == "QBC 2024, 1.4 (gangways) (published; as the pack b has it)"


def test_a_table_before_any_pack_is_none_of_an_in_house_one() -> None:
    texts = [Source("0.rules", "pack a\n" + TABLE), Source("1.rules", 'clauses pier { "QBC 2024" "1.5" }\n')]
    book, mistakes = load_rules(texts, kinds(), folder_of={"1.rules": "site"})
    assert [m.headline for m in mistakes] == ["This table is of no pack"]
    assert "pier" not in applying(book, {"site"}).topics


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('clauses gangway { "QBC" "1.1" }\n', '"QBC": An edition names a code and its year; “QBC”'),
        ('clauses gangway { "QBC 2018" "1.1" grade publisht }\n', "publisht: This is no grade of a source"),
        ("clauses gangway {\n}\n", "gangway: This table holds no clause"),
        ('clauses gangway { "QBC 2018" }\n', "“clauses” cannot be read"),
    ],
)
def test_a_table_that_is_wrong(text: str, told: str) -> None:
    _, mistakes, _ = load("pack a\n" + text)
    assert len(mistakes) == 1
    assert told in mistakes[0]


def test_a_basis_on_a_table_that_is_none() -> None:
    rule = rule_text("for each lock L\nrequire L.rated-volts <= 12 V", head="basis us clause gangwy")
    _, mistakes, _ = load("pack a\n" + TABLE + rule)
    assert mistakes == ["gangwy: No table of clauses is called “gangwy”; “gangwy”; gangway; Did you mean “gangway”?"]


def test_a_table_without_end_is_cut_off_and_told_once() -> None:
    rows = "\n".join(f'    "Q{i} 2020" "1"' for i in range(5_000))
    topics, mistakes, _ = load(f"pack a\nclauses gangway {{\n{rows}\n}}\n")
    assert len(topics["gangway"].clauses) == 200
    assert len(mistakes) == 1
    assert "This table of clauses is too long; more than 200; at most 200 clauses on one topic" in mistakes[0]


def test_a_rule_may_ask_that_a_plan_names_its_editions() -> None:
    rules = book(rule_text('for each plan P\nrequire P.editions is given\nfound "{P.editions}"'))
    assert [f.found for f in judged(rules, {}).findings] == ["not given"]
    assert judged(rules, {}, SMALL.replace('"Small"', '"Small"\nedition "IBC 2018"')).findings == ()
