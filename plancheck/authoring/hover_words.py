"""What is told of words that name no thing: kinds, attributes, rules, words of the language."""

from __future__ import annotations

from collections.abc import Sequence

from plancheck.authoring.markdown import code, heading, paragraphs, plain, table
from plancheck.authoring.names import Names, Thing
from plancheck.authoring.sites import Sort
from plancheck.plan.kinds import Kind
from plancheck.plan.pattern import Literal, Maybe, Part, Pattern
from plancheck.rulebook.rule import Rule
from plancheck.syntax import nodes

LANGUAGE = {
    "plan": "the title: what is planned, and for whom",
    "revision": "the revision of the plan, and its day",
    "jurisdiction": "whose codes are held against the plan",
    "edition": "which edition of a code holds",
    "adopt": "a pack of the company's own that holds for this plan",
    "ambient": "temperatures that cables and batteries stand at",
    "use": "another text, whose devices, typicals and kinds become part of this plan",
    "wire": "one conductor from a terminal to the next, perhaps on to others",
    "typical": "a detail that is drawn once and placed often",
    "place": "a typical put on the plan under a name of its own",
    "variance": "an exception to one rule for one thing, granted by somebody",
    "device": "a kind with data already given, under a name of the house",
    "kind": "a kind of device: what may be said of it, and what it is made of",
}
"""The words that begin a statement."""


def kind_told(kind: Kind) -> str:
    """A kind: what it is, what must be said of it, and what may be."""
    needed = [p for patterns in kind.patterns.values() for p in patterns if p.needed]
    others = [p for patterns in kind.patterns.values() for p in patterns if not p.needed]
    return paragraphs(
        [
            f"{heading(kind.name)}{f': {plain(kind.says)}' if kind.says else ''}",
            _listed("needs", needed),
            _listed("may have", others),
        ]
    )


def _listed(label: str, patterns: Sequence[Pattern]) -> str:
    return f"{label}: " + "; ".join(code(written(p.parts)) for p in patterns) if patterns else ""


def attribute_told(kind: Kind, lead: str) -> str:
    """An attribute of a kind, in each way in which it can be written."""
    patterns = kind.patterns.get(lead, ())
    rows = [(written(p.parts), "needed" if p.needed else "may be left out", p.example) for p in patterns]
    return (
        paragraphs([f"{heading(lead)} of {code(kind.name)}", table(("written", "", "such as"), rows)]) if rows else ""
    )


def written(parts: Sequence[Part]) -> str:
    """A pattern as the kinds write it."""
    return " ".join(map(_part, parts)).replace(" ,", ",")


def _part(part: Part) -> str:
    match part:
        case Literal(text):
            return text
        case Maybe(inner):
            return f"[{written(inner)}]"
    return " | ".join(part.choices) if part.choices else f"<{part.name}: {part.type}{'...' if part.many else ''}>"


def rule_told(rule: Rule) -> str:
    """A rule: what it asks for, how much it matters and on what it is based."""
    matters = f"{rule.severity} · life safety: check local code" if rule.life_safety else str(rule.severity)
    basis = "; ".join(dict.fromkeys(rule.basis_in("")))
    limits = [(limit.name, limit.text + limit.where, limit.source) for limit in rule.limits]
    return paragraphs(
        [
            f"{heading(rule.id)} · {plain(matters)}",
            plain(rule.title),
            f"Basis: {plain(basis)}" if basis else "",
            list(table(("limit", "", "source"), limits)) if limits else "",
            f"Known limits: {plain(rule.known_limits)}" if rule.known_limits else "",
        ]
    )


def typical_told(names: Names, thing: Thing) -> str:
    """A typical: what it takes, what it draws, and under which names it is placed."""
    placed = [place for (within, place), typical in names.placed.items() if typical == thing.name and not within]
    declares = [each.name for each in names.declared if each.within == thing.name and each.sort is Sort.DEVICE]
    parameters = [each.name for each in names.declared if each.within == thing.name and each.sort is Sort.PARAMETER]
    shown = [*placed[:12], "…"] if len(placed) > 12 else placed
    return paragraphs(
        [
            f"{heading(thing.name)}: a typical",
            f"takes {plain(', '.join(parameters))}" if parameters else "",
            f"draws {plain(', '.join(declares))}" if declares else "",
            f"placed {len(placed)} times: {plain(', '.join(shown))}" if placed else "not placed",
        ]
    )


def house_device_told(node: nodes.HouseDevice) -> str:
    """A device of the house: its kind and the data that it brings along."""
    said = "; ".join(" ".join(getattr(item, "text", "") for item in entry.items) for entry in node.entries)
    return paragraphs([f"{heading(node.name.text)}: a {code(node.kind.text)}", plain(said)])
