"""A rule that did not do on one of its examples as that says, as a finding in its file."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.finding import Finding, Severity
from plancheck.rulebook.rule import Example
from plancheck.rulebook.trial import FALSE_ALARM, MISS, NOT_JUDGED, UNREADABLE, Trial
from plancheck.source import Span

TRIED = "file/example"
_TOLD = {
    MISS: ("{rule} finds nothing in a plan that it must fail", "a finding"),
    FALSE_ALARM: ("{rule} finds fault with a plan that it must pass", "no finding"),
    NOT_JUDGED: ("{rule} cannot judge a plan that it must pass", "a plan that says all that the rule asks for"),
    UNREADABLE: ("The plan of this example cannot be read", "a plan without mistakes"),
}
MOST_TOLD = 5
"""Findings and mistakes of one example that are told."""


def trial_finding(trial: Trial) -> Finding:
    """What went wrong with a trial that was not right; it points at the example's title."""
    headline, required = _TOLD[trial.outcome]
    return Finding(
        rule=TRIED,
        severity=Severity.ERROR,
        life_safety=False,
        subject=trial.rule.id,
        headline=headline.format(rule=trial.rule.id),
        found="; ".join(list(_found(trial))[:MOST_TOLD]) or "nothing",
        required=required,
        remedy="Mend the rule or the example; `plancheck rules trial --why` tells what the rule went through.",
        at=_title(trial.example),
        also_at=tuple(_in_file(trial.example, finding.at) for finding in trial.findings[:MOST_TOLD]),
        variant=f"{trial.example.passes} {trial.example.title}",
    )


def _found(trial: Trial) -> Iterator[str]:
    for finding in trial.findings if trial.outcome == FALSE_ALARM else ():
        yield f"line {finding.at.line}: {finding.headline}"
    for mistake in trial.mistakes:
        yield f"line {mistake.at.line}, column {mistake.at.column}: {mistake.headline}"
    yield from trial.reasons


def _title(example: Example) -> Span:
    quoted = f'"{example.title}"'
    start = example.file.text.rfind(quoted, 0, example.start)
    if start < 0:  # A title of several texts in a row.
        return Span(example.file, example.start - 1, example.start)
    return Span(example.file, start, start + len(quoted))


def _in_file(example: Example, at: Span) -> Span:
    """A place in the plan of an example, in the file of rules: line and column are the same."""
    line, column = at.source.position(at.start)
    start = example.file.line_starts[line - 1] + column - 1
    return Span(example.file, start, min(start + at.end - at.start, len(example.file.text)))
