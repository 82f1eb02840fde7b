"""Rules found wrong: each mistake at its place, with what was found, what was expected, and the way out."""

from __future__ import annotations

import pytest

from plancheck.finding import Mistake
from tests.rulebook.small import load, rule_text


def only_mistake(*rules: str) -> Mistake:
    book, mistakes = load(*rules)
    assert [m.headline for m in mistakes] == [mistakes[0].headline]
    assert book.rules == ()
    return mistakes[0]


@pytest.mark.parametrize(
    ("line", "headline", "hint"),
    [
        # names
        ("require X.‹rated-vols› > 5 V", "A load has no fact “rated-vols”", "Did you mean “rated-volts”?"),
        ("require ‹Y›.rated-volts > 5 V", "Nothing here is called “Y”", ""),
        ("require X.rated-volts > ‹moost›", "Nothing here is called “moost”", "Did you mean “most”?"),
        ("require X.‹drop-out-volts› > 5 V", "A load has no fact", "Its device has it:"),
        ("require X.device.keeps is ‹latsch›", "It is never “latsch”", "Did you mean “latch”?"),
        ("require X.device.keeps is one of latch, ‹nothing at al›", "It is never", "Did you mean “nothing at all”?"),
        ("require X.device.kind is ‹holdr›", "It is never “holdr”", "Did you mean “holder”?"),
        # types and units
        ("require X.rated-volts > ‹5 A›", "voltage and current cannot be set", "A voltage is written"),
        ("require X.rated-volts * X.rated-amps > ‹5 V›", "power and voltage cannot be", "A power is written"),
        ("require X.rated-volts + ‹1 A› > 5 V", "voltage and current cannot be", ""),
        ("require X.rated-volts > ‹5 Volts›", "“Volts” is no unit", ""),
        ("require ‹X.rated-volts›", "What a rule requires must be yes or no", "Compare it"),
        ("require X ‹rated-volts›", "“rated-volts” is no yes or no", "Write “X.rated-volts”."),
        ("require ‹X.polarised› > 5 V", "What stands left of “>” must be a number", ""),
        ("require not ‹X.rated-volts›", "What “not” denies must be yes or no", ""),
        ("require X.style is ‹5 V›", "The two sides of “is” can never be the same", ""),
        ("require X.polarised is ‹maybe›", "A yes-or-no fact is yes or no", ""),
        ("require ‹X.rated-volts› is one of low, high", "“is one of” asks for words", ""),
        # conditions
        ("require X.‹volts› > 5 V", "“volts” changes with the operating condition", "Ask for it “in every condition"),
        ("require in every condition: ‹in some condition: X fed›", "A condition stands within a condition", ""),
        ("require in every condition with ‹fire alram›: X fed", "No situation is called", "Did you mean “fire alarm”?"),
        ("require in some condition with power to ‹X.rated-volts› lost: X fed", "Only a device has power to lose", ""),
        ("require in every condition: ‹X.volts› is given", "“is given” asks what the plan says", ""),
        # things
        ("require some ‹lok› L of X: L.fails-safe", "There is no class of things “lok”", "Did you mean “lock”?"),
        ("require some ‹door E of X›: E.width > 1 m", "A door is not “of” a load", ""),
        ("require some lock ‹X›: X.fails-safe", "“X” is taken already", ""),
        ("require some lock L of ‹Q›: L.fails-safe", "Nothing here is called “Q”", "To go through all of them, say"),
        ("require some device T in ‹X.rated-volts›: T.fails-safe", "This is no list of devices", ""),
        ("require X.device.rated-volts.‹x› is given", "“x” cannot be asked of this", ""),
    ],
)  # fmt: skip
def test_an_expression_that_is_wrong(line: str, headline: str, hint: str) -> None:
    marked = line[line.index("‹") + 1 : line.index("›")]
    line = line.replace("‹", "").replace("›", "")
    mistake = only_mistake(rule_text(f"for each load X\n{line}", head="limit most = 5 V"))
    assert mistake.at.text == marked
    assert mistake.headline.startswith(headline)
    assert mistake.hint.startswith(hint)


@pytest.mark.parametrize(
    ("line", "marked", "headline"),
    [
        ('found "{X.vollts}"', "vollts", "A load has no fact"),
        ('found "{}"', "{}", "A brace in a text holds an expression"),
        ('found "a } b"', "}", "A brace in a text holds an expression"),
        ('found "{X.volts}"', "volts", "“volts” changes with the operating condition"),
        ('found "{condition}"', "condition", "This rule looks at no condition"),
        ('found "{X.rated-volts +}"', "+", "This expression is not finished"),
        ('found "a" "{X.foo}"', "foo", "A load has no fact"),
        ('evidence "x" is X.rated-volts against 5 A', "5 A", "The limit is not of the sort of the value"),
        ("at X.rated-voltz", "rated-voltz", "A load has no fact"),
        ("at most", "most", "A finding points at a thing"),
        ("path most", "most", "No current passes through this"),
        ('required "a"\nrequired "b"', "b", "“required” is said twice"),
    ],
)
def test_a_member_that_is_wrong(line: str, marked: str, headline: str) -> None:
    body = f"for each load X\nrequire X.rated-volts > most\n{line}"
    mistake = only_mistake(rule_text(body, head="limit most = 5 V"))
    assert marked in mistake.at.text
    assert mistake.headline.startswith(headline)


