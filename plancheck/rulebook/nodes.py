"""Nodes of a rules file, as read and not yet checked.

Every node carries `start` and `end`, counted in code points from the start of its file; the file's `Source`
makes a span of them. No node holds a source, so that a file once read can be kept by its text.
"""

from __future__ import annotations

from dataclasses import dataclass

from plancheck.rulebook.clause_nodes import CitedClauses, ClauseRow, ClausesNode  # noqa: F401 - kept texts hold them
from plancheck.rulebook.fix_nodes import FixMember as FixMember
from plancheck.rulebook.rule_node import GroupNode as GroupNode
from plancheck.rulebook.rule_node import RuleNode as RuleNode

# --- expressions -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Name:
    """A single word: a variable, a fact, a class, a limit."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with or without its unit: `5 %`, `24 V`, `2`."""

    value: float
    text: str
    unit: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Text:
    """A quoted string; a long one may be several in a row, joined by a blank."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Path:
    """`L`, `L.volts`, `L.device.fails`; a single name may also be a limit, or yes or no."""

    names: tuple[Name, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Predicate:
    """`L secured`: a yes/no fact read as a word."""

    thing: Path
    word: Name
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Words:
    """What stands right of `is`: the words of a choice, or one name, or yes or no."""

    words: tuple[Name, ...]
    start: int
    end: int

    @property
    def text(self) -> str:
        """The words with a blank between."""
        return " ".join(word.text for word in self.words)


@dataclass(frozen=True, slots=True)
class Arithmetic:
    """`a + b`, `a - b`, `a * b`, `a / b`."""

    sign: str
    left: Expression
    right: Expression
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Compare:
    """`a <= b` and its like: numbers in order."""

    sign: str
    left: Expression
    right: Expression
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Is:
    """`a is b`, `a is not b`."""

    left: Expression
    negated: bool
    right: Expression | Words
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class IsOneOf:
    """`a is one of sensor release, delayed`, `a is not one of …`."""

    left: Expression
    negated: bool
    options: tuple[Words, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class IsGiven:
    """`a is given`, `a is not given`: whether the plan says it."""

    left: Expression
    negated: bool
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Not:
    """`not a`."""

    inner: Expression
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Junction:
    """`a and b …` or `a or b …`; `how` is "and" or "or"."""

    how: str
    parts: tuple[Expression, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class DomainItem:
    """`lock L`, `lock L of door D`, `lock L of D`, `device T in I.touching`."""

    kind: Name
    name: Name
    of_kind: Name | None
    of_name: Name | None
    within: Path | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Quantified:
    """`some lock L of D where …: EXPR`, `every …`, `count … where …`; `body` is None for a count."""

    how: str
    domain: tuple[DomainItem, ...]
    where: Expression | None
    body: Expression | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class AnyFailure:
    """`after any single failure of conductor open on I`; without kinds every kind, without `on` anywhere."""

    kinds: tuple[Words, ...]
    on: Path | None


@dataclass(frozen=True, slots=True)
class InCondition:
    """`in every condition with fire alarm where …: EXPR`; `how` is every, some or normal."""

    how: str
    situations: tuple[Words, ...]
    power_lost: tuple[Path, ...]
    where: tuple[Expression, ...]
    distrusted: bool
    failure: AnyFailure | None
    body: Expression
    start: int
    end: int


Expression = (
    Amount
    | Text
    | Path
    | Predicate
    | Arithmetic
    | Compare
    | Is
    | IsOneOf
    | IsGiven
    | Not
    | Junction
    | Quantified
    | InCondition
)

# --- members of a rule -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class TextMember:
    """`title`, `headline`, `known limits`, `found`, `required`, `remedy` with their text."""

    keyword: str
    text: Text
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class SeverityMember:
    """`severity error`."""

    word: Name
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class LifeSafetyMember:
    """`life-safety`."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Cited:
    """One basis, with the words of its grade where it has one."""

    text: Text
    grade: Words | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class BasisMember:
    """`basis us "…" "…" grade from memory`, `basis us clause sensor-release`."""

    tag: Name | None
    cited: tuple[Cited | CitedClauses, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class OnlyMember:
    """`only in us`."""

    tag: Name
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class LimitMember:
    """`limit in us under "NFPA 72-2022" most = 5 % source "…"`."""

    tag: Name | None
    edition: Text | None
    name: Name
    amount: Amount
    source: Text | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class ForEachMember:
    """`for each lock L of door D`: begins a group."""

    domain: tuple[DomainItem, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class ExpressionMember:
    """`where EXPR` or `require EXPR`."""

    keyword: str
    expression: Expression
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class PlaceMember:
    """`at L`, `also at D, L.locks`, `path L`."""

    keyword: str
    paths: tuple[Path, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class EvidenceMember:
    """`evidence "volts at {L}" is L.volts against at most L.drop-out`; `bound` is most, least or empty."""

    what: Text
    value: Expression
    bound: str
    against: Expression | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class ExampleMember:
    """`passes "…" { … }` or `fails "…" { … }`; the plan stands from `body_start` to `body_end`, unread."""

    keyword: str
    title: Text
    body_start: int
    body_end: int
    start: int
    end: int


Member = (
    TextMember
    | SeverityMember
    | LifeSafetyMember
    | BasisMember
    | OnlyMember
    | LimitMember
    | ForEachMember
    | ExpressionMember
    | PlaceMember
    | EvidenceMember
    | FixMember
    | ExampleMember
)

# --- statements of a file ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PackNode:
    """`pack egress "Means of egress"`."""

    name: Name
    title: Text | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class SettingNode:
    """`alarm on`, `reserve off`; or `everything at rest`, which has no role."""

    role: Name | None
    on: bool


@dataclass(frozen=True, slots=True)
class SituationNode:
    """`situation fire alarm { alarm on }`."""

    name: Words
    settings: tuple[SettingNode, ...]
    start: int
    end: int


Node = PackNode | SituationNode | ClausesNode | RuleNode
