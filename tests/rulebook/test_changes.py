"""Changes of rules by in-house packs: what is wrong with one, what comes of it, and who is obeyed of two."""

from __future__ import annotations

import pytest

from plancheck.finding import Mistake, Severity
from plancheck.plan.edition import Edition, read_edition
from plancheck.rulebook.changed import applying
from plancheck.rulebook.load import load_rules
from plancheck.rulebook.rule import Rulebook
from plancheck.source import Source
from tests.rulebook.small import judged, kinds, rule_text

VOLTS = rule_text("for each load X\nrequire X.rated-volts <= most", name="volts", head="limit most = 12 V")
LIFE = VOLTS.replace("rule volts", "rule life").replace("severity error", "severity error\n    life-safety")
PLACED = rule_text(
    "for each load X\nrequire X.rated-volts >= least",
    name="placed",
    head="limit in us least = 5 V\nlimit in eu least = 6 V",
)
ONLY = rule_text("for each load X\nrequire X.rated-volts <= most", name="only", head="only in us\nlimit most = 12 V")
NONE = rule_text("for each load X\nrequire X.rated-volts is most", name="same", head="limit most = 12 V")
SHIPPED = f"pack shipped\n{VOLTS}{LIFE}{PLACED}{ONLY}{NONE}"


def load(**packs: str) -> tuple[Rulebook, list[Mistake]]:
    """The shipped rules and a folder for each pack, named after it."""
    texts = [Source("shipped.rules", SHIPPED)]
    texts += [Source(f"{name}.rules", f"pack {name}\n{text}\n") for name, text in packs.items()]
    return load_rules(texts, kinds(), folder_of={f"{name}.rules": name for name in packs})


def held(**packs: str) -> Rulebook:
    """The rulebook where all these packs apply, nothing wrong with them."""
    book, mistakes = load(**packs)
    assert [m.headline for m in mistakes] == []
    return applying(book, set(packs))


def effects(book: Rulebook) -> list[tuple[str, str, bool, str]]:
    return [(c.change.pack, e.says, e.loosens, e.against) for c in book.cases for e in c.effects]


