"""Attribute patterns of a kind, and how an entry of a plan is held against them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from plancheck import units
from plancheck.nearest import did_you_mean
from plancheck.plan.model import Value
from plancheck.syntax.nodes import Comma, Date, Entry, Item, Number, Reference, Text, Word

Raw = Value | Word | Reference | tuple["Raw", ...]
"""A slot's value before names are resolved: a device is still its word, a terminal its reference."""

DEVICES = ("device", "lock")
"""Slot types that name a device: any, or one whose kind is a lock."""
NAMING = frozenset((*DEVICES, "terminal", "signal"))
"""Slot types that name something of the plan."""
LISTABLE = NAMING | {"name", "text", "choice"}
TYPES = frozenset(("text", "count", "date", "name")) | NAMING | (set(units.SI_UNIT) - {""})
MOST_OPTIONAL = 8
MOST_COUNT = 1_000_000
LEAST, MOST = 1e-15, 1e15
"""Bounds of every quantity in its SI unit, zero apart: beyond them nothing is built, and products leave all numbers."""
COLDEST, HOTTEST = 173.15, 1273.15
"""Bounds of a temperature in K: -100 degC, well above where copper's linear law of resistance comes to zero, and
1000 degC, just below where copper melts."""
NEVER_ZERO = frozenset(("area",))
"""Dimensions by which is divided: no conductor has no cross-section."""


@dataclass(frozen=True, slots=True)
class Slot:
    """A value that a kind's devices may have.

    `type` is a dimension of units.SI_UNIT, or text, count, date, name, device, lock, terminal, signal, choice,
    flag
    (words alone, true where given) or sightings (a repeated attribute).
    """

    name: str
    type: str
    choices: tuple[str, ...] = ()
    many: bool = False
    inner: tuple[Slot, ...] = ()
    """Of sightings: the slots that each of them may have."""

    @property
    def wanted(self) -> str:
        """What must stand there, in words, with an example."""
        if self.type == "choice":
            return ("one of " if len(self.choices) > 1 else "") + ", ".join(f"“{c}”" for c in self.choices)
        if self.type in units.EXAMPLE:
            return f"{_article(self.type)} {self.type}, such as {units.EXAMPLE[self.type]}"
        return _WANTED[self.type]

    @property
    def example(self) -> str:
        """A value as a plan might write it."""
        return self.choices[0] if self.choices else units.EXAMPLE.get(self.type) or _EXAMPLES[self.type]


