"""Zero, negative, huge and tiny numbers in every slot of every shipped kind: told, or judged, and nothing breaks.

The plans are made from the kinds' own declarations, so that a kind that is added is tried as well.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from functools import cache

import pytest

from plancheck.library.load import Library, load_library
from plancheck.plan.kinds import Kind
from plancheck.plan.pattern import Literal, Maybe, Part, Pattern, Slot
from plancheck.plan.resolve import resolve
from plancheck.review.report import PlanReport
from plancheck.review.review import review_text
from plancheck.source import Source
from plancheck.units import EXAMPLE

HUGE, TINY = "1" + "0" * 300, "0." + "0" * 299 + "1"
"""1e300 and 1e-300: the plan language has no exponents."""
AROUND = """plan "Values out of reason"
revision "A" dated 2026-11-02
jurisdiction us
supply FEED { output 24 Vdc, 1 A; class 2 }
magnetic-lock HELD { rated 24 Vdc, 250 mA; suppression built in }
door WAY { on exit path; egress sensor release; locks HELD }
"""
UNITS = {dimension: text.split(" ")[1] for dimension, text in EXAMPLE.items()} | {"area": "mm2"}
"""A gauge of -1 is a stout wire, and no area."""
NAMES = {"device": "HELD", "lock": "HELD", "terminal": "FEED:+", "signal": "FEED:mains", "name": "red"}
EVERY = "every slot"
NOT_ZERO = frozenset(("voltage", "current", "power", "area"))


@cache
def library() -> Library:
    return load_library([])


def reviewed(text: str) -> PlanReport:
    source = Source("values.plan", text)
    return review_text(source, library().kinds, library().rulebook, lambda name, by: "no files", date(2026, 11, 25))


def mistaken(text: str) -> bool:
    """Whether something of a plan cannot be read."""
    return bool(resolve(Source("values.plan", text), library().kinds, lambda name, by: "no files")[1])


# --- plans from declarations ---------------------------------------------------------------------------------------


def written(parts: Sequence[Part], value: str, slot: str) -> str:
    """An attribute with one slot set to a number, in the unit of that slot's example, all else as its example."""
    words: list[str] = []
    for part in parts:
        match part:
            case Literal(text):
                words.append(text)
            case Maybe(inner):
                words.append(written(inner, value, slot))
            case Slot(name=name) if slot in (name, EVERY) and part.type in (*UNITS, "number"):
                words.append(f"{value} {UNITS.get(part.type, '')}".strip())
            case Slot():
                words.append(NAMES.get(part.type, part.example))
    return " ".join(words).replace(" ,", ",")


def slots_of(parts: Sequence[Part]) -> Iterator[Slot]:
    for part in parts:
        if isinstance(part, Maybe):
            yield from slots_of(part.parts)
        elif isinstance(part, Slot):
            yield part


def patterns(kind: Kind) -> list[Pattern]:
    return list(dict.fromkeys(p for each in kind.patterns.values() for p in each))


def drawn(kind: Kind, pattern: Pattern, slot: str, value: str) -> str:
    """A plan with one thing of a kind, one slot of it set to a value."""
    needs = [p for lead in kind.needs if lead not in pattern.leads for p in kind.patterns[lead][:1]]
    return wired(kind, [*(written(p.parts, "", "") for p in needs), written(pattern.parts, value, slot)])


def drawn_all(kind: Kind, value: str) -> str:
    """A plan with one thing of a kind that says all it may, each number set to a value."""
    said: dict[str, str] = {}
    for pattern in patterns(kind):
        said.setdefault(pattern.leads[0], written(pattern.parts, value, EVERY))
    return wired(kind, list(said.values()))


