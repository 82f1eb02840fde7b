"""The vocabulary as a list: what `rules words` prints and what a manual or an editor may ask."""

from __future__ import annotations

from dataclasses import dataclass

from plancheck.circuit.variation import FAILURE_KINDS
from plancheck.rulebook.things import BELONGS, CLASSES
from plancheck.rulebook.vocabulary import Vocabulary

_KINDS = ", ".join(FAILURE_KINDS)
FORMS = (
    ('title "…"', "what the rule demands, as a sentence that stands alone in a list of rules"),
    ("severity error", "how much it matters: error, warning or note"),
    ("life-safety", "it guards life: each finding says “check local code”"),
    ('known limits "…"', "what it does not see"),
    ("only in us", "it holds in that jurisdiction alone"),
    ("for each CLASS V", "go through all things of a class"),
    ("for each CLASS V of CLASS W", "the things of one class that belong to those of another; both are named"),
    ("CLASS V of W", "those that belong to a thing named before"),
    ("CLASS V in W.fact", "those that a list fact gives"),
    ("where EXPR", "only things for which it is so"),
    ('limit in us NAME = 5 % source "…"', "a number that the rule holds things to, for a jurisdiction or everywhere"),
    ('limit under "NFPA 72-2022" NAME = …', "the same from that edition on; one without `under` is for earlier ones"),
    ('basis us "…" grade GRADE', "what the rule rests on; published, from memory or common practice"),
    ("basis us clause TOPIC, TOPIC", "the clauses of the plan's editions, by the tables of clauses"),
    ("require EXPR", "what must be so, or there is a finding"),
    ("at V", "where a finding points; without it to the last thing that was bound"),
    ("also at V, W", "where else to look"),
    ("path V", "the way of the current through a thing is told with the finding"),
    ('headline "…"', "what a finding says first; without it what was found"),
    ('found "…"', "what is the case; braces hold expressions"),
    ('required "…"', "what should be the case"),
    ('evidence "…" is EXPR against at most EXPR', "one step of the sum, with what it is held against"),
    ('remedy "…"', "what to do about it"),
    ('fix "…": STEP, STEP', "what an editor offers to do about a finding; all steps together make it go"),
    ('fix "…" for CLASS V of W where EXPR: …', "once for each such thing for which it is so"),
    (
        'add KIND "ENTRIES" across V',
        "a new device with two terminals, wired to both ends of a load or suppressor",
    ),
    ("add … across V with TERMINAL to plus", "the same, with that terminal of its own at the plus end"),
    ("exchange V", "what is wired to the two ends of a load or suppressor, exchanged"),
    ("move V to the other throw", "the wires at a contact's NO taken to its NC, or the other way"),
    ('write "ENTRY" in V', "an entry in the block of a device, in the place of one that begins with the same word"),
    ("take out V", "a device or cable taken out with its wires"),
    ("thicken V by EXPR", "the next larger size for a cable, or all of a list, of at least so many times its area"),
    ("thicken V for AMPS", "the next larger size that carries so much"),
    ("in every condition: EXPR", "whatever the signals of the plan do: mains, alarm, presses, commands"),
    ("in some condition: EXPR", "in at least one condition"),
    ("in normal condition: EXPR", "with every signal as it rests"),
    ("in … condition with SITUATION: EXPR", "only conditions that the situation means; the rest stays free"),
    ("in … condition where EXPR: EXPR", "only conditions in which it is so"),
    ("in … condition with power to V lost: EXPR", "with nothing in that device powered"),
    ("in … condition whatever the electronics do: EXPR", "electronic contacts may stand anywhere"),
    ("in … condition after any single failure: EXPR", "with nothing failed, and after each failure that can reach it"),
    ("in … condition after any single failure of KIND, KIND: EXPR", f"only failures of these kinds: {_KINDS}"),
    ("in … condition after any single failure on V: EXPR", "only of parts of V, or of the metal that leads through it"),
    ("some CLASS V …: EXPR", "it is so for at least one"),
    ("every CLASS V …: EXPR", "it is so for all"),
    ("count CLASS V … [where EXPR]", "how many there are"),
    ("V fact", "a yes-or-no fact read as a word"),
    ("V.fact", "any fact of a thing"),
    ("is, is not, is one of", "compare words, things, yes and no, numbers; what is not given is not equal"),
    ("is given, is not given", "whether the plan says it"),
    ("< <= > >=", "compare numbers of one dimension"),
    ("+ - * /", "numbers with their units; blanks around - and /"),
    ("and, or, not", "the usual, with parentheses"),
    (
        "change PACK/RULE { reason … }",
        "beside a pack's rules: new limits, a severity or “off” for a rule of another pack",
    ),
    ("change … in an example", "the example is judged as if a pack wanted that change"),
    ('passes "…" { PLAN }', "a plan on which the rule must stay silent: an example, and a test"),
    ('fails "…" { PLAN }', "a plan on which it must speak"),
    ("{EXPR} in a text", "its value in the condition that the finding shows"),
    ("{condition} in a text", "that condition in words"),
    ("{failure} in a text", "the single failure that the finding shows"),
    ("{failures} in a text", "how many single failures refute the demand, and the first of them by name"),
    ("{failures.count} in a text", "how many single failures refute the demand"),
)
"""Forms of the language, with a line on each."""


@dataclass(frozen=True, slots=True)
class WordLine:
    """A word as it is listed."""

    of: str
    """The class whose fact it is; empty for a form of the language, `class` for a class itself."""
    name: str
    type: str
    conditional: bool
    says: str


def listing(vocabulary: Vocabulary, word: str = "") -> list[WordLine]:
    """All forms, classes and facts in order; or those that have to do with one word."""
    lines = [WordLine("", form, "", False, says) for form, says in FORMS]
    lines += [WordLine("class", c.name, _belongs(c.name), False, c.says) for c in CLASSES.values()]
    order = list(CLASSES)
    facts = sorted(vocabulary.words.values(), key=lambda w: (order.index(w.of), w.name))
    lines += [WordLine(w.of, w.name, str(w.type), w.conditional, w.says) for w in facts]
    if not word:
        return lines
    asked = word.casefold()
    return [each for each in lines if asked in (each.name.casefold(), each.of) or asked in each.name.casefold().split()]


def _belongs(of: str) -> str:
    owners = [holder for belonging, holder in BELONGS if belonging == of]
    return f"of {', '.join(owners)}" if owners else ""
