"""Why a rule judged as it did: what it went through, what was left out, what each expression came to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from plancheck.render.columns import wrapped
from plancheck.render.layout import Page, headed, plural
from plancheck.rulebook.watch import Asked, Bound, Step, Went
from plancheck.rulebook.why import Account

NAMED = 12
"""Things that one line names; the rest is counted."""
MOST_LINES = 600
"""Lines told of one rule on one plan: past these a name has to be given."""


def why_page(told: Account, title: str, page: Page, only: str = "") -> str:
    """The account of one rule on one plan; `only` keeps it to what bears on one thing."""
    lines = [*headed(f"{told.rule.id} on {title}", page), *_summary(told, page)]
    account = list(_groups(told, page, only))
    if len(account) > MOST_LINES:
        left = len(account) - MOST_LINES
        account = [*account[:MOST_LINES], "", f"… {left:,} more lines; --on NAME tells of one thing alone."]
    return "\n".join(line.rstrip() for line in [*lines, *account]) + "\n"


def _summary(told: Account, page: Page) -> Iterator[str]:
    """First of all: whether it spoke, and why nothing was judged where nothing was."""
    findings = [f for f in told.reviewed.findings if f.rule == told.rule.id]
    for finding in findings[:NAMED]:
        yield from wrapped(f"It speaks of {finding.subject}, line {finding.at.line}: {finding.headline}", page.width)
    if not findings:
        yield "It says nothing."
    for reason in (r for r in told.reviewed.not_assessed if r.startswith(f"{told.rule.id} ")):
        yield from wrapped(f"Not assessed: {reason}", page.width)
    for mistake in told.reviewed.mistakes:
        yield from wrapped(f"Not read, line {mistake.at.line}: {mistake.headline}", page.width)
    yield from wrapped(_counted(told), page.width)


def _counted(told: Account) -> str:
    if not told.record:
        only = f": it runs only in {told.rule.only_in}" if told.rule.only_in else ""
        return f"It was not asked of this plan{only}."
    judged = told.judged
    if not judged:
        return "Nothing was judged: there was nothing to go through, or a “where” left all of it out."
    kept = sum(each.answer is True for each in judged)
    unknown = sum(bool(each.reason) for each in judged)
    words = f"Judged {plural(len(judged), 'time')}: as required {kept}, not so {len(judged) - kept - unknown}"
    return words + (f", no answer {unknown}." if unknown else ".")


def _groups(told: Account, page: Page, only: str) -> Iterator[str]:
    for number, heading in enumerate(told.groups):
        record = [each for each in told.record if each.group == number]
        if record:
            yield ""
            yield from map(page.paint.strong, wrapped(heading, page.width))
            yield from _group(record, page, only)


def _group(record: Sequence[Went | Asked], page: Page, only: str) -> Iterator[str]:
    """What happened, in order, each thing under a line that says which it is."""
    above: Bound = ()
    for each in record:
        if only and each.bound and only not in [thing for _, thing in each.bound]:
            continue
        same = 0
        while same < min(len(above), len(each.bound)) and above[same] == each.bound[same]:
            same += 1
        for level in range(same, len(each.bound)):
            name, thing = each.bound[level]
            yield from _line(f"{name} = {thing}", level + 1, page)
        above = each.bound
        yield from _went(each, page) if isinstance(each, Went) else _asked(each, page)


def _went(went: Went, page: Page) -> Iterator[str]:
    names = ", ".join(went.things[:NAMED])
    if len(went.things) > NAMED:
        names += f" and {len(went.things) - NAMED:,} more"
    yield from _line(
        f"goes through {went.variable.of} {went.variable.name}: {names or 'there is none'}", went.level + 1, page
    )


def _asked(asked: Asked, page: Page) -> Iterator[str]:
    if asked.keyword == "where":
        meaning = "left out" if asked.answer is False else ""
    else:
        meaning = "as required" if asked.answer else "a finding"
    meaning = f"no answer: {asked.reason}" if asked.reason else meaning
    level = asked.level + 2
    if asked.step is None:
        yield from _line(f"{asked.keyword} → {meaning or 'yes'}", level, page)
        return
    said = _valued(asked.step, asked.keyword)
    if not asked.reason:
        said += f": {meaning}" if meaning else ""
    yield from map(page.paint.strong, _line(said, level, page))
    yield from _parts(asked.step, level + 1, page)


def _valued(step: Step, role: str) -> str:
    shown = f", for instance {step.shown}" if step.shown else ""
    return f"{role} {step.said} → {step.value}{shown}".strip()


def _parts(step: Step, level: int, page: Page) -> Iterator[str]:
    """What stands within an expression, with its values, each new thing under a line of its own."""
    known = len(step.bound)
    for bound, parts in groupby(step.parts, key=lambda part: part.bound[known:]):
        inner = level
        if bound:
            yield from _line(", ".join(f"{name} = {thing}" for name, thing in bound), inner, page)
            inner += 1
        for part in parts:
            yield from _line(_valued(part, part.role), inner, page)
            yield from _parts(part, inner + 1, page)


def _line(text: str, level: int, page: Page) -> Iterator[str]:
    indent = " " * min(2 * level, page.width // 2)
    first, *others = wrapped(text, page.width - len(indent) - 2)
    yield indent + first
    yield from (indent + "  " + line for line in others)
