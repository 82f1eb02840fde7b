"""What came of readings, to be read on site: cautions, what is outside, what would explain it, what to read next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from plancheck.render.columns import wrapped
from plancheck.render.layout import Page, plural
from plancheck.render.title_block import closing, joined, table, title_block
from plancheck.review.acceptance import CAUTIONS, condition_words
from plancheck.review.diagnosis import Checked, Diagnosis, Explanation
from plancheck.review.explaining import NextReading
from plancheck.review.sequence import CAUTIONS as OF_WORKING_OUT

NAMED = 6
"""Explanations that predict the same which are named; the rest is counted. JSON holds them all."""


def readings_text(found: Diagnosis, page: Page) -> str:
    """The whole answer."""
    lines = [*title_block("READINGS", found.plan, page)]
    lines += [line for caution in CAUTIONS for line in wrapped(f"· {caution}", page.width)]
    count = plural(len(found.checked), "reading")
    lines += ["", f"{count}, {found.as_drawn} as the plan has them, {len(found.outside)} outside"]
    if found.outside:
        lines += ["", *table(("From", "To", "Condition", "Read", "Expected"), [*map(_row, found.outside)], page)]
        lines += ["", *_explanations(found, page)]
    gaps = [f"{c.read.plus} to {c.read.minus}, {_when(c.read.setting)}: {c.why}" for c in found.not_assessed]
    if found.left_out:
        gaps.append(f"{found.left_out:,} more exchanges of two wires were not tried")
    lines += ["", *closing(gaps, (), OF_WORKING_OUT[:2], page)]
    return joined(lines)


def _row(checked: Checked) -> tuple[str, ...]:
    read, band = checked.read, checked.expected
    assert band is not None
    expected = f"{band.volts:.2f} V ({band.least:.2f} to {band.most:.2f})"
    return read.plus, read.minus, _when(read.setting), f"{read.volts:g} V", expected


def _when(setting: Mapping[str, bool]) -> str:
    return condition_words(setting) or "at rest"


def _explanations(found: Diagnosis, page: Page) -> Iterator[str]:
    if not found.explanations:
        yield from wrapped(
            f"None of {found.tried:,} single failures and exchanges of two wires explains more of them than the plan "
            "as drawn: look for two faults at once, for what it does not draw, or for a reading at another terminal.",
            page.width,
        )
        return
    yield from wrapped(f"What would explain them, of {found.tried:,} single failures and exchanges tried:", page.width)
    for number, each in enumerate(found.explanations, 1):
        yield from _explanation(number, each, len(found.checked), page)
    if found.next_reading:
        yield ""
        yield from _next(found.next_reading, page)


def _explanation(number: int, each: Explanation, of: int, page: Page) -> Iterator[str]:
    missed = f", misses the rest by {each.misfit:.1f} V together" if each.misfit >= 0.05 else ""
    first, *rest = wrapped(f"{each.what}: explains {each.explained} of {of}{missed}", page.width - 4)
    yield f"{number:>2}  {first}"
    yield from (f"    {line}" for line in rest)
    if each.alike:
        more = f"; and {len(each.alike) - NAMED} more" if len(each.alike) > NAMED else ""
        told = f"not to be told from: {'; '.join(each.alike[:NAMED])}{more}"
        yield from (f"    {line}" for line in wrapped(told, page.width - 4))


def _next(reading: NextReading, page: Page) -> Iterator[str]:
    when = _when(reading.setting)
    yield from wrapped(f"To tell them apart, read {reading.plus} against {reading.minus}, {when}:", page.width)
    for volts, names in reading.outcomes:
        more = f"; and {len(names) - NAMED} more" if len(names) > NAMED else ""
        first, *rest = wrapped("; ".join(names[:NAMED]) + more, page.width - 16)
        yield f"    {f'about {volts:.1f} V':<12}{first}"
        yield from (f"{'':16}{line}" for line in rest)
