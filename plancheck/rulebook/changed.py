"""What comes of the changes of in-house packs: rules as they are run, and a case for each change.

Of two packs that disagree the stricter is obeyed: the lower of two limits that a greater number would loosen, the
higher severity, on rather than off. Where it cannot be told which of two limits is stricter, the rule's own stays.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from plancheck.finding import Severity
from plancheck.rulebook.change_cases import Change, ChangeCase, Effect, NewLimit
from plancheck.rulebook.rule import Basis, Limit, Rule, Rulebook
from plancheck.rulebook.slope import UNTOLD
from plancheck.rulebook.topics import Topic, as_held


def applying(book: Rulebook, packs: Collection[str]) -> Rulebook:
    """The rulebook as it holds where these in-house packs apply, and no others."""
    topics = {topic.name: topic for topic in as_held(book.topics.values(), packs)}
    shortened = [name for name, topic in topics.items() if topic is not book.topics[name]]
    rules, cases = [], []
    for rule in book.rules:
        if rule.pack in book.in_house and rule.pack not in packs:
            continue
        changes = [change for change in book.changes if change.rule == rule.id and change.pack in packs]
        held, told = _changed(rule, changes) if changes else (rule, [])
        rules += [_citing(held, topics) if shortened else held] if held else []
        cases += told
    return replace(book, rules=tuple(rules), cases=tuple(cases), topics=topics)


def _citing(rule: Rule, topics: Mapping[str, Topic]) -> Rule:
    """The rule with the clauses of the packs that apply. A table of which nothing is left is cited as it is given."""
    held = {t: topics[t.name] for b in rule.basis for t in b.topics if t.name in topics and topics[t.name].clauses}
    if all(whole is part for whole, part in held.items()):
        return rule
    basis = (replace(b, topics=tuple(held.get(topic, topic) for topic in b.topics)) for b in rule.basis)
    return replace(rule, basis=tuple(basis))


def _changed(rule: Rule, changes: Sequence[Change]) -> tuple[Rule | None, list[ChangeCase]]:
    effects: dict[str, list[Effect]] = {change.pack: [] for change in changes}
    kept = [change for change in changes if not change.off]
    for change in changes:
        if change.off:
            against = f"{kept[0].pack} keeps it on" if kept else ""
            effects[change.pack].append(Effect("switched off", True, against))
    severity, limits = _severity(rule, kept, effects), tuple(_limits(rule, kept, effects))
    cases = [ChangeCase(change, rule.life_safety, tuple(effects[change.pack])) for change in changes]
    if not kept:
        return None, cases
    basis = (Basis(f"as the pack {c.change.pack} has it: {c.says}, {c.change.reason}", "", "") for c in cases if c.says)
    return replace(rule, severity=severity, limits=limits, basis=(*rule.basis, *basis)), cases


def _severity(rule: Rule, changes: Iterable[Change], effects: dict[str, list[Effect]]) -> Severity:
    wanted = [(change.severity, change) for change in changes if change.severity]
    if not wanted:
        return rule.severity
    held, strictest = min(wanted, key=lambda each: each[0].rank)
    for severity, change in wanted:
        against = "" if severity is held else f"{strictest.pack} wants {held}"
        says = f"severity {severity} {'as it was' if severity is rule.severity else f'instead of {rule.severity}'}"
        effects[change.pack].append(Effect(says, severity.rank > rule.severity.rank, against))
    return held


# --- limits ------------------------------------------------------------------------------------------------


def _limits(rule: Rule, changes: Sequence[Change], effects: dict[str, list[Effect]]) -> Iterator[Limit]:
    """The limits of a rule as they hold; a place that only a pack speaks of takes the one for everywhere along."""
    for limit in _with_places(rule, changes):
        wanted = [(new, change) for change in changes if (new := _asked(change, limit, rule))]
        yield _strictest(limit, wanted, effects) if wanted else limit


def _with_places(rule: Rule, changes: Sequence[Change]) -> Iterator[Limit]:
    for limit in rule.limits:
        yield limit
        said = {each.tag for each in rule.limits if (each.name, each.edition) == (limit.name, limit.edition)}
        asked = (new.limit for change in changes for new in change.limits if new.limit.name == limit.name)
        if not limit.tag:
            yield from (replace(limit, tag=tag) for tag in dict.fromkeys(new.tag for new in asked) if tag not in said)


def _asked(change: Change, limit: Limit, rule: Rule) -> NewLimit | None:
    """What a change wants of a limit: for its very place and edition, or else for all editions, or everywhere.

    What is meant to be stricter, and names no edition, does not loosen an edition that is stricter still.
    """
    of_name = {(new.limit.tag, new.limit.edition): new for new in change.limits if new.limit.name == limit.name}
    places = ((tag, edition) for tag in (limit.tag, "") for edition in (limit.edition, None))
    new = next((of_name[place] for place in places if place in of_name), None)
    if new is not None and limit.edition and not new.limit.edition and _is_looser(new, limit):
        plain = [each for each in rule.limits if each.name == limit.name and not each.edition]
        here = [each for each in plain if each.tag == limit.tag] or [each for each in plain if not each.tag]
        if here and not any(_is_looser(new, each) for each in here):
            return None
    return new


def _is_looser(new: NewLimit, limit: Limit) -> bool:
    return new.slope * (new.limit.value - limit.value) > 0


def _strictest(limit: Limit, wanted: list[tuple[NewLimit, Change]], effects: dict[str, list[Effect]]) -> Limit:
    way = wanted[0][0].slope
    held, author = min(((new.limit, change) for new, change in wanted), key=lambda each: way * each[0].value)
    agreed = all(new.limit.value == held.value for new, _ in wanted)
    untold = way == UNTOLD and not agreed
    for new, change in wanted:
        against = ""
        if untold:
            against = "packs differ, and which is stricter cannot be told"
        elif new.limit.value != held.value:
            against = f"{author.pack} wants {held.text}"
        looser = way * (new.limit.value - limit.value) > 0 if way else new.limit.value != limit.value
        now = (
            f"{new.limit.text} instead of {limit.text}" if new.limit.value != limit.value else f"{limit.text} as it was"
        )
        says = f"limit{limit.where} {limit.name} {now}"
        effects[change.pack].append(Effect(says, looser, against))
    if untold:
        return limit
    return replace(limit, value=held.value, text=held.text, source=held.source or f"the pack {author.pack}")
