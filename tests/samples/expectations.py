"""What a sample says of itself: behind `#!` at a line stand the rules that must speak of that line."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from plancheck.review.report import PlanReport
from plancheck.source import Source

_EXPECTED = re.compile(r"#!\s*([\w-]+/[\w-]+(?:\s*,\s*[\w-]+/[\w-]+)*)\s*$")


class Spot(NamedTuple):
    """A rule that speaks, or should, of a line of a file."""

    file: str
    line: int
    rule: str


def expected_of(source: Source) -> set[Spot]:
    """All expectations of a text."""
    spots = set()
    for number in range(1, len(source.line_starts) + 1):
        match = _EXPECTED.search(source.line(number))
        if match:
            spots |= {Spot(source.name, number, rule.strip()) for rule in match[1].split(",")}
    return spots


def found_in(report: PlanReport) -> set[Spot]:
    """Where the findings of a report stand."""
    return {Spot(f.at.source.name, f.at.line, f.rule) for f in report.findings}


def told(title: str, spots: Iterable[Spot]) -> list[str]:
    """A list of spots for a failing test to show."""
    lines = [f"  {spot.file}:{spot.line}: {spot.rule}" for spot in sorted(spots)]
    return [f"{title}:", *lines] if lines else []


def compared(expected: set[Spot], found: set[Spot]) -> str:
    """Misses and false alarms, apart; empty where there are none."""
    return "\n".join(told("missed", expected - found) + told("false alarm", found - expected))
