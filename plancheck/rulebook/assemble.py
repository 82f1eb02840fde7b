"""One rule put together from its members: what must be there is there, once, and every expression is right."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

from plancheck.finding import Mistake, Severity
from plancheck.nearest import did_you_mean
from plancheck.plan.edition import WRITTEN_LIKE, read_edition
from plancheck.rulebook import nodes, types
from plancheck.rulebook.check import literal
from plancheck.rulebook.clause_nodes import CitedClauses
from plancheck.rulebook.gather_topics import GRADES
from plancheck.rulebook.group import assemble_group
from plancheck.rulebook.limits import JURISDICTIONS, MOST_ALTERNATIVES, Limit, count_alternatives
from plancheck.rulebook.parting import OF_GROUP, keyword_of
from plancheck.rulebook.read import RulesFile
from plancheck.rulebook.rule import Basis, Example, Group, Rule
from plancheck.rulebook.scope import Frame, Wrong
from plancheck.rulebook.slope import slope
from plancheck.rulebook.topics import Topic
from plancheck.rulebook.types import Type
from plancheck.rulebook.vocabulary import Vocabulary
from plancheck.rulebook.wording import clipped
from plancheck.syntax.packing import Later

if TYPE_CHECKING:
    from plancheck.rulebook.watch import Watch

M = TypeVar("M", bound=nodes.Member)


@dataclass(slots=True)
class Assembling:
    """A rule in the making."""

    file: RulesFile
    vocabulary: Vocabulary
    situations: Mapping[str, nodes.SituationNode]
    topics: Mapping[str, Topic]
    rule_id: str
    pack: str
    known_right: bool = False
    """Whether the rule was found right before, among these very kinds and rules."""
    mistakes: list[Mistake] = field(default_factory=list)
    watch: Watch | None = None
    """Notes what the rule does, where somebody asked why."""

    def wrong(self, node: Any, headline: str, found: str = "", expected: str = "", hint: str = "") -> None:
        """Note a mistake at a node."""
        self.mistakes.append(Mistake(self.file.span(node), clipped(headline), clipped(found), expected, hint))

    def frame(self, limits: Mapping[str, Type]) -> Frame:
        """What the expressions of this rule are checked against; mistakes come here."""
        named = dict(limits)
        return Frame(self.file, self.vocabulary, self.situations, named, mistakes=self.mistakes, watch=self.watch)


def assemble(node: nodes.RuleNode, work: Assembling) -> Rule | None:
    """The rule, or None where anything about it is wrong."""
    title = _text(node, "title", work)
    known = _text(node, "known limits", work)
    severity = _severity(node, work)
    only = _only(node, work)
    basis = _basis(node, work)
    limits = _limits(node, only, work)
    groups = _groups(node, {limit.name: limit.type for limit in limits}, work)
    examples = _examples(node, work)
    if work.mistakes or not node.whole:
        return None
    return Rule(
        id=work.rule_id,
        pack=work.pack,
        title=title,
        severity=severity,
        life_safety=any(isinstance(m, nodes.LifeSafetyMember) for m in node.head),
        basis=basis,
        only_in=only,
        limits=limits,
        known_limits=known,
        groups=groups,
        examples=examples,
        at=work.file.span(node.name),
        whole_at=work.file.span(node),
        slope=lambda limit: slope(node, limit, work.vocabulary),
    )


def _members(node: nodes.RuleNode, of: type[M]) -> list[M]:
    return [m for m in node.head if isinstance(m, of)]


def _one(node: nodes.RuleNode, found: list[M], what: str, work: Assembling, hint: str = "") -> M | None:
    """The one member of its sort; none or several are a mistake (but none only where the rule was read whole)."""
    if not found and node.whole:
        work.wrong(node.name, f"This rule has no “{what}”", "none", f"a line “{what} …”", hint)
    for extra in found[1:]:
        work.wrong(extra, f"“{what}” is said twice", "a second one", "one")
    return found[0] if found else None


def _text(node: nodes.RuleNode, keyword: str, work: Assembling) -> str:
    found = [m for m in _members(node, nodes.TextMember) if m.keyword == keyword]
    member = _one(node, found, keyword, work)
    if member is not None and "{" in member.text.text:
        work.wrong(member.text, f"A “{keyword}” is plain text", "a brace", "no expression")
    return member.text.text if member else ""


def _severity(node: nodes.RuleNode, work: Assembling) -> Severity:
    member = _one(node, _members(node, nodes.SeverityMember), "severity", work, "error, warning or note")
    return Severity.ERROR if member is None else read_severity(member, work)


def read_severity(member: nodes.SeverityMember, work: Assembling) -> Severity:
    """The severity that a member gives, of a rule or of a change of one."""
    word = member.word.text
    if word not in list(Severity):
        hint = did_you_mean(word, list(Severity))
        work.wrong(member.word, "This is no severity", f"“{word}”", "error, warning or note", hint)
        return Severity.ERROR
    return Severity(word)


def _tag(tag: nodes.Name | None, work: Assembling) -> str:
    if tag is None:
        return ""
    if tag.text not in JURISDICTIONS:
        hint = did_you_mean(tag.text, JURISDICTIONS)
        work.wrong(tag, "This is no jurisdiction", f"“{tag.text}”", " or ".join(JURISDICTIONS), hint)
    return tag.text


def _only(node: nodes.RuleNode, work: Assembling) -> str:
    found = _members(node, nodes.OnlyMember)
    for extra in found[1:]:
        work.wrong(extra, "“only in” is said twice", "a second one", "one")
    return _tag(found[0].tag, work) if found else ""


def _basis(node: nodes.RuleNode, work: Assembling) -> tuple[Basis, ...]:
    members = _members(node, nodes.BasisMember)
    if not members and node.whole:
        hint = 'A rule that no code asks for says so: basis "common practice, no source".'
        work.wrong(node.name, "This rule has no “basis”", "none", "a line “basis …”", hint)
    return tuple(_cited(cited, _tag(member.tag, work), work) for member in members for cited in member.cited)


def _cited(cited: nodes.Cited | CitedClauses, tag: str, work: Assembling) -> Basis:
    if isinstance(cited, nodes.Cited):
        return Basis(cited.text.text, _grade(cited.grade, work), tag)
    for name in cited.topics:
        if name.text not in work.topics:
            known = ", ".join(work.topics) or "a table that a rules file begins with “clauses”"
            hint = did_you_mean(name.text, work.topics)
            work.wrong(name, f"No table of clauses is called “{name.text}”", f"“{name.text}”", known, hint)
    topics = tuple(work.topics[name.text] for name in cited.topics if name.text in work.topics)
    return Basis("", "", tag, topics)


def _grade(grade: nodes.Words | None, work: Assembling) -> str:
    if grade is None:
        return ""
    if grade.text not in GRADES:
        hint = did_you_mean(grade.text, GRADES)
        work.wrong(grade, "This is no grade of a source", f"“{grade.text}”", ", ".join(GRADES), hint)
    return grade.text


# --- limits ------------------------------------------------------------------------------------------------


def _limits(node: nodes.RuleNode, only: str, work: Assembling) -> tuple[Limit, ...]:
    limits: list[Limit] = []
    before = len(work.mistakes)
    for member in _members(node, nodes.LimitMember):
        limit = read_limit(member, work)
        if limit is None:
            continue
        same = [other for other in limits if other.name == limit.name]
        if any((other.tag, other.edition) == (limit.tag, limit.edition) for other in same):
            expected = "one for each place and edition"
            work.wrong(member.name, f"The limit “{limit.name}” is given twice", "a second one", expected)
        elif same and not types.same_dimension(same[0].type, limit.type):
            expected = f"{same[0].type}, like the other one"
            work.wrong(member.amount, "The limits of one name are of one dimension", f"{limit.type}", expected)
        else:
            limits.append(limit)
    if count_alternatives(limits) > MOST_ALTERNATIVES:
        many = f"at most {MOST_ALTERNATIVES} sets of limits, one for each jurisdiction and edition"
        work.wrong(node.name, "This rule has limits by too many editions", f"{count_alternatives(limits)} sets", many)
    if len(work.mistakes) == before:
        _limits_hold_everywhere(limits, only, work)
    return tuple(limits)


def read_limit(member: nodes.LimitMember, work: Assembling) -> Limit | None:
    """The limit that a member gives, of a rule or of a change of one."""
    if not member.amount.unit:
        hint = "A count says what is counted, such as 8 locks."
        work.wrong(member.amount, "A limit needs its unit", f"“{member.amount.text}”", "a number with its unit", hint)
        return None
    try:
        of, value = literal(member.amount, work.frame({}))
    except Wrong:
        return None
    text = f"{member.amount.text} {member.amount.unit}"
    source = member.source.text if member.source else ""
    tag = _tag(member.tag, work)
    edition = read_edition(member.edition.text) if member.edition else None
    if member.edition and edition is None:
        found = f"“{member.edition.text}”"
        work.wrong(member.edition, "An edition names a code and its year", found, f"a text such as {WRITTEN_LIKE}")
        return None
    return Limit(member.name.text, of, value, text, tag, source, work.file.span(member), edition)


def _limits_hold_everywhere(limits: list[Limit], only: str, work: Assembling) -> None:
    """A limit for one jurisdiction or edition needs another for the rest, or the rule would have none there."""
    for limit in limits:
        tags = {other.tag for other in limits if other.name == limit.name and other.edition is None}
        lacking = [j for j in JURISDICTIONS if j not in tags and only in ("", j)]
        if "" in tags or not lacking:
            continue
        if limit.edition:
            headline = f"The limit “{limit.name}” is not given for editions before {limit.edition.text}"
            expected = f"“limit {limit.name} = …” for everything else"
            work.mistakes.append(Mistake(limit.at, headline, f"one from {limit.edition.text} on", expected))
        elif limit.tag:
            expected = f"“limit {limit.name} = …” for everywhere else, or “only in {limit.tag}”"
            headline = f"The limit “{limit.name}” is not given for {', '.join(lacking)}"
            work.mistakes.append(Mistake(limit.at, headline, f"one for {limit.tag} alone", expected))


# --- groups and examples -----------------------------------------------------------------------------------


def _groups(node: nodes.RuleNode, limits: Mapping[str, Type], work: Assembling) -> Sequence[Group]:
    """The groups; those of a rule that is known to be right are put together once they are asked for."""
    if work.known_right:
        return Later(lambda: _groups_now(node, limits, work))
    for member in node.head:
        keyword = keyword_of(member)
        if keyword in OF_GROUP and node.whole:
            work.wrong(member, f"“{keyword}” belongs to a “for each”", "no “for each” above it", "“for each” first")
    if not node.groups and node.whole:
        work.wrong(node.name, "This rule has no “for each”", "none", "a line “for each CLASS NAME”")
    return _groups_now(node, limits, work)


def _groups_now(node: nodes.RuleNode, limits: Mapping[str, Type], work: Assembling) -> tuple[Group, ...]:
    groups: list[Group] = []
    for each in node.groups:
        first = groups[0] if groups else None
        group = assemble_group(each, work.frame(limits), first, node.whole, work.known_right)
        if group is not None:
            groups.append(group)
    return tuple(groups)


def _examples(node: nodes.RuleNode, work: Assembling) -> tuple[Example, ...]:
    members = _members(node, nodes.ExampleMember)
    for keyword in ("passes", "fails"):
        if node.whole and not any(m.keyword == keyword for m in members):
            hint = "Every rule shows a plan that it passes and one that it fails."
            work.wrong(node.name, f"This rule has no “{keyword}” plan", "none", f'{keyword} "…" {{ … }}', hint)
    titles: set[tuple[str, str]] = set()
    for m in members:
        if (m.keyword, m.title.text) in titles:
            work.wrong(m.title, "Two plans of a rule have the same title", f"“{m.title.text}”", "a title of its own")
        titles.add((m.keyword, m.title.text))
    return tuple(
        Example(m.keyword == "passes", m.title.text, work.file.source, m.body_start, m.body_end) for m in members
    )
