"""What an author of a plan is told and offered. Places are counted by hand, volts are worked by hand beside each."""

from __future__ import annotations

from itertools import pairwise

import pytest

from plancheck.authoring.author import PlanAuthor
from plancheck.authoring.tokens import Tokens
from plancheck.plan.conductor import resistance_per_length
from plancheck.units import awg_area
from tests.authoring.views import marked, view_of

PLAN = """\
plan "Boat shed"
ambient 20 degC to 20 degC
supply PS1 "Shelf" { output 24 Vdc, 2 A }
exit-button EB1 { contacts 3 A at 30 Vdc }
magnetic-lock ML1 { rated 24 Vdc, 500 mA; suppression built in }
door D1 { egress sensor release; locks ML1; button EB1 }
cable C1 {
    conductors 2 of 18 AWG
    length 150 ft
    colours red, black
}
# Out and back.
# Twice.
wire PS1:+ to EB1:COM
wire EB1:NC to ML1:+ in C1/red
wire ML1:- to PS1:- in C1/black
typical pair (feed) {
    push-button SB { contacts 3 A at 30 Vdc }
    buzzer BZ { rated 24 Vdc, 20 mA }
    wire feed:+ to SB:COM
    wire SB:NO to BZ:+
    wire BZ:- to PS1:-
}
place pair as P1 { feed PS1 }
"""


def author(text: str = PLAN) -> PlanAuthor:
    view = view_of(text)
    return PlanAuthor(view, Tokens(view.kinds))


# --- hover and hints ---------------------------------------------------------------------------------------


def _hovered(words: str, behind: int = 0) -> str:
    own = author()
    found = own.hover(PLAN.index(words) + behind)
    assert found is not None
    return found.text


def test_volts_and_amps_are_those_of_ohm_s_law() -> None:
    """150 ft of stranded 18 AWG out and back at 20 °C, in series with 24 V ÷ 0.5 A = 48 Ω.

    NEC chapter 9, table 8 (from memory): 7.95 Ω for 1,000 ft of stranded 18 AWG at 75 °C, ÷ (1 + 0.00323 × 55).
    """
    way = resistance_per_length(awg_area(18), 293.15, stranded=True) * 150 * 0.3048
    amps = 24 / (48 + 2 * way)
    assert way == pytest.approx(7.95 * 0.15 / (1 + 0.00323 * 55), rel=0.04)
    assert f"| coil, volts | {amps * 48:.2f} V |" in _hovered("ML1 {")
    # Amperes, and what is lost, are told by the worse of two ways to take the coil: at its rated current.
    assert "| coil, amperes | 500 mA |" in _hovered("ML1 {")
    hints = {PLAN.count("\n", 0, hint.at) + 1: hint.text for hint in author().hints(0, len(PLAN))}
    assert hints[14] == " 24 V"
    assert hints[15] == f" {24 - amps * way:.2f} V, {0.5 * way:.4f} V lost"
    assert hints[16].startswith(" 0 V, ")
    # What stands in a typical is drawn where that is placed.
    assert set(hints) == {14, 15, 16}


@pytest.mark.parametrize(
    ("words", "behind", "told"),
    [
        ("ML1 {", 0, "| after total power loss |"),
        ("magnetic-lock", 1, "needs: `rated"),
        ("suppression", 1, "suppression** of `magnetic-lock`"),
        ("150 ft", 0, "45.72 m"),
        ("18 AWG", 4, "0.823 mm2"),
        ("wire PS1", 1, "PS1:+"),
        ("pair as", 1, "placed 1 times: P1"),
        ("EB1:COM", 5, "EB1:COM"),
        ("plan ", 0, "the title"),
        ("C1/red", 1, "C1"),
    ],
)
def test_hover_tells_of_what_stands_there(words: str, behind: int, told: str) -> None:
    assert told in _hovered(words, behind)


@pytest.mark.parametrize("words", ["# Out", "Boat", "{\n    conductors"])
def test_hover_is_silent_where_there_is_nothing_to_tell(words: str) -> None:
    assert author().hover(PLAN.index(words)) is None


def test_after_a_change_hints_wait_for_the_review_of_the_wire() -> None:
    changed = PLAN.replace("in C1/black", "in C1/white")
    view = view_of(changed, before=PLAN)
    hints = PlanAuthor(view, Tokens(view.kinds)).hints(0, len(changed))
    assert [changed.count("\n", 0, hint.at) + 1 for hint in hints] == [14, 15]


# --- completion --------------------------------------------------------------------------------------------


def _offered(line: str) -> list[str]:
    text, at = marked(PLAN + line)
    return [proposal.text for proposal in author(text).proposals(at)]