_WANTED = {
    "text": "a text in quotes", "count": f"a whole number up to {MOST_COUNT:,}", "number": "a number", "name": "a word",
    "date": "a date such as 2026-11-20", "device": "a device's name", "lock": "a lock's name",
    "terminal": "a terminal such as PS1:+",
    "signal": "a signal such as RX1:ch1", "flag": "", "sightings": "",
}  # fmt: skip
_EXAMPLES = {
    "text": '"…"', "count": "2", "number": "2", "name": "…", "date": "2026-11-20", "device": "ML1",
    "lock": "ML1", "terminal": "PS1:+", "signal": "RX1:ch1", "flag": "", "sightings": "",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Literal:
    """A word, number or comma that must stand as it is."""

    text: str


@dataclass(frozen=True, slots=True)
class Maybe:
    """Parts that may be left out."""

    parts: tuple[Part, ...]


Part = Literal | Slot | Maybe


@dataclass(frozen=True, slots=True)
class Pattern:
    """One way to write an attribute. `flag` names the slot that words alone set, and is empty otherwise."""

    parts: tuple[Part, ...]
    leads: tuple[str, ...]
    needed: bool = False
    many: bool = False
    flag: str = ""

    @property
    def example(self) -> str:
        """The attribute as a plan might write it, optional parts left out."""
        words = [p.text if isinstance(p, Literal) else p.example for p in self.parts if not isinstance(p, Maybe)]
        return " ".join(words).replace(" ,", ",")


def words_in(parts: Iterable[Part]) -> Iterator[str]:
    """Words that have a meaning of their own in a pattern: those that stand as they are, and choices."""
    for part in parts:
        match part:
            case Literal(text):
                yield text
            case Maybe(inner):
                yield from words_in(inner)
            case Slot():
                for choice in part.choices:
                    yield from choice.split()
                yield from words_in(part.inner)


@dataclass(frozen=True, slots=True)
class Fit:
    """An entry that fits: each slot's value and where it stands, from the start of the statement."""

    pattern: Pattern
    values: dict[str, Raw]
    places: dict[str, tuple[int, int]]


@dataclass(slots=True)
class Miss:
    """Why an entry fits no pattern: the furthest item that was reached, and what would have fitted there."""

    start: int = 0
    end: int = 0
    reached: int = -1
    found: str = ""
    expected: list[str] = field(default_factory=list)
    hint: str = ""

    def at(self, items: Sequence[Item], index: int, expected: str, found: str = "", hint: str = "") -> None:
        """Notes that the item at `index` does not fit."""
        if index < self.reached:
            return
        if index > self.reached:
            self.reached, self.expected, self.found, self.hint = index, [], "", ""
            last = items[-1].end
            self.start, self.end = (items[index].start, items[index].end) if index < len(items) else (last, last)
        if found or not self.found:
            self.found = found or (shown(items[index]) if index < len(items) else "nothing more")
        if expected not in self.expected:
            self.expected.append(expected)
        self.hint = self.hint or hint


def match_entry(patterns: Sequence[Pattern], items: Sequence[Item]) -> Fit | Miss:
    """The first pattern that fits the whole entry, or why none does."""
    miss = Miss()
    for pattern in patterns:
        fit = Fit(pattern, {}, {})
        if _fits(pattern.parts, items, 0, fit, miss):
            if pattern.flag:
                fit.values[pattern.flag] = True
                fit.places[pattern.flag] = (items[0].start, items[-1].end)
            return fit
    return miss


def _fits(parts: tuple[Part, ...], items: Sequence[Item], index: int, fit: Fit, miss: Miss) -> bool:
    """Whether the parts fit the items from `index` to the last, filling in `fit` as they do."""
    for number, part in enumerate(parts):
        if isinstance(part, Maybe):
            return _fits_maybe(part, parts[number + 1 :], items, index, fit, miss)
        if isinstance(part, Literal):
            if index >= len(items) or shown(items[index], bare=True) != part.text:
                miss.at(items, index, f"“{part.text}”")
                return False
            index += 1
            continue
        taken = _take(part, items, index, miss)
        if taken is None:
            return False
        start = items[index].start
        fit.values[part.name], index = taken
        fit.places[part.name] = (start, items[index - 1].end)
    if index < len(items):
        miss.at(items, index, "the end of the line")
    return index == len(items)


def _fits_maybe(part: Maybe, rest: tuple[Part, ...], items: Sequence[Item], index: int, fit: Fit, miss: Miss) -> bool:
    tried = Fit(fit.pattern, dict(fit.values), dict(fit.places))
    if _fits(part.parts + rest, items, index, tried, miss):
        fit.values.update(tried.values)
        fit.places.update(tried.places)
        return True
    return _fits(rest, items, index, fit, miss)


def _take(slot: Slot, items: Sequence[Item], index: int, miss: Miss) -> tuple[Raw, int] | None:
    """The slot's value and the index behind it."""
    first = _take_one(slot, items, index, miss)
    if first is None or not slot.many:
        return first
    values: list[Raw] = [first[0]]
    index = first[1]
    while index < len(items) and isinstance(items[index], Comma):
        another = _take_one(slot, items, index + 1, miss)
        if another is None:
            break
        values.append(another[0])
        index = another[1]
    return tuple(values), index


def _take_one(slot: Slot, items: Sequence[Item], index: int, miss: Miss) -> tuple[Raw, int] | None:
    if index >= len(items):
        miss.at(items, index, slot.wanted)
        return None
    item = items[index]
    match slot.type, item:
        case "choice", Word():
            return _choice(slot, items, index, miss)
        case ("device" | "lock", Word() as named) | ("terminal" | "signal", Reference() as named):
            return named, index + 1
        case ("name", Word(text=text)) | ("text", Text(text=text)):
            return text, index + 1
        case "number", Number(value, text):
            return units.Quantity(value, "number", text), index + 1
        case "count", Number(value) if 0 <= value <= MOST_COUNT and value == int(value):
            return value, index + 1
        case "date", Date(text) if is_day(text):
            return text, index + 1
        case kind, Number() if kind in units.SI_UNIT:
            return _quantity(slot, items, index, miss)
    miss.at(items, index, slot.wanted)
    return None


def _choice(slot: Slot, items: Sequence[Item], index: int, miss: Miss) -> tuple[Raw, int] | None:
    best = ""
    said = [item.text if isinstance(item, Word) else "" for item in items[index : index + 8]]
    for choice in slot.choices:
        words = choice.split(" ")
        if said[: len(words)] == words and len(choice) > len(best):
            best = choice
    if best:
        return best, index + 1 + best.count(" ")
    miss.at(items, index, slot.wanted, hint=did_you_mean(" ".join(filter(None, said)), slot.choices))
    return None


def _quantity(slot: Slot, items: Sequence[Item], index: int, miss: Miss) -> tuple[Raw, int] | None:
    number = items[index]
    assert isinstance(number, Number)
    unit = items[index + 1] if index + 1 < len(items) else None
    if not isinstance(unit, Word):
        miss.at(items, index, slot.wanted, f"“{number.text}” without a unit")
        return None
    said = f"“{number.text} {unit.text}”"
    try:
        quantity = units.quantity(number.value, unit.text, number.text)
    except (KeyError, OverflowError):
        known = units.is_unit(unit.text)
        hint = "" if known else did_you_mean(unit.text, [*units.UNITS, units.GAUGE])
        found = f"{said}, out of all bounds" if known else f"{said}, whose unit is not known"
        miss.at(items, index if known else index + 1, slot.wanted, found, hint)
        return None
    if quantity.dimension != slot.type:
        miss.at(items, index, slot.wanted, f"{said}, {_article(quantity.dimension)} {quantity.dimension}")
        return None
    if (expected := _out_of_bounds(quantity)) is not None:
        found = said if quantity.value <= 0 else f"{said}, out of all bounds"
        miss.at(items, index, expected or slot.wanted, found)
        return None
    return quantity, index + 2


def _out_of_bounds(quantity: units.Quantity) -> str | None:
    """What must stand there if it is a quantity that nothing has, empty for the slot's own words; None if it may be."""
    value, dimension = quantity.value, quantity.dimension
    what = f"{_article(dimension)} {dimension}"
    if dimension == "temperature":
        if value < 0:
            return f"{what} above absolute zero"
        return None if COLDEST <= value <= HOTTEST else f"{what} from -100 degC to 1000 degC"
    if value < 0:
        return f"{what} of zero or more"
    if value == 0:
        return f"{what} above zero" if dimension in NEVER_ZERO else None
    return None if LEAST <= value <= MOST else ""


def is_day(text: str) -> bool:
    """Whether a date written yyyy-mm-dd is in the calendar."""
    from datetime import date

    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def shown(item: Item, bare: bool = False) -> str:
    """An item in words, in quotes unless `bare`."""
    match item:
        case Comma():
            text = ","
        case Reference(device, terminal):
            text = f"{device}:{terminal}"
        case Text(text):
            text = f'"{text}"'
        case _:
            text = item.text
    text = text if len(text) <= 60 else text[:57] + "…"
    return text if bare else f"“{text}”"


def entry_text(entry: Entry) -> str:
    """An entry's items with one blank between."""
    return " ".join(shown(item, bare=True) for item in entry.items).replace(" ,", ",")


def _article(word: str) -> str:
    return "an" if word[0] in "aeiou" else "a"
