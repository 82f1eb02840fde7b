"""Types of the rule language, and the algebra of dimensions: volts times amps are watts, volts are no amps."""

from __future__ import annotations

from dataclasses import dataclass

from plancheck.units import EXAMPLE, SI_UNIT, show, significant

Vector = tuple[int, int, int, int, int]
"""Exponents of metre, kilogram, second, ampere and kelvin."""

NONE: Vector = (0, 0, 0, 0, 0)
VECTORS: dict[str, Vector] = {
    "voltage": (2, 1, -3, -1, 0),
    "current": (0, 0, 0, 1, 0),
    "power": (2, 1, -3, 0, 0),
    "charge": (0, 0, 1, 1, 0),
    "length": (1, 0, 0, 0, 0),
    "area": (2, 0, 0, 0, 0),
    "time": (0, 0, 1, 0, 0),
    "temperature": (0, 0, 0, 0, 1),
    "inductance": (2, 1, -2, -2, 0),
    "frequency": (0, 0, -1, 0, 0),
    "resistance": (2, 1, -3, -2, 0),
    "capacitance": (-2, -1, 4, 2, 0),
    "energy": (2, 1, -2, 0, 0),
    "force": (1, 1, -2, 0, 0),
    "resistance per length": (1, 1, -3, -2, 0),
    "ratio": NONE,
    "number": NONE,
}
_NAMES = {vector: name for name, vector in VECTORS.items() if name != "ratio"}
_SYMBOLS = ("m", "kg", "s", "A", "K")


@dataclass(frozen=True, slots=True)
class Type:
    """What an expression is: `form` says which sort, the other fields which one of that sort.

    Forms: yes/no, quantity (with `dimension`), text, date, choice (with `options`), list and thing (with `of`,
    a class), sightings (repeated entries of the plan), mixed (a slot that kinds declare differently).
    """

    form: str
    dimension: str = ""
    vector: Vector = NONE
    options: tuple[str, ...] = ()
    of: str = ""

    def __str__(self) -> str:
        match self.form:
            case "quantity":
                return _with_article(self.dimension)
            case "list":
                return f"a list of {self.of}s"
            case "thing":
                return _with_article(self.of)
            case "choice":
                return "one of " + ", ".join(self.options[:12]) + (" …" if len(self.options) > 12 else "")
            case "yes/no":
                return "yes or no"
            case "mixed":
                return "declared differently by several kinds"
        return f"a {self.form}"


def _with_article(word: str) -> str:
    return f"an {word}" if word[:1] in "aeiouA" else f"a {word}"


YES_NO = Type("yes/no")
TEXT = Type("text")
DATE = Type("date")
SIGHTINGS = Type("sightings")
MIXED = Type("mixed")


def quantity(dimension: str) -> Type:
    """A number of a named dimension."""
    return Type("quantity", dimension, VECTORS[dimension])


NUMBER = quantity("number")
RATIO = quantity("ratio")
VOLTAGE = quantity("voltage")
CURRENT = quantity("current")
LENGTH = quantity("length")


def choice(*options: str) -> Type:
    """One of some words."""
    return Type("choice", options=options)


def thing(of: str) -> Type:
    """A thing of a class."""
    return Type("thing", of=of)


def things(of: str) -> Type:
    """A list of things of a class."""
    return Type("list", of=of)


def product(left: Type, right: Type) -> Type:
    """Type of left × right."""
    return _named(left, right, tuple(a + b for a, b in zip(left.vector, right.vector, strict=True)))


def quotient(left: Type, right: Type) -> Type:
    """Type of left ÷ right; two of a kind make a ratio."""
    if left.vector == right.vector and left.vector != NONE:
        return RATIO
    return _named(left, right, tuple(a - b for a, b in zip(left.vector, right.vector, strict=True)))


def same_dimension(left: Type, right: Type) -> bool:
    """Whether two quantities may be added or compared."""
    return left.form == right.form == "quantity" and left.vector == right.vector


def _named(left: Type, right: Type, exponents: tuple[int, ...]) -> Type:
    vector: Vector = exponents  # type: ignore[assignment]
    if vector == left.vector and left.vector != NONE:
        return left
    if vector == NONE:
        return RATIO if "ratio" in (left.dimension, right.dimension) else NUMBER
    return Type("quantity", _NAMES.get(vector) or _composed(vector), vector)


def _composed(vector: Vector) -> str:
    parts = [f"{s}{'' if e == 1 else e}" for s, e in zip(_SYMBOLS, vector, strict=True) if e]
    return "·".join(parts)


def example_of(of: Type) -> str:
    """How a value of that type might be written, for hints."""
    if of.form == "quantity":
        return EXAMPLE.get(of.dimension, "8" if of.dimension == "number" else of.dimension)
    return of.options[0] if of.options else ""


def shown(value: float, dimension: str) -> str:
    """A number in its trade unit; of a dimension without a name, in the units it is composed of."""
    if value != value:
        return "unknown"
    return show(value, dimension) if dimension in SI_UNIT else f"{significant(value)} {dimension}"