def wired(kind: Kind, said: Sequence[str]) -> str:
    """The thing across a supply, its next two terminals in the feed of a lock; or in that feed itself."""
    block = "; ".join(said)
    if kind.base == "wire":
        return AROUND + f"wire FEED:+ to HELD:+ {{ {block} }}\nwire HELD:- to FEED:-\n"
    text = AROUND + f"{kind.name} TRIED {{ {block} }}\n"
    if kind.base == "cable":
        return text + "wire FEED:+ to HELD:+ in TRIED/1\nwire HELD:- to FEED:- in TRIED/2\n"
    plan, _ = resolve(Source("values.plan", text), library().kinds, lambda name, by: "no files")
    ends = [f"TRIED:{name}" for name in plan.devices["TRIED"].terminals] if "TRIED" in plan.devices else []
    if len(ends) < 2:
        return text + "wire FEED:+ to HELD:+\nwire HELD:- to FEED:-\n"
    if len(ends) == 2 and kind.base == "device":
        return text + f"wire FEED:+ to {ends[0]}\nwire {ends[1]} to HELD:+\nwire HELD:- to FEED:-\n"
    text += f"wire FEED:+ to {ends[0]}\nwire FEED:- to {ends[1]} to HELD:-\n"
    inner = ends[2:4] if len(ends) >= 4 else ends[:1] * 2
    return text + f"wire FEED:+ to {inner[0]}\nwire {inner[1]} to HELD:+\n"


def tried() -> list[tuple[Kind, Pattern, Slot]]:
    """Every slot of every shipped kind that takes a quantity or a number."""
    return [
        (kind, pattern, slot)
        for kind in library().kinds.by_name.values()
        for pattern in patterns(kind)
        for slot in slots_of(pattern.parts)
        if slot.type in UNITS or slot.type == "number"
    ]


def label(kind: Kind, pattern: Pattern, slot: Slot) -> str:
    return f"{kind.name}: {pattern.leads[0]} <{slot.name}>"


# --- what is told --------------------------------------------------------------------------------------------------


def test_every_kind_is_tried() -> None:
    names = {kind.name for kind, _, _ in tried()}
    assert {"magnetic-lock", "cable", "wire", "supply", "gate-operator", "door"} <= names
    wrong = [label(*each) for each in tried() if mistaken(drawn(*each[:2], "", ""))]
    assert wrong == []


@pytest.mark.parametrize("value", ["-1", HUGE, TINY])
def test_negative_huge_and_tiny_quantities_cannot_be_read(value: str) -> None:
    silent = [
        label(kind, pattern, slot)
        for kind, pattern, slot in tried()
        if slot.type != "number"
        and not (slot.type == "temperature" and value in ("-1", TINY))  # degrees of frost, and of none
        and not mistaken(drawn(kind, pattern, slot.name, value))
    ]
    assert silent == []


@pytest.mark.parametrize("value", ["-1", "0", "0.5", HUGE])
def test_a_number_without_a_unit_is_judged(value: str) -> None:
    for kind, pattern, slot in tried():
        if slot.type == "number":
            rules = {f.rule for f in reviewed(drawn(kind, pattern, slot.name, value)).findings}
            assert "electrical/rating-of-nothing" in rules, label(kind, pattern, slot)


def test_a_rating_of_zero_is_never_silent() -> None:
    needed = [each for each in tried() if each[1].needed and each[2].type in NOT_ZERO]
    assert len(needed) > 40
    silent = [
        label(kind, pattern, slot)
        for kind, pattern, slot in needed
        if not {"electrical/rating-of-nothing", "file/reading"}
        & {finding.rule for finding in reviewed(drawn(kind, pattern, slot.name, "0")).findings}
    ]
    assert silent == []


@pytest.mark.parametrize("value", ["0", "0.00000001", "1000000000"])
def test_a_thing_with_every_number_out_of_reason_is_reviewed(value: str) -> None:
    """One number at a time, as `tests/soak` does it, takes minutes; here each kind has all of them at once."""
    for kind in dict.fromkeys(kind.name for kind, _, _ in tried()):
        report = reviewed(drawn_all(library().kinds.by_name[kind], value))
        assert report.rules_run, kind
