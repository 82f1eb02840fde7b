"""Definition, references and renaming; places are told by marks in the texts."""

from __future__ import annotations

import itertools
import random

import pytest

from plancheck.authoring.author import PlanAuthor
from plancheck.authoring.edit import Edit, applied
from plancheck.authoring.rename import Refusal
from plancheck.authoring.tokens import Tokens
from plancheck.source import Source, Span
from tests.authoring.views import SAMPLES, marked, view_of

TYPICALS = """\
plan "p"
supply PS1 { output 24 Vdc, 1 A }
typical shed-door (feed) {
    electric-strike ES { rated 24 Vdc, 225 mA; fails secure; suppression built in }
    push-button SB { contacts 3 A at 30 Vdc }
    wire feed:+ to SB:COM
    wire SB:NO to ES:+
    wire ES:- to feed:-
}
place shed-door as D1 { feed PS1 }
place shed-door as D2 to D3 { feed PS1 }
wire D1/ES:- to PS1:-
"""


def author_of(text: str, name: str = "plan.plan") -> PlanAuthor:
    view = view_of(text, name=name)
    return PlanAuthor(view, Tokens(view.kinds))


def at(spans: list[Span]) -> list[tuple[int, str]]:
    """Line and text of spans."""
    return [(span.line, span.text) for span in spans]


def put(text: str, word: str, number: int = 0) -> int:
    """The offset of a word, the first or a later one."""
    offset = -1
    for _ in range(number + 1):
        offset = text.index(word, offset + 1)
    return offset


@pytest.mark.parametrize(
    ("word", "number", "defined", "named"),
    [
        ("PS1", 1, [(2, "PS1")], [2, 10, 11, 12]),
        ("feed", 1, [(3, "feed")], [3, 6, 8, 10, 11]),
        ("shed-door", 1, [(3, "shed-door")], [3, 10, 11]),
        ("ES:+", 0, [(4, "ES")], [4, 7, 8, 12]),
        ("ES:-", 1, [(4, "ES")], [4, 7, 8, 12]),
        ("D1/", 0, [(10, "D1")], [10, 12]),
    ],
)
def test_names_in_and_out_of_typicals(word: str, number: int, defined: list[object], named: list[int]) -> None:
    author = author_of(TYPICALS)
    offset = put(TYPICALS, word, number)
    assert at(author.definition(offset)) == defined
    assert [span.line for span in author.references(offset, True)] == named


def test_a_kind_and_a_rule_are_defined_where_they_stand() -> None:
    author = author_of(TYPICALS + 'variance electrical/coil-suppression on PS1 { reason "x" }\n')
    kind = author.definition(put(TYPICALS, "push-button"))
    assert [(span.source.name, span.text) for span in kind] == [("rules/kinds/releases.plan", "push-button")]
    rule = author.definition(put(author.source.text, "coil-suppression"))
    assert [span.source.name for span in rule] == ["rules/electrical/suppression.rules"]


@pytest.mark.parametrize(
    ("place", "new", "reason"),
    [
        ("‸PS1 {", "SB", ""),
        ("‸PS1 {", "D1", "there is “D1” already"),
        ("‸PS1 {", "1x", "“1x” is not a name"),
        ("‸PS1 {", "here", "“here” is a word of the language"),
        ("as ‸D2", "D9", "run"),
        ("‸output", "x", "no name here"),
        ("‸push-button", "x", "not declared in this plan"),
    ],
)
def test_what_can_be_renamed(place: str, new: str, reason: str) -> None:
    text, offset = marked(TYPICALS.replace(place.replace("‸", ""), place, 1))
    answer = author_of(text).rename(offset, new)
    if reason:
        assert isinstance(answer, Refusal)
        assert reason in answer.reason
    else:
        assert not isinstance(answer, Refusal)
        assert len(answer) == 4


def test_a_renamed_device_is_judged_alike() -> None:
    """Each sample: some names exchanged, and the review says the same but for the name."""
    for path in sorted(SAMPLES.glob("*-faulty.plan"))[:4]:
        text = path.read_text(encoding="utf-8")
        author = author_of(text, path.name)
        rng = random.Random(path.name)
        names = [s.name for s in author.outline() if s.name.isalnum() and s.name.isupper()]
        name = rng.choice(names)
        offset = next(s.name_at.start for s in author.outline() if s.name == name)
        edits = author.rename(offset, "ZZ77")
        assert not isinstance(edits, Refusal)
        own = [edit for edit in edits if edit.at.source is author.source]
        renamed = view_of(applied(text, own), name=path.name)
        assert [f.headline for f in renamed.findings] == [
            f.headline.replace(name, "ZZ77") if name in f.headline else f.headline for f in author.view.findings
        ]


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.plan")), ids=lambda path: path.stem)
def test_no_place_and_no_half_text_is_too_much(path: object) -> None:
    from pathlib import Path

    assert isinstance(path, Path)
    text = path.read_text(encoding="utf-8")
    rng = random.Random(path.name)
    whole = author_of(text, path.name)
    half = PlanAuthor(view_of(text[: rng.randrange(len(text))], name=path.name, before=text), Tokens(whole.view.kinds))
    for author in (whole, half):
        size = len(author.source.text)
        for offset in {0, size, *(rng.randrange(size + 1) for _ in range(25))}:
            author.hover(offset)
            author.proposals(offset)
            author.definition(offset)
            author.references(offset, True)
            author.renameable(offset)
            author.fair_typed(offset)
            steps = author.widening(offset)
            assert all(a.start >= b.start and a.end <= b.end for a, b in itertools.pairwise(steps))
        tokens = author.tokens(0, size)
        assert all(a.end <= b.start for a, b in itertools.pairwise(tokens))
        assert all("\n" not in author.source.text[t.start : t.end] for t in tokens)
        author.outline()
        author.folds()
        author.hints(0, size)


def test_two_edits_at_one_place_go_in_as_they_come() -> None:
    source = Source("a", "xy")
    assert applied("xy", [Edit(Span(source, 1, 1), "1"), Edit(Span(source, 0, 1), "z")]) == "z1y"
