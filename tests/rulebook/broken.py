"""Thirty rules with a mistake in each, such as authors make, in a pack that is otherwise right."""

from __future__ import annotations

SOUND = """\
pack house "House rules"

rule home-run {
    title     "Home runs are thick enough"
    severity  warning
    basis     "house rule" grade common practice
    known limits "None."
    limit     thinnest = 16 AWG  source "house rule"
    for each  load X of lock L, door D of L
    where     D.on-exit-path and L.rated-volts <= 24 V
    require   in every condition with fire alarm: X.volts <= 26 V
    found     "{L} sees {X.volts} when {condition}"
    required  "less"
    evidence  "volts at {L}" is X.volts against at most 26 V
    remedy    "Look at the supply."
    passes "none" {
        supply PS1 { output 24 Vdc, 1 A }
    }
    fails "one" {
        supply PS1 { output 24 Vdc, 1 A }
    }
}
"""
"""Right in all that is checked when it is loaded; whether it does as its plans say, a trial would tell."""

BROKEN: dict[str, tuple[str, str]] = {
    # words
    "a member misspelt": ("severity  warning", "severty   warning"),
    "a severity misspelt": ("severity  warning", "severity  warnign"),
    "a severity of another habit": ("severity  warning", "severity  critical"),
    "a class misspelt": ("load X of lock L", "laod X of lock L"),
    "a class in the plural": ("load X of lock L", "loads X of lock L"),
    "a fact misspelt": ("X.volts <= 26 V", "X.vlots <= 26 V"),
    "a fact of the device asked of its part": ("X.volts <= 26 V", "X.fails-safe is yes"),
    "a fact joined by an underscore": ("D.on-exit-path", "D.on_exit_path"),
    "a variable misspelt": ("L.rated-volts <= 24 V", "LL.rated-volts <= 24 V"),
    "a variable in small letters": ("L.rated-volts <= 24 V", "l.rated-volts <= 24 V"),
    "a limit misspelt": ("X.volts <= 26 V", "X.volts <= thinest"),
    "a situation misspelt": ("with fire alarm:", "with fire-alarm:"),
    "a word that a choice is not": ("L.rated-volts <= 24 V", "D.egress is sensor realease"),
    "a kind misspelt": ("L.rated-volts <= 24 V", "L.kind is magnetic-lok"),
    "a kind that is none": ("L.rated-volts <= 24 V", "L.kind is turnstile"),
    "a grade of another habit": ("grade common practice", "grade custom"),
    "a jurisdiction that is none": ('basis     "house rule"', 'basis uk  "house rule"'),
    "a table of clauses misspelt": ('basis     "house rule" grade common practice', "basis us  clause sensor-relase"),
    # types and units
    "amperes against volts": ("X.volts <= 26 V", "X.volts <= 26 A"),
    "a number without its unit": ("X.volts <= 26 V", "X.volts <= 26"),
    "a limit without its unit": ("thinnest = 16 AWG", "thinnest = 16"),
    "a unit misspelt": ("X.volts <= 26 V", "X.volts <= 26 Volts"),
    "a unit in the wrong case": ("26 V\n    found", "26 v\n    found"),
    "a fact that is no truth": ("D.on-exit-path and", "D.occupants and"),
    "a truth compared with a number": ("D.on-exit-path and", "D.on-exit-path >= 1 and"),
    "a limit of another sort in evidence": ("against at most 26 V", "against at most 26 A"),
    "a quantity compared with a word": ("L.rated-volts <= 24 V", "L.rated-volts is high"),
    # conditions and shape
    "a changing fact outside a condition": ("in every condition with fire alarm: X.volts", "X.volts"),
    "a list asked like a thing": ("D.on-exit-path and", "D.locks.fails-safe and"),
    "an equals sign": ("L.rated-volts <= 24 V", "L.rated-volts = 24 V"),
    "a condition without its colon": ("with fire alarm: X", "with fire alarm X"),
    "a bracket left open": ("D.on-exit-path and", "(D.on-exit-path and"),
    "a text left open": ('"Look at the supply."', '"Look at the supply.'),
    "no remedy": ('    remedy    "Look at the supply."\n', ""),
    "no failing plan": ('fails "one"', 'passes "one"'),
    "a member of the group before it": ("    for each", '    found     "x"\n    for each'),
    "an expression in the title": ('"Home runs are thick enough"', '"Home runs of {L}"'),
    "an expression misspelt in a text": ("{X.volts}", "{X.vlots}"),
    "a condition in a text of a rule without one": ("in every condition with fire alarm: X.volts", "X.rated-volts"),
    "an edition without its year": ("limit     thinnest", 'limit under "NFPA 72" thinnest'),
}
"""What is changed in the sound rule, by what is wrong then."""


def broken(what: str) -> str:
    """The pack with one mistake."""
    right, wrong = BROKEN[what]
    assert SOUND.count(right) >= 1, what
    return SOUND.replace(right, wrong, 1)
