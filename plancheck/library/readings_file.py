"""A filled-in test sheet: a CSV whose readings are taken, each with the line that it stands in."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from plancheck.finding import Mistake
from plancheck.nearest import did_you_mean
from plancheck.plan.model import Plan
from plancheck.source import Source, Span

COLUMNS = ("condition", "from", "to", "reading V")
_NUMBER = re.compile(r"[-+]?\d+(\.\d+)?([ ]*V(dc|ac)?)?", re.IGNORECASE)
_SEPARATORS = ",;\t"


@dataclass(frozen=True, slots=True)
class Measured:
    """Volts read from `plus` to `minus` with the signals of `setting` away from rest."""

    plus: str
    minus: str
    volts: float
    setting: Mapping[str, bool]
    at: Span


def read_readings(source: Source, plan: Plan) -> tuple[list[Measured], list[Mistake]]:
    """The readings of a sheet, by the names of a plan, and every mistake in it with line and column."""
    lines = source.text.split("\n")
    head_at = next((i for i, line in enumerate(lines) if line.strip()), 0)
    separator = max(_SEPARATORS, key=lines[head_at].count)
    rows = list(_rows(source, separator))
    if not rows:
        return [], [Mistake(Span(source, 0, 0), "The sheet is empty", "no line", "a head and a line for each reading")]
    head = [cell.strip().lower() for cell, _ in rows[0]]
    missing = [name for name in COLUMNS if name.lower() not in head]
    if missing:
        hint = did_you_mean(missing[0], head)
        told = ", ".join(f"“{name}”" for name in missing)
        return [], [Mistake(rows[0][0][1], f"The sheet has no column {told}", "", "a column of that name", hint)]
    place = {name: head.index(name.lower()) for name in COLUMNS}
    reader = _Reader(plan, place)
    for row in rows[1:]:
        reader.row(row)
    if not reader.found and not reader.mistakes:
        mistake = Mistake(rows[0][0][1], "No reading is filled in", "", "volts in the column “reading V”")
        return [], [mistake]
    return reader.found, reader.mistakes


Cells = Sequence[tuple[str, Span]]


def _rows(source: Source, separator: str) -> Iterator[Cells]:
    """Rows of cells, each with where its text stands; blank lines are passed over."""
    text = source.text
    for start, end in _records(text):
        cells = next(csv.reader(io.StringIO(text[start:end], newline=""), delimiter=separator), [])
        if not any(cell.strip() for cell in cells):
            continue
        at, found = start, []
        for cell in cells:
            close = _cell_end(text, at, end, separator)
            # What a spreadsheet is kept from taking for a formula has a mark before it.
            found.append((cell.removeprefix("'"), Span(source, at, close)))
            at = close + 1
        yield found


def _records(text: str) -> Iterator[tuple[int, int]]:
    """Where each record stands: line ends within quotation marks do not end it."""
    start, quoted = 0, False
    for i, character in enumerate(text):
        if character == '"':
            quoted = not quoted
        elif character in "\r\n" and not quoted:
            if i > start:
                yield start, i
            start = i + 1
    if start < len(text):
        yield start, len(text)


def _cell_end(text: str, at: int, end: int, separator: str) -> int:
    quoted = False
    for i in range(at, end):
        if text[i] == '"':
            quoted = not quoted
        elif text[i] == separator and not quoted:
            return i
    return end


class _Reader:
    """Takes rows one by one."""

    def __init__(self, plan: Plan, place: Mapping[str, int]) -> None:
        self.place, self.found, self.mistakes = place, list[Measured](), list[Mistake]()
        self.terminals = {f"{d.name}:{t}" for d in plan.devices.values() for t in d.terminals}
        self.signals = {s.key for d in plan.devices.values() for s in d.signals.values()}
        self.seen: dict[tuple[str, str, str], Measured] = {}

    def row(self, cells: Cells) -> None:
        wanted = self.place["reading V"]
        if wanted >= len(cells) or not cells[wanted][0].strip():
            return  # not filled in: cautions, and steps without a reading
        if max(self.place.values()) >= len(cells):
            self._wrong(cells[-1][1], "This line has too few cells", f"{len(cells)}", f"{max(self.place.values()) + 1}")
            return
        at = {name: cells[i] for name, i in self.place.items()}
        volts, setting = self._volts(*at["reading V"]), self._setting(*at["condition"])
        plus, minus = self._terminal(*at["from"]), self._terminal(*at["to"])
        if volts is not None and setting is not None and plus and minus:
            self._take(Measured(plus, minus, volts, setting, at["reading V"][1]))

    def _take(self, reading: Measured) -> None:
        key = reading.plus, reading.minus, repr(sorted(reading.setting.items()))
        before = self.seen.setdefault(key, reading)
        if before is reading:
            self.found.append(reading)
        elif before.volts != reading.volts:
            found = f"{reading.volts:g} V here, {before.volts:g} V in line {before.at.line}"
            self._wrong(reading.at, "The same is read twice, with different volts", found, "one of the two")

    def _volts(self, text: str, at: Span) -> float | None:
        text = text.strip()
        if _NUMBER.fullmatch(text):
            volts = float(re.sub(r"[ ]*V(dc|ac)?$", "", text, flags=re.IGNORECASE))
            if math.isfinite(volts):
                return volts
        hint = "A decimal point, no comma: 23.8." if "," in text else ""
        self._wrong(at, f"“{text}” is no reading", f"“{text}”", "volts, such as 23.8 or 23.8 V", hint)
        return None

    def _terminal(self, text: str, at: Span) -> str:
        name = text.strip()
        if name in self.terminals:
            return name
        hint = did_you_mean(name, sorted(self.terminals))
        self._wrong(at, f"The plan has no terminal “{name}”", f"“{name}”", "a terminal of the plan", hint)
        return ""

    def _setting(self, text: str, at: Span) -> dict[str, bool] | None:
        setting: dict[str, bool] = {}
        for each in filter(None, (part.strip() for part in text.split(";"))):
            key, _, word = each.rpartition(" ")
            if word not in ("on", "off"):
                self._wrong(at, f"“{each}” is no condition", f"“{each}”", "a signal with on or off, such as alarm on")
                return None
            if key not in self.signals:
                hint = did_you_mean(key, sorted(self.signals))
                self._wrong(at, f"The plan has no signal “{key}”", f"“{key}”", "a signal of the plan", hint)
                return None
            setting[key] = word == "on"
        return setting

    def _wrong(self, at: Span, headline: str, found: str, expected: str, hint: str = "") -> None:
        self.mistakes.append(Mistake(at, headline, found, expected, hint))
