"""What is said of a plan that can be read and makes no sense. Expectations stand at the lines they speak of."""

from __future__ import annotations

import pytest

from tests.marked import compare
from tests.plan.drawn import draw

WRONG = {
    "kinds": """
magnt ML1 { rated 24 Vdc, 250 mA }
#^^^^ There is no kind “magnt” · Did you mean “magnet”?
"our lck" ML2
#^^^^^^^^ There is no house device “our lck” · Did you mean “our lock”?
device "our lock" is a magnet { rated 24 Vdc, 250 mA }
device "their lock" is a magnat
#                        ^^^^^^ There is no kind “magnat”
"their lock" ML3
""",
    "names twice": """
magnet ML1 { rated 24 Vdc, 250 mA }
feed ML1 { output 24 Vdc, 2 A }
#^^^^^^^ There is a device “ML1” already
""",
    "attributes": """
magnet ML1 { rated 24 Vdc, 250 mA; colour red }
#                                  ^^^^^^ The kind “magnet” has no attribute “colour”
magnet ML2 { ratd 24 Vdc, 250 mA }
#            ^^^^ no attribute “ratd” · Did you mean “rated”?
magnet ML3 { drop-out 6 V }
#^^^^^^^^^ “ML3” does not say “rated” · “rated 24 Vdc, 250 mA” or “rated 24 Vdc, 6 W”
magnet ML4 { rated 24 Vdc, 250 mA; rated 12 Vdc, 250 mA }
#                                        ^^^^^^ This is said already · a second value of “rated-volts”
#                                                ^^^^^^ This is said already · a second value of “rated-amps”
magnet ML5 { 24 Vdc }
#            ^^ An attribute begins with its name
""",
    "quantities": """
cable C1 { conductors 2 of 18 AWG; length 24 Vdc }
#                                         ^^ found “24 Vdc”, a voltage · a length, such as 12 ft
cable C2 { conductors 2 of 18 AWG; length 24 }
#                                         ^^ “24” without a unit · a length
cable C3 { conductors 2 of 18 AWG; length 24 feet }
#                                            ^^^^ “24 feet”, whose unit is not known
cable C4 { conductors 2 of 18 AGW; length 24 ft }
#                             ^^^ whose unit is not known · Did you mean “AWG”?
cable C5 { conductors 2.5 of 18 AWG; length 24 ft }
#                     ^^^ a whole number
cable C6 { conductors 2 of 18 AWG; length -24 ft }
#                                         ^^^ “-24 ft” · a length of zero or more
cable C7 { conductors 2 of 0 mm2; length 24 ft }
#                          ^ “0 mm2” · an area above zero
cable C8 { conductors 2 of 18 AWG; length 9999999999999999 ft }
#                                         ^^^^^^^^^^^^^^^^ out of all bounds
door D9 { outside -272 degC }
#                 ^^^^ a temperature from -100 degC to 1000 degC
door D10 { outside -274 degC }
#                  ^^^^ a temperature above absolute zero
magnet ML1 { rated 250 mA, 24 Vdc }
#                  ^^^ “250 mA”, a current · a voltage, such as 24 Vdc
magnet ML2 { rated 24 Vdc }
#                        ^ found nothing more · expected “,”
magnet ML3 { rated 24 Vdc, 2 Ah }
#                          ^ “2 Ah”, a charge · a current, such as 250 mA or a power, such as 6 W
magnet ML4 { rated 24 Vdc, 250 mA more }
#                                 ^^^^ found “more” · the end of the line
""",
    "choices, dates and words": """
magnet ML1 { rated 24 Vdc, 250 mA; mounted 44 in over floor }
#                                                ^^^^ found “over” · expected “above”
keeper K1 { rated 24 Vdc, 250 mA; fails saef }
#                                       ^^^^ one of “safe”, “secure” · Did you mean “safe”?
door D1 { surveyed 2026-02-30 }
#                  ^^^^^^^^^^ a date such as 2026-11-20
door D2 { egress free by panic }
#                ^^^^ “free by lever”, “sensor release”, “delayed” · Did you mean “free by lever”?
door D3 { claimed under IBC }
#                       ^^^ a text in quotes
door D4 { tags 5 }
#              ^ found “5” · expected a word
""",
    "locks that are none": """
feed PS1 { output 24 Vdc, 2 A }
magnet ML1 { rated 24 Vdc, 250 mA }
door D1 { locks ML1, PS1 }
#                    ^^^ “PS1” is no lock · found “PS1”, a feed · expected a lock of this plan: ML1
door D2 { locks D1; sensor PS1 }
#               ^^ “D1” is no lock · found “D1”, a door
""",
    "no lock to name": """
board RX { channels 1 }
door D1 { locks RX }
#               ^^ “RX” is no lock · expected a lock; this plan declares none
""",
    "names that are not declared": """
feed PS1 { output 24 Vdc, 2 A }
feed PS2 { output 24 Vdc, 2 A }
magnet ML1 { rated 24 Vdc, 250 mA }
door D1 { locks ML11, ML1 }
#               ^^^^ “ML11” is not declared · Did you mean “ML1”?
wire PS1:+ to ML2:+
#             ^^^^^ “ML2” is not declared · Did you mean “ML1”?
wire PS3:+ to ML1:+ in C1/red
#    ^^^^^ “PS3” is not declared
#                      ^^^^^^ The cable “C1” is not declared
variance a/b on D2
#               ^^ “D2” is not declared · the name of a device
variance a/b on ML1:x
#               ^^^^^ “ML1” has no terminal “x”
sender TX { buttons 1; button 1 works RX:ch1 }
#                                     ^^^^^^ “RX” is not declared
""",
    "terminals and signals that a device lacks": """
feed PS1 { output 24 Vdc, 2 A }
board RX { channels 2 }
wire PS1:plus to RX:COM1
#    ^^^^^^^^ “PS1” has no terminal “plus” · one of +, -
wire PS1:+ to RX:COM
#             ^^^^^^ “RX” has no terminal “COM” · Did you mean “COM
wire PS1:- to RX:NO3
#             ^^^^^^ “RX” has no terminal “NO3” · Did you mean “NO
sender TX { buttons 1; button 1 works RX:ch3; button 2 works PS1:on }
#                                     ^^^^^^ “RX” has no signal “ch3” · one of ch1, ch2
#                                                            ^^^^^^ “PS1” has no signal “on” · one of mains
door D1
wire D1:x to PS1:+
#    ^^^^ “D1” has no terminal “x” · none: it has no terminal
""",
    "wires and conductors": """
feed PS1 { output 24 Vdc, 2 A }
magnet ML1 { rated 24 Vdc, 250 mA }
cable C1 { conductors 2 of 18 AWG; length 85 ft }
wire PS1:+ to ML1:+ in C1
#                      ^^ This does not say which conductor · C1/red
wire PS1:+ to ML1:+ in ML1/red
#                      ^^^^^^^ “ML1” is no cable · “ML1”, a magnet
wire PS1:+ to PS1:+
#    ^^^^^^^^^^^^^^ This wire ends where it begins
wire PS1:+ to ML1:+ { size 18 AWG; weight 2 }
#                                  ^^^^^^ A wire has no attribute “weight”
wire PS1:+ to ML1:+ { size 18 ft }
#                          ^^ “18 ft”, a length · an area, such as 18 AWG
wire PS1:+ to ML1:+ { length 1 ft; length 2 ft }
#                                  ^^^^^^^^^^^ This is said already
""",
    "headers": """
plan "A"
plan "B"
#^^^^^^^ “plan” stands twice
revision C
#        ^ found “C” · a text in quotes
revision "D" dated 2026-13-01
#                  ^^^^^^^^^^ a date such as
jurisdiction france
#            ^^^^^^ one of “us”, “eu”
ambient 40 degC to 0 degC
#^^^^^^^^^^^^^^^^^^^^^^^^ The ambient runs downwards
adopt house
#     ^^^^^ a text in quotes
use 5
#   ^ a text in quotes
feed PS1 { output 24 Vdc, 2 A }
""",
    "variances": """
door D1
variance a/b on D1 { resaon "x" }
#                    ^^^^^^ A variance has no such part · Did you mean “reason”?
variance a/b on D1 { until 2026-02-30 }
#                          ^^^^^^^^^^ a date such as
variance a/b on D1 { granted by "x" reference "y"; reference "z" }
#                                                            ^^^ “reference” stands twice
""",
    "lists of too many": """
board B { channels 257 }
#                  ^^^ Too many channels · at most 256
board C { channels 2000000 }
#                  ^^^^^^^ a whole number up to 1,000,000
""",
    "a name kept for places": """
door here
#^^^^^^^^ “here” is the name of a place
""",
}


