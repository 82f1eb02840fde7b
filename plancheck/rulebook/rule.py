"""A rule that was found right, and the rulebook that holds all of them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from plancheck.finding import Severity
from plancheck.rulebook.nodes import PlaceMember, SituationNode
from plancheck.rulebook.quantify import Variable
from plancheck.rulebook.scope import Checked, Run
from plancheck.rulebook.template import Template
from plancheck.rulebook.things import LATE
from plancheck.rulebook.types import Type
from plancheck.rulebook.vocabulary import Vocabulary
from plancheck.source import Source, Span

JURISDICTIONS = ("us", "eu")
_HEADER = re.compile(r"(?m)^[ \t]*plan[ \t]")
GRADES = ("published", "from memory", "common practice")


@dataclass(frozen=True, slots=True)
class Basis:
    """What a rule rests on: a code and clause, or common practice; `tag` is the jurisdiction where it counts."""

    text: str
    grade: str
    tag: str

    @property
    def said(self) -> str:
        """The text with its grade."""
        return f"{self.text} ({self.grade})" if self.grade and self.grade not in self.text else self.text


@dataclass(frozen=True, slots=True)
class Limit:
    """A number that a rule holds things to. `value` is SI, `text` as the rule writes it."""

    name: str
    type: Type
    value: float
    text: str
    tag: str
    source: str
    at: Span


@dataclass(frozen=True, slots=True)
class Example:
    """A plan that a rule must pass or fail: its documentation and its own test. Read only when asked for."""

    passes: bool
    title: str
    file: Source = field(repr=False)
    start: int
    end: int

    @property
    def text(self) -> str:
        """The plan, without the blanks that set it in."""
        from textwrap import dedent

        return dedent(self.file.text[self.start : self.end]).strip("\r\n ")

    @property
    def source(self) -> Source:
        """The plan as a text of its own, in which each character has the line and column of the rules file.

        An example that does without a header is given one in the lines above it.
        """
        line, column = self.file.position(self.start)
        text = self.file.text[self.start : self.end]
        header = "" if _HEADER.search(text) else f'plan "{self.title}"'
        return Source(self.file.name, header + "\n" * (line - 1) + " " * (column - 1) + text)


@dataclass(frozen=True, slots=True)
class EvidenceLine:
    """One step of the sum: what, its value, and the limit it is held against (`bound` is most, least or empty)."""

    what: Template
    value: Checked
    bound: str
    against: Checked | None


@dataclass(frozen=True, slots=True)
class Place:
    """Where a finding points: a variable and maybe a slot of it, or what a path leads to."""

    node: PlaceMember | None
    run: Run
    slot: str = ""
    holder: Run | None = None
    """The thing whose slot it is."""


@dataclass(frozen=True, slots=True)
class Texts:
    """What a finding says."""

    headline: Template | None
    found: Template
    required: Template
    remedy: Template
    evidence: tuple[EvidenceLine, ...]


@dataclass(frozen=True, slots=True)
class Demand:
    """What a group asks of each thing that it goes through, what it requires, and where a finding points.

    `wheres` holds, for each variable, what is asked once it is bound.
    """

    wheres: tuple[tuple[Run, ...], ...]
    require: Checked
    at: Place
    also_at: tuple[Place, ...]
    path: Run | None


@dataclass(frozen=True, slots=True)
class Group:
    """One `for each` with what it demands.

    `demand` is asked for once there is a thing to go through, `texts` once something is found: those of rules that
    are known to be right are put together only then.
    """

    variables: tuple[Variable, ...]
    demand: Callable[[], Demand]
    texts: Callable[[], Texts]

    @property
    def wheres(self) -> tuple[tuple[Run, ...], ...]:
        """What is asked once each variable is bound."""
        return self.demand().wheres

    @property
    def require(self) -> Checked:
        """What is demanded."""
        return self.demand().require

    @property
    def late(self) -> bool:
        """Whether it speaks of what the other rules left behind."""
        return any(v.of in LATE for v in self.variables)


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule, checked and ready to judge with."""

    id: str
    pack: str
    title: str
    severity: Severity
    life_safety: bool
    basis: tuple[Basis, ...]
    only_in: str
    limits: tuple[Limit, ...]
    known_limits: str
    groups: Sequence[Group]
    examples: tuple[Example, ...]
    at: Span
    whole_at: Span
    """The whole rule, from its keyword to its closing brace."""

    def runs_in(self, jurisdiction: str) -> bool:
        """Whether a plan of that jurisdiction (or of none, empty) is held to it."""
        return not self.only_in or not jurisdiction or jurisdiction == self.only_in

    def basis_in(self, jurisdiction: str) -> tuple[str, ...]:
        """The basis as it is cited in a jurisdiction; all of it where the plan states none."""
        return tuple(b.said for b in self.basis if not b.tag or not jurisdiction or b.tag == jurisdiction)

    def limits_in(self, jurisdiction: str) -> list[tuple[str, dict[str, float]]]:
        """The limits by name; where the plan states no jurisdiction, one set for each that differs."""
        wanted = [jurisdiction] if jurisdiction else [self.only_in] if self.only_in else list(JURISDICTIONS)
        found: list[tuple[str, dict[str, float]]] = []
        for tag in wanted:
            values = {limit.name: limit.value for limit in self.limits if not limit.tag}
            values |= {limit.name: limit.value for limit in self.limits if limit.tag == tag}
            if values not in [v for _, v in found]:
                found.append((tag, values))
        return found


@dataclass(frozen=True)
class Rulebook:
    """Rules in the order of their files, the situations they name, and the words they may use."""

    rules: tuple[Rule, ...]
    packs: Mapping[str, str]
    """Title of each pack."""
    situations: Mapping[str, SituationNode]
    vocabulary: Vocabulary

    @cached_property
    def by_id(self) -> dict[str, Rule]:
        """Each rule by its `pack/rule`."""
        return {rule.id: rule for rule in self.rules}

    def get(self, rule_id: str) -> Rule | None:
        """The rule of that id."""
        return self.by_id.get(rule_id)

    def with_rules(self, rules: Sequence[Rule]) -> Rulebook:
        """The same rulebook with only some of its rules."""
        return Rulebook(tuple(rules), self.packs, self.situations, self.vocabulary)
