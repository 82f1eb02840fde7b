"""How rules did on their own examples: misses and false alarms apart, then the count."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from plancheck.finding import Finding, Mistake
from plancheck.render.columns import padded, width
from plancheck.render.layout import Page, entry, plural
from plancheck.rulebook.trial import FALSE_ALARM, MISS, NOT_JUDGED, UNREADABLE, Trial

_TOLD = {
    MISS: "Missed",
    FALSE_ALARM: "False alarm",
    NOT_JUDGED: "Not judged",
    UNREADABLE: "Unreadable",
}


def trial_page(trials: Sequence[Trial], page: Page) -> str:
    """Each rule with how many of its examples did as they say, what went wrong, and the count."""
    lines = [*_tally(trials, page), ""]
    for outcome in _TOLD:
        for trial in trials:
            if trial.outcome == outcome:
                lines += [*_wrong(trial, page), ""]
    lines += entry("Tried", _count(trials), page)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _tally(trials: Sequence[Trial], page: Page) -> Iterator[str]:
    tried = Counter(trial.rule.id for trial in trials)
    right = Counter(trial.rule.id for trial in trials if trial.right)
    names = max(map(width, tried), default=0) + 2
    for rule in sorted(tried):
        yield page.paint.strong(padded(rule, names)) + f"{right[rule]} of {tried[rule]}"


def _wrong(trial: Trial, page: Page) -> Iterator[str]:
    example = trial.example
    line, _ = example.file.position(example.start)
    should = "must pass" if example.passes else "must fail"
    yield from map(page.paint.strong, entry(_TOLD[trial.outcome], trial.rule.id, page))
    yield from entry("", f"{should}: “{example.title}”, {example.file.name}, line {line}", page)
    for finding in trial.findings if example.passes else ():
        yield from entry("Found", _finding(finding), page)
    for mistake in trial.mistakes:
        yield from entry("Mistake", _mistake(mistake), page)
    for reason in trial.reasons:
        yield from entry("Reason", reason, page)


def _finding(finding: Finding) -> str:
    return f"line {finding.at.line}, {finding.subject}: {finding.headline}"


def _mistake(mistake: Mistake) -> str:
    told = f"line {mistake.at.line}, column {mistake.at.column}: {mistake.headline}"
    if mistake.found:
        told += f": found {mistake.found}, expected {mistake.expected}"
    return f"{told} {mistake.hint}".rstrip()


def _count(trials: Sequence[Trial]) -> str:
    outcomes = Counter(trial.outcome for trial in trials)
    rules = len({trial.rule.id for trial in trials})
    parts = [f"{outcomes['']} as they say"]
    parts += [f"{outcomes[outcome]} {told.lower()}" for outcome, told in _TOLD.items() if outcomes[outcome]]
    return f"{plural(len(trials), 'example')} of {plural(rules, 'rule')}: " + ", ".join(parts)