@pytest.mark.parametrize("text", WRONG.values(), ids=WRONG.keys())
def test_what_is_said(text: str) -> None:
    compare(text, draw(text)[1])


QUIET = {
    "a device whose statement is broken is known": """
feed PS1 {
    output = 24 Vdc
#          ^ found “=”
}
board RX { channels two }
#                   ^^^ a whole number
wire PS1:+ to RX:COM7
""",
    "a device whose head cannot be read is known": """
feed PS1 Main {
#        ^^^^ found “Main”
    output 24 Vdc, 2 A
}
magnet ML1 { rated 24 Vdc, 250 mA }
wire PS1:+ to ML1:+
""",
    "a device of an unknown kind is known": """
fede PS1 { output 24 Vdc, 2 A }
#^^^ There is no kind “fede” · Did you mean “feed”?
magnet ML1 { rated 24 Vdc, 250 mA }
wire PS1:+ to ML1:+
""",
    "a kind that cannot be read is known": """
kind mine Mine {
#         ^^^^ found “Mine”
    terminals + -
}
mine M1
wire M1:+ to M1:-
""",
    "a typical that cannot be read is known": """
typical leaf run {
#            ^^^ found “run”
    door here
}
place leaf as D1
variance a/b on D1
""",
}


@pytest.mark.parametrize("text", QUIET.values(), ids=QUIET.keys())
def test_one_mistake_brings_no_others(text: str) -> None:
    compare(text, draw(text)[1])


def test_a_mistake_about_two_places_tells_both() -> None:
    text = "magnet ML1 { rated 24 Vdc, 250 mA }\nfeed ML1 { output 24 Vdc, 2 A; output 24 Vdc, 2 A }"
    [mistake] = draw(text)[1]
    assert [(at.line, at.text) for at in mistake.also_at] == [(1, "magnet ML1")]
    [first, _] = draw("feed PS1 { output 24 Vdc, 2 A; output 12 Vdc, 2 A }")[1]
    assert [at.text for at in first.also_at] == ["24 Vdc"]
    [first, _] = draw('device "m" is a magnet { rated 24 Vdc, 250 mA }\n"m" M { rated 12 Vdc, 250 mA }')[1]
    assert [(at.line, at.text) for at in first.also_at] == [(1, "24 Vdc")]


def test_a_chain_goes_on_behind_an_unknown_end() -> None:
    plan, mistakes = draw("feed P { output 1 V, 1 A }\nfeed Q { output 1 V, 1 A }\nwire P:+ to X:1 to Q:+ to Q:-")
    assert len(mistakes) == 1
    assert [(w.a.key, w.b.key) for w in plan.wires] == [("Q:+", "Q:-")]
