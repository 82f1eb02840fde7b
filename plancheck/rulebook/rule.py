"""A rule that was found right, and the rulebook that holds all of them."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

from plancheck.finding import Severity
from plancheck.plan.edition import Edition
from plancheck.rulebook.gather_topics import GRADES as GRADES
from plancheck.rulebook.limits import JURISDICTIONS as JURISDICTIONS
from plancheck.rulebook.limits import Alternative, alternatives
from plancheck.rulebook.limits import Limit as Limit
from plancheck.rulebook.nodes import PlaceMember, SituationNode
from plancheck.rulebook.quantify import Variable
from plancheck.rulebook.scope import Checked, Run
from plancheck.rulebook.template import Template
from plancheck.rulebook.things import LATE, OF_THE_WHOLE
from plancheck.rulebook.topics import Topic, cite
from plancheck.rulebook.vocabulary import Vocabulary
from plancheck.source import Source, Span

if TYPE_CHECKING:
    from plancheck.rulebook.change_cases import Change, ChangeCase
    from plancheck.rulebook.fixing import Fixing

_HEADER = re.compile(r"(?m)^[ \t]*plan[ \t]")


@dataclass(frozen=True, slots=True)
class Basis:
    """What a rule rests on: a code and clause, or common practice; `tag` is the jurisdiction where it counts.

    One that refers to `topics` says what the tables of clauses say, and has no text of its own.
    """

    text: str
    grade: str
    tag: str
    topics: tuple[Topic, ...] = ()

    def cited(self, editions: Sequence[Edition] = (), egress: Collection[str] = ()) -> list[str]:
        """As it is cited where those editions hold, for doors of those classes; where none is named, by the newest."""
        return cite(self.topics, editions, egress) if self.topics else [self.said]

    @property
    def said(self) -> str:
        """The text with its grade."""
        return f"{self.text} ({self.grade})" if self.grade and self.grade not in self.text else self.text


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
    fixes: tuple[Fixing, ...] = ()
    """What it proposes to do."""


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
    reaches_far: Callable[[], bool]
    """Whether what it says of a thing may hang on things that the thing has nothing to do with."""

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

    @property
    def of_the_whole(self) -> bool:
        """Whether it speaks of the plan as such, or of packs, and not of anything on the plan."""
        return all(v.of in OF_THE_WHOLE for v in self.variables)


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
    slope: Callable[[str], int]
    """Which way a greater number for a limit goes: see `slope`."""

    @property
    def late(self) -> bool:
        """Whether it speaks of what the other rules left behind."""
        return any(group.late for group in self.groups)

    def runs_in(self, jurisdiction: str) -> bool:
        """Whether a plan of that jurisdiction (or of none, empty) is held to it."""
        return not self.only_in or not jurisdiction or jurisdiction == self.only_in

    def basis_in(
        self, jurisdiction: str, editions: Sequence[Edition] = (), egress: Collection[str] = ()
    ) -> tuple[str, ...]:
        """The basis as it is cited in a jurisdiction and its editions; all of it where the plan states none.

        `egress` are the classes of the doors that it is about.
        """
        held = [b for b in self.basis if not b.tag or not jurisdiction or b.tag == jurisdiction]
        return tuple(text for b in held for text in b.cited(editions, egress))

    def limits_in(self, jurisdiction: str, editions: Sequence[Edition] = ()) -> list[Alternative]:
        """The limits by name; where the plan states no jurisdiction or edition, one set for each that differs."""
        return alternatives(self.limits, self.only_in, jurisdiction, editions)


@dataclass(frozen=True)
class Rulebook:
    """Rules in the order of their files, the situations they name, and the words they may use."""

    rules: tuple[Rule, ...]
    packs: Mapping[str, str]
    """Title of each pack."""
    situations: Mapping[str, SituationNode]
    vocabulary: Vocabulary
    topics: Mapping[str, Topic] = field(default_factory=dict)
    """Clauses by edition, by what they are about."""
    in_house: frozenset[str] = frozenset()
    """Names of the packs that are not shipped."""
    pack_of_folder: Mapping[str, str] = field(default_factory=dict)
    """Name of the pack that each in-house folder is, where its rules say."""
    changes: tuple[Change, ...] = ()
    """What in-house packs want changed, whether they apply or not."""
    cases: tuple[ChangeCase, ...] = ()
    """What came of the changes by the packs that apply."""

    @cached_property
    def by_id(self) -> dict[str, Rule]:
        """Each rule by its `pack/rule`."""
        return {rule.id: rule for rule in self.rules}

    def get(self, rule_id: str) -> Rule | None:
        """The rule of that id."""
        return self.by_id.get(rule_id)

    def with_rules(self, rules: Sequence[Rule]) -> Rulebook:
        """The same rulebook with only some of its rules."""
        return replace(self, rules=tuple(rules))
