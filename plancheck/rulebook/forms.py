"""The forms in which a rule puts its words together, with a line on each, as `rules words` prints them."""

from __future__ import annotations

FORMS: tuple[tuple[str, str], ...] = (
    (
        "for each lock L of door D",
        "one judgement for each lock that a door names; several classes are parted by commas",
    ),
    ("for each device T in I.touching", "one judgement for each thing of a list"),
    ("where EXPR", "only for things of which this is so"),
    ("require EXPR", "what must be so; the finding is given where it is not certainly so"),
    ("in every condition: EXPR", "so in all operating conditions of the plan"),
    ("in every condition with fire alarm: EXPR", "so in all conditions of a situation, whatever else happens"),
    ("in every condition where EXPR: EXPR", "so wherever the first is not certainly false"),
    ("in every condition whatever the electronics do: EXPR", "so however electronic contacts may stand"),
    ("in every condition with power to V lost: EXPR", "so with that device dead"),
    ("in some condition …: EXPR", "so in at least one of those conditions"),
    ("in normal condition: EXPR", "so with every signal at rest"),
    ("some lock L of D where EXPR: EXPR", "so of at least one; without a colon: there is at least one"),
    ("every lock L of D: EXPR", "so of all of them"),
    ("count lock L of D where EXPR", "how many there are of which it is so"),
    ("V.fact", "a fact of a thing"),
    ("V word", "a yes/no fact read as a word: L secured, X energised, C made"),
    ("A is B, A is not B, A is one of B, C", "the same, another, one of several"),
    ("A is given, A is not given", "whether the plan says it"),
    ("<=  >=  <  >", "numbers in order; both sides of one dimension"),
    ("+  -  *  /", "sums, with dimensions: volts by amperes are watts; blanks around - and /"),
    ("and  or  not  ( )", "joined; what comes first decides whether the rest is looked at"),
)
