"""The table of seeded faults, which the suite prints at its end: fault, tried, found, by which rule."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.faults.trying import Row

PROPERTY = "seeded fault"
"""Under this name a test hands its row to the suite's last lines."""
WIDEST = 76


def as_data(row: Row) -> dict[str, object]:
    """A row as it travels from the process that ran its test to the one that prints."""
    return {
        "fault": row.fault,
        "tried": row.tried,
        "found": row.found,
        "by": dict(sorted(row.by_rule.items())),
        "harmless": dict(sorted(row.harmless.items())),
        "missed": len(row.missed),
    }


def lines(rows: Iterable[Mapping[str, object]]) -> list[str]:
    """The table: nothing where no fault was tried."""
    told = sorted(rows, key=lambda row: str(row["fault"]))
    if not told:
        return []
    head = f"{'Seeded fault':{WIDEST}}  tried  found  harmless  by rule"
    return ["", head, "-" * len(head), *(line for row in told for line in _row(row)), _total(told)]


def _row(row: Mapping[str, object]) -> list[str]:
    by, harmless = row["by"], row["harmless"]
    assert isinstance(by, Mapping)
    assert isinstance(harmless, Mapping)
    rules = ", ".join(f"{rule} {count}" for rule, count in by.items())
    name, *more = _folded(str(row["fault"]))
    spared = sum(harmless.values())
    first = f"{name:{WIDEST}}  {row['tried']:>5}  {row['found']:>5}  {spared:>8}  {rules}".rstrip()
    missed = [f"    MISSED {row['missed']}"] if row["missed"] else []
    return [first, *more, *(f"    harmless {count}: {why}" for why, count in harmless.items()), *missed]


def _folded(text: str) -> list[str]:
    """A name that is longer than its column goes on below."""
    if len(text) <= WIDEST:
        return [text]
    at = text.rfind(" ", 0, WIDEST)
    return [text[:at], *("  " + line for line in _folded(text[at + 1 :]))]


def _total(rows: list[Mapping[str, object]]) -> str:
    def total(key: str) -> int:
        return sum(int(str(row[key])) for row in rows)

    spared = sum(sum(row["harmless"].values()) for row in rows)  # type: ignore[attr-defined]
    text = f"{len(rows)} kinds of fault"
    return f"{text:{WIDEST}}  {total('tried'):>5}  {total('found'):>5}  {spared:>8}"