# --- mistakes ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "at", "headline", "hint"),
    [
        ("change shipped/vlots { off; reason \"r\" }", "shipped/vlots", "There is no rule", "“shipped/volts”"),
        ("change volts { off }", "{", "“change” cannot be read", ""),
        ("change ship/volts { off; reason \"r\" }", "ship/volts", "There is no rule", "“shipped/volts”"),
        ("change shipped/volts { off }", "shipped/volts", "A change gives its reason", ""),
        ("change shipped/volts { off; reason \" \" }", '" "', "A change gives its reason", ""),
        ("change shipped/volts { reason \"r\" }", "shipped/volts", "This changes nothing", ""),
        ("change shipped/volts { reason \"r\"; reason \"s\"; off }", '"s"', "“reason” is said twice", ""),
        ("change shipped/volts { reason \"r\"; off; off }", "off", "“off” is said twice", ""),
        ("change shipped/volts { reason \"r\"; off; severity note }", "off", "What is switched off has no limits", ""),
        ("change shipped/volts { reason \"r\"; severity nite }", "nite", "This is no severity", "“note”"),
        ("change shipped/volts { reason \"r\"; limit mots = 3 V }", "mots", "shipped/volts has no limit", "“most”"),
        ("change shipped/volts { reason \"r\"; limit most = 3 A }", "3 A", "“most” of shipped/volts is a voltage", ""),
        ("change shipped/volts { reason \"r\"; limit most = 3 }", "3", "A limit needs its unit", ""),
        ("change shipped/volts { reason \"r\"; limit most = 3 Vcd }", "3 Vcd", "“Vcd” is no unit", "“Vdc”"),
        ("change shipped/volts { reason \"r\"; limit in uk most = 3 V }", "uk", "This is no jurisdiction", ""),
        ("change shipped/only { reason \"r\"; limit in eu most = 3 V }", "most = 3 V", "shipped/only runs only in", ""),
        (
            "change shipped/volts { reason \"r\"; limit most = 3 V; limit most = 4 V }",
            "most = 4 V",
            "The limit “most” is given twice",
            "",
        ),
        ("change shipped/volts { reason \"r\"; limt most = 3 V }", "limt", "“change” cannot be read", "“limit”"),
        ("change shipped/volts { reason \"r\"; off", "{", "This brace is never closed", ""),
        ("change own/r { off; reason \"r\" }", "own/r", "A pack changes no rule of its own", ""),
        ("house \"x\" { packs \"y\" }", '"x"', "“house” belongs in the company's own file", ""),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_at_its_place(change: str, at: str, headline: str, hint: str) -> None:
    book, mistakes = load(own=change)
    (mistake,) = mistakes
    assert mistake.at.text == at
    assert mistake.at.line == 2
    assert mistake.headline.startswith(headline)
    assert hint in mistake.hint
    assert book.changes == ()
    assert len(book.rules) == 5


def test_a_rule_is_changed_once_by_a_pack() -> None:
    one = 'change shipped/volts { reason "r"; limit most = 3 V }\n'
    book, (mistake,) = load(own=one + one)
    assert mistake.headline == "The pack changes “shipped/volts” already"
    assert (mistake.at.line, mistake.also_at[0].line) == (3, 2)
    assert [change.at.line for change in book.changes] == [2]


def test_a_change_before_any_pack_is_of_none() -> None:
    text = 'change shipped/volts { off; reason "r" }\n'
    _, mistakes = load_rules([Source("s", SHIPPED), Source("o", text)], kinds(), folder_of={"o": "own"})
    assert [m.headline for m in mistakes] == ["This change is of no pack"]


def test_a_pack_takes_no_name_of_another() -> None:
    rule = rule_text("for each load X\nrequire no", name="volts")
    texts = [Source("shipped.rules", SHIPPED), Source("own.rules", f"pack shipped\n{rule}")]
    book, (mistake,) = load_rules(texts, kinds(), folder_of={"own.rules": "own"})
    assert mistake.headline == "The pack “shipped” is a shipped one already"
    assert (mistake.at.source.name, mistake.at.line) == ("own.rules", 1)
    assert [(span.source.name, span.text) for span in mistake.also_at] == [("shipped.rules", "shipped")]
    assert "change shipped/RULE" in mistake.hint
    assert len(book.rules) == 5
    texts = [Source("a", "pack own"), Source("b", "pack own"), Source("c", "pack other")]
    _, mistakes = load_rules(texts, kinds(), folder_of={"a": "one", "b": "two", "c": "one"})
    assert [(m.headline, m.at.source.name, m.also_at[0].source.name) for m in mistakes] == [
        ("The pack “own” is in one already", "b", "a"),
        ("A folder is one pack", "c", "a"),
    ]


# --- what comes of it --------------------------------------------------------------------------------------


def test_a_changed_limit_is_judged_by_and_shown() -> None:
    at_12 = 'plan "P"\njurisdiction us\nholder L1 { rated 12 Vdc, 1 A }\n'
    change = 'change shipped/volts { reason "r"; limit most = 10 V source "us"; severity warning }'
    assert [f.rule for f in judged(load()[0], {}, at_12).findings] == []
    book = held(own=change)
    (finding,) = (f for f in judged(book, {}, at_12).findings if f.rule == "shipped/volts")
    assert finding.severity is Severity.WARNING
    rule = book.get("shipped/volts")
    assert rule is not None
    assert [(x.name, x.value, x.text, x.source) for x in rule.limits] == [("most", 10, "10 V", "us")]
    assert effects(book) == [
        ("own", "severity warning instead of error", True, ""),
        ("own", "limit most 10 V instead of 12 V", False, ""),
    ]


def test_what_a_pack_makes_of_a_rule_stands_in_the_basis_of_its_findings() -> None:
    book = held(own='change shipped/volts { reason "r"; limit most = 10 V }')
    (finding, *_) = (f for f in judged(book, {}).findings if f.rule == "shipped/volts")
    assert finding.basis[-1] == "as the pack own has it: limit most 10 V instead of 12 V, r"
    overruled = held(
        a='change shipped/volts { reason "r"; limit most = 10 V }',
        b='change shipped/volts { reason "s"; limit most = 11 V }',
    )
    (finding, *_) = (f for f in judged(overruled, {}).findings if f.rule == "shipped/volts")
    assert [b for b in finding.basis if b.startswith("as the pack")] == [
        "as the pack a has it: limit most 10 V instead of 12 V, r"
    ]


def test_a_rule_that_watches_over_changes_cannot_be_changed() -> None:
    watch = rule_text("for each change C\nrequire not C.loosens", name="watch", head="life-safety")
    for part in ("off", "severity note"):
        texts = [
            Source("w.rules", f"pack watching\n{watch}{VOLTS}"),
            Source("o.rules", f'pack own\nchange watching/watch {{ reason "r"; {part} }}\n'
                   'change watching/volts { reason "r"; off }\n'),
        ]  # fmt: skip
        book, mistakes = load_rules(texts, kinds(), folder_of={"o.rules": "own"})
        assert [m.headline for m in mistakes] == ["watching/watch watches over changes, and none may touch it"]
        assert [f.rule for f in judged(applying(book, {"own"}), {}).findings] == ["watching/watch"]


def test_a_pack_that_does_not_apply_changes_nothing() -> None:
    book, _ = load(own='change shipped/volts { off; reason "r" }\n' + rule_text("for each load X\nrequire no"))
    assert [r.id for r in applying(book, ()).rules] == [r.id for r in load()[0].rules]
    assert applying(book, ()).cases == ()
    assert [r.id for r in applying(book, {"own"}).rules if r.id in ("shipped/volts", "own/r")] == ["own/r"]


@pytest.mark.parametrize(
    ("part", "loosens"),
    [
        ("limit most = 13 V", True),
        ("limit most = 11 V", False),
        ("limit most = 12 V", False),
        ("limit in us most = 13 V; limit in eu most = 11 V", True),
        ("limit most = 11 V; severity note", True),
        ("severity error", False),
        ("off", True),
    ],
)
def test_loosening_is_told_from_tightening(part: str, loosens: bool) -> None:
    (case,) = held(own=f'change shipped/life {{ reason "r"; {part} }}').cases
    assert (case.loosens, case.life_safety, case.switches_off) == (loosens, True, part == "off")


def test_what_cannot_be_told_counts_as_loosening() -> None:
    for volts, loosens in ((11, True), (13, True), (12, False)):
        (case,) = held(own=f'change shipped/same {{ reason "r"; limit most = {volts} V }}').cases
        assert case.loosens is loosens


def test_a_limit_for_a_place_leaves_the_others() -> None:
    def limits(change: str, rule: str) -> list[tuple[str, str]]:
        found = held(own=f'change {rule} {{ reason "r"; {change} }}').get(rule)
        assert found is not None
        return [(limit.tag, limit.text) for limit in found.limits]

    assert limits("limit in us most = 10 V", "shipped/volts") == [("", "12 V"), ("us", "10 V")]
    assert limits("limit most = 10 V", "shipped/volts") == [("", "10 V")]
    assert limits("limit least = 7 V", "shipped/placed") == [("us", "7 V"), ("eu", "7 V")]
    assert limits("limit in eu least = 7 V", "shipped/placed") == [("us", "5 V"), ("eu", "7 V")]


# --- two packs ---------------------------------------------------------------------------------------------


def test_of_two_limits_the_stricter_holds_whatever_the_order() -> None:
    strict = 'change shipped/volts { reason "r"; limit most = 10 V }'
    loose = 'change shipped/volts { reason "s"; limit most = 20 V; severity note }'
    for packs in ({"a": strict, "b": loose}, {"b": loose, "a": strict}):
        book = held(**packs)
        rule = book.get("shipped/volts")
        assert rule is not None
        assert [limit.text for limit in rule.limits] == ["10 V"]
        assert rule.severity is Severity.NOTE
        assert sorted(effects(book)) == [
            ("a", "limit most 10 V instead of 12 V", False, ""),
            ("b", "limit most 20 V instead of 12 V", True, "a wants 10 V"),
            ("b", "severity note instead of error", True, ""),
        ]


def test_of_two_severities_the_higher_holds() -> None:
    book = held(
        a='change shipped/volts { reason "r"; severity note }',
        b='change shipped/volts { reason "r"; severity warning }',
    )
    rule = book.get("shipped/volts")
    assert rule is not None
    assert rule.severity is Severity.WARNING
    assert [e[3] for e in effects(book)] == ["b wants warning", ""]


def test_on_holds_against_off() -> None:
    off, on = 'change shipped/life { reason "r"; off }', 'change shipped/life { reason "r"; severity error }'
    book = held(a=off, b=on)
    assert book.get("shipped/life") is not None
    first, second = book.cases
    assert (first.loosens, first.switches_off, first.overruled) == (False, False, True)
    assert (second.loosens, second.overruled) == (False, False)
    assert held(a=off, b=off).get("shipped/life") is None


def test_where_the_stricter_cannot_be_told_the_rule_s_own_stays() -> None:
    book = held(
        a='change shipped/same { reason "r"; limit most = 10 V }',
        b='change shipped/same { reason "r"; limit most = 11 V }',
    )
    rule = book.get("shipped/same")
    assert rule is not None
    assert [limit.text for limit in rule.limits] == ["12 V"]
    assert {e[3] for e in effects(book)} == {"packs differ, and which is stricter cannot be told"}
    agreed = held(**dict.fromkeys(("a", "b"), 'change shipped/same { reason "r"; limit most = 10 V }'))
    found = agreed.get("shipped/same")
    assert found is not None
    assert [limit.text for limit in found.limits] == ["10 V"]


def test_a_pack_may_change_the_rule_of_another_pack() -> None:
    own = rule_text("for each load X\nrequire X.rated-volts <= most", head="limit most = 9 V")
    book = held(a=own, b='change a/r { reason "r"; limit most = 8 V }')
    rule = book.get("a/r")
    assert rule is not None
    assert [limit.text for limit in rule.limits] == ["8 V"]
    assert applying(book, {"b"}).cases == ()


QBC_2021 = Edition("QBC", 2021, "QBC 2021")
EDITIONS = """pack codes
""" + rule_text(
    "for each load X\nrequire X.rated-volts >= least",
    name="dated",
    head='limit in us least = 5 V\nlimit least = 4 V\nlimit under "QBC 2022" least = 6 V',
)


@pytest.mark.parametrize(
    ("said", "us", "us_dated", "eu", "eu_dated"),
    [
        ("limit in us least = 7 V", 7, 7, 4, 6),  # stricter than every edition
        ("limit in us least = 5.5 V", 5.5, 6, 4, 6),  # stricter than before, looser than the edition
        ("limit in us least = 3 V", 3, 3, 4, 6),  # looser throughout, and told so
        ('limit in us under "QBC 2022" least = 7 V', 5, 7, 4, 6),
        ("limit in eu least = 7 V", 5, 6, 7, 7),
        ("limit least = 7 V", 7, 7, 7, 7),
        ("limit least = 5.5 V", 5.5, 6, 5.5, 6),
    ],
)
def test_a_stricter_limit_for_a_place_holds_under_its_editions_too(
    said: str, us: float, us_dated: float, eu: float, eu_dated: float
) -> None:
    """By hand: what counts is never less than both what the pack asks of a place and what an edition asked there."""
    texts = [Source("codes", EDITIONS), Source("own", f'pack own\nchange codes/dated {{ reason "r"; {said} }}\n')]
    book, mistakes = load_rules(texts, kinds(), folder_of={"own": "own"})
    assert mistakes == []
    changed = applying(book, {"own"})
    rule, dated = changed.rules[0], read_edition("QBC 2022")
    assert dated is not None
    counting = [rule.limits_in(place, editions) for place in ("us", "eu") for editions in ([QBC_2021], [dated])]
    assert [each.values["least"] for [each] in counting] == [us, us_dated, eu, eu_dated]
    assert changed.cases[0].loosens == (us < 5 or us_dated < 6)