@pytest.mark.parametrize(
    ("member", "headline"),
    [
        ('title "A title"', "This rule has no “title”"),
        ("severity error", "This rule has no “severity”"),
        ('basis "common practice, no source"', "This rule has no “basis”"),
        ('known limits "None."', "This rule has no “known limits”"),
        ('passes "p" { plan "p" }', "This rule has no “passes” plan"),
        ('fails "f" { plan "f" }', "This rule has no “fails” plan"),
        ('found "found of it"', "This “for each” has no “found”"),
        ('required "required of it"', "This “for each” has no “required”"),
        ('remedy "remedy of it"', "This “for each” has no “remedy”"),
        ("require X.polarised", "This “for each” has no “require”"),
    ],
)
def test_what_must_be_there(member: str, headline: str) -> None:
    text = rule_text("for each load X\nrequire X.polarised")
    assert member in text
    assert only_mistake(text.replace(f"    {member}\n", "")).headline == headline


@pytest.mark.parametrize(
    ("head", "headline", "marked"),
    [
        ("severity bad", "“severity” is said twice", "bad"),
        ("limit most = 5", "A limit needs its unit", "5"),
        ("limit most = 5 lokcs", "“lokcs” is no unit", "5 lokcs"),
        ("limit in fr most = 5 V", "This is no jurisdiction", "fr"),
        ("limit in us most = 5 V", "The limit “most” is not given for eu", "most = 5 V"),
        ("only in fr", "This is no jurisdiction", "fr"),
        ('basis "x" grade hearsay', "This is no grade of a source", "hearsay"),
        ('passes "p" { plan "other" }', "Two plans of a rule have the same title", '"p"'),
    ],
)
def test_a_head_that_is_wrong(head: str, headline: str, marked: str) -> None:
    mistake = only_mistake(rule_text("for each load X\nrequire X.polarised", head=head))
    assert (mistake.headline, mistake.at.text) == (headline, marked)


def test_limits_of_one_name_are_of_one_dimension() -> None:
    head = "limit in us most = 5 V\nlimit in eu most = 5 A"
    mistake = load(rule_text("for each load X\nrequire X.polarised", head=head))[1][0]
    assert mistake.headline == "The limits of one name are of one dimension"


def test_every_mistake_of_a_rule_is_told() -> None:
    _, mistakes = load(
        rule_text('for each load X\nwhere X.foo\nrequire X.bar\nfound "{X.baz} {X.qux}"', head="limit l = 5")
    )
    assert [m.at.text for m in mistakes] == ["5", "foo", "bar", "baz", "qux"]


def test_a_wrong_rule_harms_no_other() -> None:
    good = rule_text("for each load X\nrequire X.polarised", name="good")
    book, mistakes = load(rule_text("for each load X\nrequire X.foo", name="bad"), good)
    assert len(mistakes) == 1
    assert [r.id for r in book.rules] == ["test/good"]


def test_a_name_is_declared_once() -> None:
    text = rule_text("for each load X\nrequire X.polarised")
    book, mistakes = load(text, text)
    assert [m.headline for m in mistakes] == ["There is a rule “test/r” already"]
    assert len(mistakes[0].also_at) == 1
    assert len(book.rules) == 1


def test_a_role_that_no_signal_plays() -> None:
    _, mistakes = load("situation x { alram on }\n")
    assert [(m.headline, m.hint) for m in mistakes] == [("No signal plays the role “alram”", "Did you mean “alarm”?")]


def test_a_rule_binds_few_variables() -> None:
    domain = ", ".join(f"load X{i}" for i in range(7))
    assert only_mistake(rule_text(f"for each {domain}\nrequire X0.polarised")).headline == "Too many variables at once"


def test_deep_expressions_are_refused() -> None:
    text = "not " * 100 + "X.polarised"
    assert only_mistake(rule_text(f"for each load X\nrequire {text}")).headline == "This is nested too deeply"


def test_nothing_in_a_rule_can_run_or_open_anything() -> None:
    for text in ('__import__("os")', "X.__class__", "X.device.__dict__", "{X.device.__init__}", "import os"):
        book, mistakes = load(
            rule_text(f'for each load X\nrequire X.polarised\nfound "{{{text}}}"'.replace('("os")', ""))
        )
        assert mistakes
        assert book.rules == ()