@pytest.mark.parametrize(
    ("line", "offered"),
    [
        ("wire ML1:‸", {"ML1:+", "ML1:-"}),
        ("exit-button EB2 { contacts 3 A at 30 ‸", {"V", "Vac", "Vdc", "kV", "kVac", "kVdc", "mV", "mVac", "mVdc"}),
        ("supply PS2 { output 24 Vdc, 2 ‸", {"A", "mA", "uA", "µA"}),
        ("jurisdiction ‸", {"us", "eu"}),
        ("place ‸", {"pair"}),
        ("place pair ‸", {"as"}),
        ("place pair as P2 { ‸", {"feed"}),
        ("door D2 { egress free by ‸", {"lever", "panic bar"}),
        ("door D2 { locks ‸", {"ML1"}),
        ("cable C2 { conductors 2 of 18 ‸", {"AWG", "mm2", "mm²"}),
    ],
)
def test_exactly_what_fits_is_offered(line: str, offered: set[str]) -> None:
    assert set(_offered(line)) == offered


@pytest.mark.parametrize(
    ("line", "among", "not_among"),
    [
        ("‸", {"wire", "cable", "magnetic-lock", "variance", "plan"}, {"ML1", "rated"}),
        ("wire ‸", {"PS1:", "EB1:", "ML1:"}, {"D1:", "C1:", "SB:"}),
        ("magnetic-lock ML2 { ‸", {"rated", "suppression", "holds"}, {"output", "locks"}),
        ("magnetic-lock ML2 { rated 24 Vdc, 250 mA; ‸", {"suppression", "drop-out"}, {"output"}),
        ("wire EB1:COM to PS1:+ in ‸", set(), {"C1/red", "C1/black", "D1"}),
        ("variance ‸", {"electrical/loop-drop", "egress/fire-alarm-release"}, {"ML1"}),
        ("variance electrical/loop-drop on ‸", {"ML1", "PS1", "D1"}, {"electrical/loop-drop"}),
        ("variance electrical/loop-drop on ML1 { ‸", {"reason", "granted"}, {"rated"}),
    ],
)
def test_what_is_offered_and_what_is_not(line: str, among: set[str], not_among: set[str]) -> None:
    found = set(_offered(line))
    assert among - found == set()
    assert not_among & found == set()


def test_conductors_that_are_free_are_offered() -> None:
    """One of the two is drawn in already."""
    text = PLAN.replace("wire ML1:- to PS1:- in C1/black\n", "")
    text, at = marked(text + "wire ML1:- to PS1:- in ‸")
    offered = {proposal.text for proposal in author(text).proposals(at)}
    assert "C1/black" in offered
    assert "C1/red" not in offered


@pytest.mark.parametrize("line", ["# ‸", 'door D2 "‸"', "wire PS1:+ to EB1:COM # ‸"])
def test_nothing_is_offered_in_comments_and_titles(line: str) -> None:
    assert _offered(line) == []


# --- outline, folds, selection, colours --------------------------------------------------------------------


def test_the_outline() -> None:
    found = [(symbol.name, symbol.sort.value) for symbol in author().outline()]
    assert found == [
        ("Boat shed", "plan"), ("PS1", "device"), ("EB1", "device"), ("ML1", "lock"), ("D1", "place"), ("C1", "cable"),
        ("pair", "typical"), ("P1", "place"),
    ]  # fmt: skip
    inside = next(symbol for symbol in author().outline() if symbol.name == "pair").within
    assert [symbol.name for symbol in inside] == ["SB", "BZ"]


def test_blocks_and_comments_can_be_folded() -> None:
    assert [(fold.start, fold.end, fold.comment) for fold in author().folds()] == [
        (6, 9, False), (11, 12, True), (16, 21, False),
    ]  # fmt: skip


def test_a_selection_widens_from_the_terminal_to_the_text() -> None:
    texts = [span.text for span in author().widening(PLAN.index("EB1:NC") + 4)]
    assert texts == ["NC", "EB1:NC", "wire EB1:NC to ML1:+ in C1/red", PLAN]
    texts = [span.text for span in author().widening(PLAN.index("18 AWG"))]
    assert texts[:2] == ["18", "conductors 2 of 18 AWG"]


def test_each_word_has_its_colour_and_no_two_overlap() -> None:
    tokens = author().tokens(0, len(PLAN))
    assert all(one.end <= other.start for one, other in pairwise(tokens))
    sorts = {PLAN[token.start : token.end]: token.sort.value for token in tokens}
    wanted = {
        "plan": "keyword", '"Boat shed"': "string", "supply": "kind", "PS1": "device", "COM": "terminal",
        "24": "number", "Vdc": "unit", "rated": "attribute", "pair": "typical", "feed": "parameter",
        "# Twice.": "comment",
    }  # fmt: skip
    assert {word: sorts[word] for word in wanted} == wanted
