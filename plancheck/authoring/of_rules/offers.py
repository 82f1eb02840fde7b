"""What can be offered in a rules file, by the words that stand before it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property

from plancheck.authoring.of_rules import bound
from plancheck.authoring.of_rules.lexed import Sort, Token
from plancheck.authoring.of_rules.view import RulesView
from plancheck.authoring.proposal import Proposal, ProposalSort
from plancheck.circuit.variation import FAILURE_KINDS
from plancheck.finding import Severity
from plancheck.rulebook.rule import GRADES, JURISDICTIONS
from plancheck.rulebook.things import CLASSES
from plancheck.rulebook.types import Type, same_dimension
from plancheck.source import Span
from plancheck.units import GAUGE, UNITS

LIKELY, USUAL, LATER = range(3)
ONCE = ("title", "severity", "life-safety", "known limits", "only in")
"""Members that a rule has but once."""
_ONLY_WORDS = frozenset("abcdefghijklmnopqrstuvwxyz-")


class Offers:
    """Makes proposals for one place of the text: behind some tokens of a statement, those of a member at the end."""

    def __init__(self, view: RulesView, at: Span, statement: Sequence[Token], member: Sequence[Token]) -> None:
        self.view, self.place = view, at
        self.statement, self.member = statement, member
        self.said = frozenset(token.text for token in member)
        self.vocabulary = view.rulebook.vocabulary

    def offer(self, text: str, sort: ProposalSort, detail: str = "", about: str = "", rank: int = USUAL) -> Proposal:
        """One proposal, in the place of what has been begun."""
        return Proposal(self.place, text, sort, detail, about, rank)

    def words(self, *words: str, rank: int = USUAL) -> Iterator[Proposal]:
        """Words of the language."""
        yield from (self.offer(word, ProposalSort.KEYWORD, rank=rank) for word in words)

    def members(self, every: Iterable[str]) -> Iterator[Proposal]:
        """What a rule may go on with; what it has but once is not offered again."""
        said = f" {' '.join(token.text for token in self.statement)} "
        yield from self.words(*(member for member in every if member not in ONCE or f" {member} " not in said))

    def at(self, accepted: frozenset[str]) -> Iterator[Proposal]:
        """What may stand next, of what the grammar takes."""
        yield from self.words(*(word for word in accepted if set(word) <= _ONLY_WORDS), rank=LATER)
        if "UNIT" in accepted and self.member and self.member[-1].sort is Sort.NUMBER:
            yield from self.units()
        elif "WORD" in accepted:
            yield from self._named()

    # --- a word, by what stands before it ----------------------------------------------------------------------

    def _named(self) -> Iterator[Proposal]:
        """Names and words, which the grammar takes for one another: what stands before them tells which."""
        last = self.member[-1].text if self.member else ""
        match last:
            case ".":
                yield from self.facts(bound.path_before(self.member[:-1]))
            case "each" | "some" | "every" | "count":
                yield from self.classes()
            case "with":
                yield from self._behind_with()
            case "add":
                yield from self.two_ended()
            case "severity":
                yield from self.choices(map(str, Severity))
            case "grade":
                yield from self.choices(GRADES)
            case _:
                yield from self._in_lists(last)

    def _in_lists(self, last: str) -> Iterator[Proposal]:
        """Behind words that mean several things, and in what a comma goes on with."""
        first = self.member[0].text if self.member else ""
        if first == "basis":
            yield from self._topics() if "clause" in self.said else self.choices(JURISDICTIONS)
        elif first in ("only", "limit"):
            yield from self.choices(JURISDICTIONS) if last == "in" else ()
        elif first == "situation":
            yield from self.choices(self.vocabulary.roles) if last in ("{", ";") else ()
        elif last in ("of", ",", "for") and self._in_domain():
            yield from self.classes()
            yield from self.variables() if last == "of" else ()
        elif last in ("of", ",") and "failure" in self.said:
            yield from self.choices(FAILURE_KINDS)
        elif last in ("is", "not", "of", ",") and (compared := self._compared()) is not None:
            yield from self.values(compared)
        else:
            yield from self.expression()

    def _in_domain(self) -> bool:
        """Whether the last words are those of a domain, with a class and a name behind it; or it is begun by `for`."""
        if self.member[-1].text == "for":
            return self.member[0].text == "fix"
        behind = [token.text for token in self.member[-5:-1]]
        return len(behind) >= 2 and (behind[-2] in CLASSES or ("in" in behind and behind[-2] == "."))

    def _behind_with(self) -> Iterator[Proposal]:
        if "condition" in self.said:
            situations = self.view.rulebook.situations
            yield from (self.offer(name, ProposalSort.WORD, "situation", rank=LIKELY) for name in situations)
        elif "add" in self.said:
            kind = next((t.text for t in self.member if t.text in self.vocabulary.terminals), "")
            yield from self.choices(self.vocabulary.terminals.get(kind, ()))

    def _topics(self) -> Iterator[Proposal]:
        for name, topic in self.view.rulebook.topics.items():
            yield self.offer(name, ProposalSort.WORD, topic.title, rank=LIKELY)

    # --- expressions -------------------------------------------------------------------------------------------

    def expression(self) -> Iterator[Proposal]:
        """Behind a variable or a path what is yes or no of it; else what an expression may begin with."""
        path = bound.path_before(self.member)
        if bound.type_of(path, self._bound, self.vocabulary)[0]:
            yield from self.facts(path, wanted="yes/no")
            return
        yield from self.variables()
        for name, amount in bound.limits(self.statement).items():
            yield self.offer(name, ProposalSort.PARAMETER, f"limit, {amount}", rank=LIKELY)
        wanted = self._compared()
        if wanted is not None and wanted.form == "quantity":
            yield from self._alike(wanted)

    @cached_property
    def _bound(self) -> dict[str, str]:
        return bound.variables(self.statement)

    def variables(self) -> Iterator[Proposal]:
        """What is bound."""
        yield from (self.offer(name, ProposalSort.DEVICE, of, rank=LIKELY) for name, of in self._bound.items())

    def facts(self, path: Sequence[str], wanted: str = "") -> Iterator[Proposal]:
        """What may be asked of the thing that a path leads to; of one form, where that is `wanted`."""
        of, _ = bound.type_of(path, self._bound, self.vocabulary)
        for name in self.vocabulary.names(of) if of in CLASSES else ():
            word = self.vocabulary.find(of, name)
            if word is not None and (not wanted or word.type.form == wanted):
                when = ", in each condition" if word.conditional else ""
                yield self.offer(name, ProposalSort.ATTRIBUTE, f"{word.type}{when}", word.says, LIKELY)

    def _alike(self, wanted: Type) -> Iterator[Proposal]:
        """Facts of what is bound that are of one dimension with what they are held against."""
        for variable, of in self._bound.items():
            for name in self.vocabulary.names(of) if of in CLASSES else ():
                word = self.vocabulary.find(of, name)
                if word is not None and same_dimension(word.type, wanted):
                    yield self.offer(f"{variable}.{name}", ProposalSort.ATTRIBUTE, str(word.type), word.says)

    def values(self, of: Type) -> Iterator[Proposal]:
        """What a fact may be: one of its choices, yes or no, a thing."""
        if of.form == "choice":
            yield from self.choices(of.options)
        elif of.form == "yes/no":
            yield from self.choices(("yes", "no"))
        elif of.form == "thing":
            yield from self.variables()

    def _compared(self) -> Type | None:
        """The type of what stands left of the comparison at hand."""
        signs = [i for i, token in enumerate(self.member) if token.text in _COMPARING]
        ends = [i for i, token in enumerate(self.member) if token.text in _ENDING]
        if not signs or (ends and ends[-1] > signs[-1]):
            return None
        return bound.type_of(bound.path_before(self.member[: signs[-1]]), self._bound, self.vocabulary)[1]

    # --- tables ------------------------------------------------------------------------------------------------

    def units(self) -> Iterator[Proposal]:
        """Units that fit what is compared, or all of them."""
        wanted = self._compared()
        dimension = wanted.dimension if wanted is not None else ""
        for symbol, unit in UNITS.items():
            if not dimension or unit.dimension == dimension:
                yield self.offer(symbol, ProposalSort.UNIT, unit.dimension, rank=LIKELY if dimension else USUAL)
        if dimension in ("", "area"):
            yield self.offer(GAUGE, ProposalSort.UNIT, "area")
        if dimension == "number":
            yield from self.choices(f"{name}s" for name in CLASSES)

    def rules(self) -> Iterator[Proposal]:
        """Rules that may be changed."""
        yield from (self.offer(rule.id, ProposalSort.RULE, rule.title) for rule in self.view.rulebook.rules)

    def classes(self) -> Iterator[Proposal]:
        """Classes of things."""
        yield from (self.offer(name, ProposalSort.KIND, each.says, rank=LIKELY) for name, each in CLASSES.items())

    def choices(self, words: Iterable[str]) -> Iterator[Proposal]:
        """One of some words."""
        yield from (self.offer(word, ProposalSort.WORD, rank=LIKELY) for word in words)

    def two_ended(self) -> Iterator[Proposal]:
        """Kinds of devices that can stand across something."""
        for name, terminals in self.vocabulary.terminals.items():
            kind = self.view.kinds.get(name)
            if len(terminals) == 2 and kind is not None:
                yield self.offer(name, ProposalSort.KIND, kind.says, rank=LIKELY)


_COMPARING = frozenset(("is", "<", ">", "<=", ">="))
_ENDING = frozenset(("and", "or", ":", "where", "require", "(", ")"))
