"""Rules tried on their own examples, and the list of words."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from plancheck.finding import Finding, Mistake
from plancheck.plan.kinds import load_kinds
from plancheck.review.review import review_text
from plancheck.rulebook.load import load_rules
from plancheck.rulebook.rule import Example
from plancheck.rulebook.trial import try_example, try_rules
from plancheck.rulebook.vocabulary import vocabulary
from plancheck.rulebook.words import listing
from plancheck.shipped import rules_folder
from plancheck.source import Source, Span
from tests.rulebook.small import book, judged, kinds, rule_text

RULE = rule_text("for each lock L\nrequire L.rated-volts <= 12 V")
WEAK = "holder L1 { rated 12 Vdc, 1 A }"
STRONG = "holder L1 { rated 24 Vdc, 1 A }"


@dataclass
class Review:
    """A review of the one rule."""

    findings: list[Finding] = field(default_factory=list)
    mistakes: list[Mistake] = field(default_factory=list)
    not_assessed: list[str] = field(default_factory=list)


def outcomes(passing: str, failing: str) -> list[str]:
    text = RULE.replace('{ plan "p" }', f"{{\n        {passing}\n    }}").replace('{ plan "f" }', f"{{ {failing} }}")
    rules = book(text)

    def review(source: Source) -> Review:
        verdicts = judged(rules, {}, source.text)
        gaps = [f"{g.rule} for {g.subject}: {g.reason}" for g in verdicts.gaps]
        return Review(list(verdicts.findings), [], gaps)

    return [trial.outcome for trial in try_rules(rules.rules, review)]


def test_a_rule_that_does_as_its_examples_say() -> None:
    assert outcomes(WEAK, STRONG) == ["", ""]


def test_a_miss_and_a_false_alarm_are_told_apart() -> None:
    assert outcomes(STRONG, WEAK) == ["false alarm", "miss"]


def test_an_example_keeps_its_place_in_the_rules_file() -> None:
    rules = book(RULE.replace('{ plan "f" }', f"{{\n        {STRONG}\n    }}"))
    (finding,) = judged(rules, {}, rules.rules[0].examples[1].source.text).findings
    source = rules.rules[0].examples[1].file
    assert source.line(finding.at.line)[finding.at.column - 1 :].startswith("holder L1")
    assert rules.rules[0].examples[1].text == STRONG


def test_an_example_that_cannot_be_read_is_no_pass() -> None:
    (rule,) = book(RULE).rules
    at = Span(Source("x", "x"), 0, 1)
    trial = try_example(rule, rule.examples[0], lambda source: Review(mistakes=[Mistake(at, "wrong")]))
    assert (trial.outcome, trial.right) == ("unreadable", False)
    trial = try_example(rule, rule.examples[0], lambda source: Review(not_assessed=["test/r for L1: no reason"]))
    assert trial.outcome == "not assessed"
    trial = try_example(rule, rule.examples[0], lambda source: Review(not_assessed=["test/other for L1: no reason"]))
    assert trial.right


def test_every_shipped_rule_does_as_its_examples_say() -> None:
    def sources(pattern: str) -> list[Source]:
        return [Source(p.name, p.read_text(encoding="utf-8")) for p in sorted(rules_folder().glob(pattern))]

    shipped, mistakes = load_kinds(sources("kinds/*.plan"))
    assert mistakes == []
    rules, mistakes = load_rules(sources("**/*.rules"), shipped)
    assert [f"{m.at.source.name}:{m.at.line} {m.headline} {m.found}" for m in mistakes] == []
    day = date(2026, 11, 25)
    trials = try_rules(
        rules.rules,
        lambda source: review_text(source, shipped, rules, lambda name, at: "nothing to use", day, excerpt=True),
    )
    assert [f"{t.outcome}: {t.rule.id}, {t.example.title}" for t in trials if not t.right] == []
    tried = {(t.rule.id, t.example.passes) for t in trials}
    assert tried == {(rule.id, passes) for rule in rules.rules for passes in (True, False)}


def test_every_fact_is_listed_with_its_type_and_a_line_about_it() -> None:
    words = vocabulary(kinds())
    lines = listing(words)
    assert len({(w.of, w.name) for w in lines}) == len(lines)
    assert all(w.says for w in lines)
    by_name = {(w.of, w.name): w for w in lines}
    assert by_name["load", "volts"].conditional
    assert by_name["load", "volts"].type == "a voltage"
    assert by_name["lock", "secured"].says == "state of holder"
    assert by_name["door", "egress"].type == "one of free by lever, sensor release, none"


def test_words_about_one_word() -> None:
    words = vocabulary(kinds())
    assert {w.of for w in listing(words, "volts")} == {"device", "load", "suppressor"}
    assert {w.name for w in listing(words, "gap")} >= {"gap", "reason", "subject"}
    assert listing(words, "nonsense") == []


def test_an_example_may_have_a_header_of_its_own() -> None:
    file = Source("x.rules", 'plan "own"\n')
    assert Example(True, "title", file, 0, len(file.text)).source.text == 'plan "own"\n'
