"""What a plan says of itself, and the exceptions granted to it: statements whose attributes no kind declares."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from plancheck.plan.edition import WRITTEN_LIKE, Edition, read_edition
from plancheck.plan.mistakes import Mistakes
from plancheck.plan.model import Variance
from plancheck.plan.pattern import Fit, Literal, Maybe, Miss, Pattern, Slot, match_entry, shown
from plancheck.plan.scope import Scope
from plancheck.source import Source, Span
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Entry, Item, Statement, Word
from plancheck.units import Quantity

AMBIENT_LOW, AMBIENT_HIGH = 273.15, 313.15
"""Taken where a plan does not say: 0 degC to 40 degC."""

REPEATABLE = ("adopt", "edition", "use")
WHOLE_PLAN = "plan"
"""What a variance is on that is for the plan itself and not for a thing of it."""


@dataclass(slots=True)
class Headers:
    """The header of the top plan, as far as it was read."""

    title: str = ""
    revision: str = ""
    dated: str = ""
    jurisdiction: str = ""
    editions: list[Edition] = field(default_factory=list)
    adopts: list[str] = field(default_factory=list)
    low: float = AMBIENT_LOW
    high: float = AMBIENT_HIGH
    at: dict[str, Span] = field(default_factory=dict)


@cache
def header_patterns() -> Mapping[str, Pattern]:
    """How each header is written, by its keyword."""

    def one(word: str, *parts: Slot | Literal | Maybe) -> Pattern:
        return Pattern((Literal(word), *parts), (word,))

    dated = Maybe((Literal("dated"), Slot("dated", "date")))
    return {
        "plan": one("plan", Slot("title", "text")),
        "revision": one("revision", Slot("revision", "text"), dated),
        "jurisdiction": one("jurisdiction", Slot("jurisdiction", "choice", ("us", "eu"))),
        "edition": one("edition", Slot("editions", "text", many=True)),
        "adopt": one("adopt", Slot("adopts", "text", many=True)),
        "ambient": one("ambient", Slot("low", "temperature"), Literal("to"), Slot("high", "temperature")),
        "use": one("use", Slot("file", "text")),
    }


@cache
def variance_patterns() -> Mapping[str, Pattern]:
    """How each part of a variance is written, by its first word."""
    reference = (Literal("reference"), Slot("reference", "text"))
    rows = {
        "reason": (Slot("reason", "text"),),
        "granted": (Literal("by"), Slot("granted-by", "text"), Maybe(reference)),
        "reference": reference[1:],
        "until": (Slot("until", "date"),),
    }
    return {word: Pattern((Literal(word), *parts), (word,)) for word, parts in rows.items()}


def read_header(node: nodes.Header, statement: Statement, top: Source, headers: Headers, mistakes: Mistakes) -> None:
    """Takes one header statement into `headers`."""
    word = node.keyword.text
    at = statement.span(node.start, node.end)
    if statement.source is not top and word != "use":
        expected = "kinds, devices, typicals, wires"
        mistakes.add(at, f"“{word}” belongs in the plan itself", "it in a file that a plan uses", expected)
        return
    items: tuple[Item, ...] = (node.keyword, *node.items)
    fit = match_entry((header_patterns()[word],), items)
    if isinstance(fit, Miss):
        tell_miss(fit, f"“{word}” cannot be read", statement, mistakes)
        return
    if word in headers.at and word not in REPEATABLE:
        mistakes.add(at, f"“{word}” stands twice", "a second one", "one", also_at=(headers.at[word],))
        return
    headers.at.setdefault(word, at)
    _take(word, fit, at, headers, mistakes)


def _take(word: str, fit: Fit, at: Span, headers: Headers, mistakes: Mistakes) -> None:
    match word, fit.values:
        case "plan", {"title": str(title)}:
            headers.title = title
        case "revision", {"revision": str(revision), **rest}:
            headers.revision, headers.dated = revision, str(rest.get("dated", ""))
        case "jurisdiction", {"jurisdiction": str(jurisdiction)}:
            headers.jurisdiction = jurisdiction
        case "edition", {"editions": tuple(editions)}:
            for text in editions:
                _take_edition(str(text), at, headers, mistakes)
        case "adopt", {"adopts": tuple(packs)}:
            headers.adopts += (str(p) for p in packs if p not in headers.adopts)
        case "ambient", {"low": Quantity(value=low, text=said), "high": Quantity(value=high, text=more)}:
            if low > high:
                mistakes.add(at, "The ambient runs downwards", f"{said} to {more}", "the lower temperature first")
            headers.low, headers.high = min(low, high), max(low, high)


def _take_edition(text: str, at: Span, headers: Headers, mistakes: Mistakes) -> None:
    """One edition of each code: two could not both hold."""
    edition = read_edition(text)
    if edition is None:
        mistakes.add(at, "An edition names a code and its year", f"“{text}”", f"a text such as {WRITTEN_LIKE}")
        return
    other = next((e for e in headers.editions if e.same_code(edition)), None)
    if other is None:
        headers.editions.append(edition)
    elif other.text != edition.text:
        mistakes.add(at, f"Two editions of {other.code} cannot both hold", f"“{text}”", f"one: “{other.text}” is named")


def read_variance(node: nodes.Variance, statement: Statement, scope: Scope, mistakes: Mistakes) -> Variance:
    """The exception that a statement grants."""
    values: dict[str, str] = {}
    places: dict[str, tuple[int, int]] = {}
    for entry in node.entries:
        fit = _variance_part(scope.entry(entry, variance_patterns()), statement, mistakes)
        for slot, value in fit.values.items() if fit is not None else ():
            assert fit is not None
            if slot in values:
                at, also = statement.span(*fit.places[slot]), (statement.span(*places[slot]),)
                mistakes.add(at, f"“{slot}” stands twice", "a second one", "one", also_at=also)
            values[slot], places[slot] = str(value), fit.places[slot]
    on, colon, terminal = node.on.text.partition(":")
    return Variance(
        rule=node.rule.text,
        on=on if on == WHOLE_PLAN else scope.whole(on) + colon + terminal,
        reason=values.get("reason", ""),
        granted_by=values.get("granted-by", ""),
        reference=values.get("reference", ""),
        until=values.get("until", ""),
        at=statement.span(node.start, node.end),
    )


def _variance_part(entry: Entry, statement: Statement, mistakes: Mistakes) -> Fit | None:
    patterns = variance_patterns()
    first = entry.items[0]
    pattern = patterns.get(first.text) if isinstance(first, Word) else None
    if pattern is None:
        said = first.text if isinstance(first, Word) else ""
        expected = ", ".join(f"“{p.example}”" for p in patterns.values())
        at = statement.span(first.start, first.end)
        mistakes.add(at, "A variance has no such part", shown(first), expected, mistakes.hint(said, patterns))
        return None
    fit = match_entry((pattern,), entry.items)
    if isinstance(fit, Fit):
        return fit
    tell_miss(fit, f"“{pattern.leads[0]}” cannot be read", statement, mistakes)
    return None


def tell_miss(
    miss: Miss, headline: str, statement: Statement, mistakes: Mistakes, also_at: tuple[Span, ...] = ()
) -> None:
    """A mistake from an entry that fits no pattern."""
    expected = " or ".join(sorted(miss.expected))
    words = [e.strip("“”") for e in miss.expected if e.startswith("“")]
    hint = miss.hint or mistakes.hint(miss.found.strip("“”"), words)
    mistakes.add(statement.span(miss.start, miss.end), headline, miss.found, expected, hint, also_at)
