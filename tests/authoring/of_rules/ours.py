"""A rules file before its author."""

from __future__ import annotations

from plancheck.authoring.of_rules.author import RulesAuthor
from plancheck.authoring.of_rules.names import KnownSites
from plancheck.authoring.of_rules.view import RulesView
from plancheck.authoring.tokens import Tokens
from plancheck.rulebook.read import read_rules
from plancheck.source import Source
from tests.authoring.views import DAY, library

OURS = """\
pack ours "Ours"

# What our service asks for.
situation night watch {
    mains on
}

rule held-at-night {
    title     "A lock holds at night"
    severity  warning
    basis     us clause sensor-release
    known limits "Only what the plan says."
    limit     least = 20 V source "house rule"
    for each  lock L of door D, load X of L
    where     L.fails-safe and D.egress is one of sensor release, delayed
    require   in every condition with night watch: X.volts >= least
    found     "{L} gets {X.volts}, {condition}"
    required  "{least} at {L}"
    evidence  "volts at {L}" is X.volts against at least least
    remedy    "Look for what is lost on the way."
    fix       "Larger conductors for {L}": thicken X.feed-cables by 2

    passes "a magnet on 24 V" {
        supply PS1 { output 24 Vdc, 2 A }
        magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
        door D1 { egress sensor release; locks ML1 }
        wire PS1:+ to ML1:+
        wire ML1:- to PS1:-
    }
    fails "and on 12 V" {
        supply PS1 { output 12 Vdc, 2 A }
        magnetic-lock ML1 { rated 24 Vdc, 250 mA; suppression built in }
        door D1 { egress sensor release; locks ML1 }
        wire PS1:+ to ML1:+
        wire ML1:- to PS1:-
    }
}

change electrical/loop-drop {
    reason "Our locks want more"
    limit  most = 3 %
}
"""


def author_of(text: str, *others: str) -> RulesAuthor:
    """Who writes a file of rules beside others of the same pack; the shipped rules are as loaded."""
    files = [read_rules(Source(f"{number}.rules", each))[0] for number, each in enumerate((text, *others))]
    return RulesAuthor(
        RulesView(files[0], library().kinds, library().rulebook, files), KnownSites(), Tokens(library().kinds), DAY
    )
