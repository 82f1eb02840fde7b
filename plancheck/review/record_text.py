"""A record of existing findings as a text, a line to a finding: to be read, compared and merged like any text.

    existing findings of plancheck, form 1
    recorded 2026-11-25

    plan "loft.plan" titled "Kestrel Wharf boat school, sail loft"
    warning 3f0c1a9b5d7e2486 electrical/loop-drop on "ML1" "6.2 % of the voltage is lost on the way to ML1"
      sum "volts lost on the way to ML1" 6.2 "%" "at most 5 %"

Below a finding may stand what it `found`, where its headline does not say it; what else it is `about`; each `sum`
behind it; and each `step` that gives no number.

Words stand by themselves, texts in quotes as in JSON. `#` begins a comment. Nothing is guessed: a record that is
wrong anywhere counts for nothing, so that no finding is left out for a line that was misread.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from plancheck.finding import Mistake, Severity
from plancheck.review.existing import PlanRecord, Record, Recorded, RecordedSum, in_order
from plancheck.source import Source, Span

FORM = 1
HEAD = "existing findings of plancheck, form"
ABOUT = """\
# What was found when these plans were taken on: `plancheck review --existing` leaves it out, except what became
# worse. Take lines out as they are mended; never add one by hand.
"""
MOST_MISTAKES = 20
"""Mistakes told of one record; past them the rest is not read."""
_HEAD = re.compile(rf"{re.escape(HEAD)} (\d{{1,6}})[ \t]*\Z")
_PIECE = re.compile(r'"(?:[^"\\]|\\.)*"|[^\s"]+|"|[ \t]+|[^\S \t]')
_PRINT = re.compile(r"[0-9a-f]{16}\Z")
_BELOW = {"sum": "sum", "step": "step", "found": "line", "about": "line"}
"""Words with which a line begins that says more of the finding above it, and what it is called."""
_RULE = re.compile(r"[^\W_][\w\-]*/[^\W_][\w\-]*\Z")


def record_text(record: Record) -> str:
    """The record as a text: plans by their file, findings by rule and thing."""
    lines = [f"{HEAD} {FORM}", *ABOUT.splitlines(), f"recorded {record.day}"]
    for plan in sorted(record.plans.values(), key=lambda each: each.file):
        lines += ["", f"plan {_quoted(plan.file)} titled {_quoted(plan.title)}"]
        for each in in_order(plan.findings):
            about = f"{each.rule} on {_quoted(each.subject)} {_quoted(each.headline)}"
            lines.append(f"{each.severity} {each.fingerprint} {about}")
            lines += _below(each)
    return "\n".join(lines) + "\n"


def _below(finding: Recorded) -> Iterator[str]:
    """The lines that say the rest of a finding."""
    if finding.found:
        yield f"  found {_quoted(finding.found)}"
    for name in finding.about:
        yield f"  about {_quoted(name)}"
    for each in finding.sums:
        if isinstance(each.value, str):
            yield f"  step {_quoted(each.what)} {_quoted(each.value)} {_quoted(each.limit)}"
        else:
            yield f"  sum {_quoted(each.what)} {each.value!r} {_quoted(each.unit)} {_quoted(each.limit)}"


def _quoted(text: str) -> str:
    """In quotes; what could break a line, or hide in one, by its code."""
    plain = json.dumps(text, ensure_ascii=False)
    return "".join(c if c.isprintable() else json.dumps(c)[1:-1] for c in plain)


def is_record(text: str) -> bool:
    """Whether a text begins as a record does, whatever its form."""
    return text.startswith(HEAD)


def read_record(source: Source) -> tuple[Record, list[Mistake]]:
    """The record that a text holds. With a mistake anywhere it is an empty one."""
    reader = _Reader(source)
    reader.read()
    if reader.mistakes:
        return Record(""), reader.mistakes
    return Record(reader.day, reader.plans), []


class _Misread(Exception):
    """The line is no such line; the mistake is noted."""


@dataclass(slots=True)
class _Line:
    """A line cut into words and texts, each with its place."""

    source: Source
    start: int
    end: int
    pieces: list[tuple[str, int]]
    mistakes: list[Mistake]
    at: int = 0

    def wrong(self, headline: str, expected: str) -> _Misread:
        """Note a mistake at the piece that is next."""
        if self.at < len(self.pieces):
            piece, start = self.pieces[self.at]
            span, found = Span(self.source, start, start + len(piece)), f"“{_clipped(piece)}”"
        else:
            span, found = Span(self.source, max(self.start, self.end - 1), self.end), "the end of the line"
        self.mistakes.append(Mistake(span, headline, found, expected))
        return _Misread()

    def take(self, expected: str, reads: Callable[[str], bool]) -> str:
        """The next piece, which must be as expected."""
        if self.at == len(self.pieces) or not reads(self.pieces[self.at][0]):
            raise self.wrong("This line of the record cannot be read", expected)
        self.at += 1
        return self.pieces[self.at - 1][0]

    def word(self, *words: str) -> str:
        """One of some words."""
        return self.take(" or ".join(f"“{word}”" for word in words), lambda piece: piece in words)

    def text(self, what: str) -> str:
        """A text in quotes."""
        before = self.at
        piece = self.take(f"{what} in quotes", lambda piece: len(piece) > 1 and piece[0] == piece[-1] == '"')
        try:
            return str(json.loads(piece))
        except ValueError:
            self.at = before
            raise self.wrong("This text is not written as it should be", f"{what} in quotes, as in JSON") from None

    def number(self) -> float:
        """A number that is one."""
        return float(self.take("a number", _is_number))

    def ends(self) -> None:
        """Nothing more may stand here."""
        if self.at < len(self.pieces):
            raise self.wrong("This line of the record holds too much", "the end of the line")


class _Reader:
    def __init__(self, source: Source) -> None:
        self.source = source
        self.mistakes: list[Mistake] = []
        self.day = ""
        self.plans: dict[str, PlanRecord] = {}
        self.places: dict[tuple[str, str], Span] = {}
        """Where each plan, and each finding of it, stands."""
        self.file = ""
        self.findings: list[Recorded] = []
        self.lost = False
        """Whether the line of the plan at hand was misread: what stands below it is of no use."""

    def read(self) -> None:
        if not self._is_ours():
            return
        for line in self._lines():
            try:
                self._line(line)
            except _Misread:
                if len(self.mistakes) >= MOST_MISTAKES:
                    break
        self._close()
        if not self.day and not self.mistakes:
            self._wrong(0, len(HEAD), "This record does not say when it was made", "no day", "“recorded 2026-11-25”")

    def _wrong(self, start: int, end: int, headline: str, found: str, expected: str, hint: str = "") -> None:
        self.mistakes.append(Mistake(Span(self.source, start, end), headline, found, expected, hint))

    def _is_ours(self) -> bool:
        first = self.source.line(1)
        head = _HEAD.match(first)
        if head is None:
            headline = "This is no record of existing findings"
            self._wrong(0, len(first), headline, f"“{_clipped(first)}”", f"“{HEAD} {FORM}” as its first line")
        elif int(head[1]) != FORM:
            hint = "Record the plans anew with this plancheck."
            headline = "This record has a form that this plancheck does not read"
            self._wrong(head.start(1), head.end(1), headline, f"form {int(head[1])}", f"form {FORM}", hint)
        return not self.mistakes

    def _lines(self) -> Iterator[_Line]:
        """Every line but the first that holds more than blanks and a comment."""
        starts = self.source.line_starts
        for number in range(2, len(starts) + 1):
            start, text = starts[number - 1], self.source.line(number)
            if text.strip() and not text.lstrip().startswith("#"):
                pieces = [(m.group(), start + m.start()) for m in _PIECE.finditer(text) if m.group().strip(" \t")]
                yield _Line(self.source, start, start + len(text), pieces, self.mistakes)

    def _line(self, line: _Line) -> None:
        word = line.word("recorded", "plan", *_BELOW, *Severity)
        if word == "recorded":
            if self.day:
                line.at = 0
                raise line.wrong("The day of a record is said once", "a plan or a finding")
            self.day = line.take("a day such as 2026-11-25", _is_day)
        elif word == "plan":
            self._plan(line)
        elif word in _BELOW:
            self._below(line, word)
        else:
            self._finding(line, Severity(word))
        line.ends()

    def _plan(self, line: _Line) -> None:
        self._close()
        self.lost = True
        file = line.text("the plan's file")
        line.word("titled")
        title = line.text("the plan's title")
        self._once(line, (file, ""), 1, "This plan stands in the record twice")
        self.file, self.plans[file], self.lost = file, PlanRecord(file, title, ()), False

    def _finding(self, line: _Line, severity: Severity) -> None:
        if self.lost:
            raise _Misread
        if not self.file:
            line.at = 0
            raise line.wrong("This finding is of no plan", "a line “plan …” above it")
        mark = line.take("a fingerprint of sixteen hex digits", lambda piece: bool(_PRINT.match(piece)))
        rule = line.take("a rule such as “pack/rule”", lambda piece: bool(_RULE.match(piece)))
        line.word("on")
        subject, headline = line.text("what the finding is about"), line.text("the finding's headline")
        self._once(line, (self.file, mark), 1, "This finding stands in the record twice")
        self.findings.append(Recorded(mark, severity, rule, subject, headline))

    def _below(self, line: _Line, word: str) -> None:
        if not self.findings and self.mistakes:
            raise _Misread
        if not self.findings:
            line.at = 0
            raise line.wrong(f"This {_BELOW[word]} is of no finding", "a finding above it")
        last = self.findings[-1]
        if word == "found":
            if last.found:
                line.at = 0
                raise line.wrong("What a finding found is said once", "another line")
            self.findings[-1] = replace(last, found=line.text("what was found"))
        elif word == "about":
            self.findings[-1] = replace(last, about=(*last.about, line.text("the name of a thing")))
        else:
            what = line.text("what was worked out")
            value: float | str = line.number() if word == "sum" else line.text("what came of it")
            unit = line.text("the unit") if word == "sum" else ""
            each = RecordedSum(what, value, unit, line.text("the limit"))
            self.findings[-1] = replace(last, sums=(*last.sums, each))

    def _once(self, line: _Line, key: tuple[str, str], piece: int, headline: str) -> None:
        text, start = line.pieces[piece]
        at = Span(self.source, start, start + len(text))
        first = self.places.setdefault(key, at)
        if first != at:
            self.mistakes.append(Mistake(at, headline, "a second time", "once", also_at=(first,)))
            raise _Misread

    def _close(self) -> None:
        """The plan at hand is complete."""
        if self.file:
            self.plans[self.file] = replace(self.plans[self.file], findings=tuple(self.findings))
        self.file, self.findings = "", []


def _is_number(piece: str) -> bool:
    try:
        return math.isfinite(float(piece))
    except ValueError:
        return False


def _is_day(piece: str) -> bool:
    try:
        return date.fromisoformat(piece).isoformat() == piece
    except ValueError:
        return False


def _clipped(text: str) -> str:
    return text if len(text) <= 40 else f"{text[:39]}…"


def plan_place(source: Source, file: str) -> Span:
    """Where a plan's line stands in the text of a record."""
    line = re.search(rf"(?m)^plan {re.escape(_quoted(file))}", source.text)
    return Span(source, line.start(), line.end()) if line else Span(source, 0, 0)
