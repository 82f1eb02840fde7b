"""Limits by jurisdiction and edition: which numbers count for a plan, and what is said where it leaves that open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from plancheck.plan.edition import Edition
from plancheck.rulebook.types import Type
from plancheck.source import Span

JURISDICTIONS = ("us", "eu")
MOST_ALTERNATIVES = 64
"""Sets of limits under which one thing may have to be judged: with more, a rule is about too many codes at once."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A number that a rule holds things to. `value` is SI, `text` as the rule writes it.

    It counts in the jurisdiction `tag`, and from `edition` on; everywhere where these are empty.
    """

    name: str
    type: Type
    value: float
    text: str
    tag: str
    source: str
    at: Span
    edition: Edition | None = None

    @property
    def where(self) -> str:
        """Where it counts, in words; empty for everywhere."""
        tag = f" in {self.tag}" if self.tag else ""
        return tag + (f" under {self.edition.text}" if self.edition else "")


@dataclass(frozen=True, slots=True)
class Alternative:
    """A set of limits that may count. `left_open` says what the plan does not state, `chosen` what was taken for it."""

    values: dict[str, float]
    left_open: str = ""
    chosen: str = ""
    remark: str = ""
    """What is to be checked about these limits whatever else; for instance, that they are another edition's."""

    @property
    def said(self) -> str:
        """What a finding under these limits tells of the choice; empty where nothing was open."""
        open_said = f"the plan {self.left_open}: held to the stricter limit, {self.chosen}" if self.left_open else ""
        return "; ".join(word for word in (open_said, self.remark) if word)


def count_alternatives(limits: Sequence[Limit]) -> int:
    """How many sets of limits a plan that states nothing would have to be held to, at most."""
    editions = {(limit.edition.code, limit.edition.year) for limit in limits if limit.edition}
    count = len(JURISDICTIONS) if any(limit.tag for limit in limits) else 1
    for code in _codes(limits):
        count *= 1 + sum(1 for each, _ in editions if each == code)
    return count


def alternatives(
    limits: Sequence[Limit], only_in: str, jurisdiction: str, editions: Sequence[Edition]
) -> list[Alternative]:
    """Each set of limits that may count for a plan, once; a single one where the plan leaves nothing open."""
    if not any(limit.tag or limit.edition for limit in limits):
        return [Alternative({limit.name: limit.value for limit in limits})]
    found: list[Alternative] = []
    settled = jurisdiction or only_in
    by_place = any(limit.tag for limit in limits)
    for tag in [settled] if settled else JURISDICTIONS if by_place else [""]:
        here = _in(limits, tag)
        for choice in product(*(_choices(here, code, editions) for code in _codes(here))):
            each = _alternative(here, "" if settled else tag, choice)
            if each.values not in [other.values for other in found]:
                found.append(each)
    return found if len(found) > 1 else [Alternative(found[0].values, remark=found[0].remark)]


def _in(limits: Sequence[Limit], tag: str) -> list[Limit]:
    """Limits that count in a jurisdiction; its own before those for everywhere."""
    own = {(limit.name, limit.edition) for limit in limits if tag and limit.tag == tag}
    return [limit for limit in limits if limit.tag == tag or (not limit.tag and (limit.name, limit.edition) not in own)]


def _codes(limits: Sequence[Limit]) -> list[str]:
    return list(dict.fromkeys(limit.edition.code for limit in limits if limit.edition))


@dataclass(frozen=True, slots=True)
class _Choice:
    """Edition of a code: its limits count up to `year`. `named` is what the plan says, None where it leaves it open."""

    code: str
    year: int
    text: str
    named: Edition | None


def _choices(limits: Sequence[Limit], code: str, editions: Sequence[Edition]) -> list[_Choice]:
    named = next((e for e in editions if e.code.casefold() == code.casefold()), None)
    if named is not None:
        return [_Choice(code, named.year, named.text, named)]
    known = {limit.edition.year: limit.edition for limit in limits if limit.edition and limit.edition.code == code}
    before = _Choice(code, min(known) - 1, f"{code} before {min(known)}", None)
    return [before, *(_Choice(code, year, known[year].text, None) for year in sorted(known))]


def _alternative(limits: Sequence[Limit], tag: str, choice: Sequence[_Choice]) -> Alternative:
    """The numbers of one choice; `tag` is the jurisdiction where the plan leaves that open."""
    values: dict[str, float] = {}
    remarks: dict[str, None] = {}
    for name in dict.fromkeys(limit.name for limit in limits):
        limit = _counting([each for each in limits if each.name == name], choice)
        values[name] = limit.value
        remarks.update(dict.fromkeys(_checked(limit, choice)))
    open_codes = [each for each in choice if each.named is None]
    missing = ["states no jurisdiction"] if tag else []
    missing += [f"names no edition of {each.code}" for each in open_codes]
    chosen = ([tag] if tag else []) + [each.text for each in open_codes]
    return Alternative(values, " and ".join(missing), ", ".join(chosen), "; ".join(remarks))


def _counting(named_alike: Sequence[Limit], choice: Sequence[_Choice]) -> Limit:
    """Of the limits of one name: that of the newest edition not after the chosen one, else the one without edition."""
    years = {each.code: each.year for each in choice}
    reached = [limit for limit in named_alike if limit.edition and limit.edition.year <= years[limit.edition.code]]
    plain = [limit for limit in named_alike if limit.edition is None]
    return max(reached, key=lambda limit: limit.edition.year if limit.edition else 0) if reached else plain[0]


def _checked(limit: Limit, choice: Sequence[_Choice]) -> Iterator[str]:
    """Where the limit is an earlier edition's than the plan names, that it must be checked."""
    for each in choice:
        if each.named and limit.edition and limit.edition.code == each.code and limit.edition.year < each.year:
            yield f"{limit.name} by {limit.edition.text}, the nearest earlier edition known: check {each.named.text}"
