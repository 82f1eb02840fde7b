"""One part of a plan: resolved, worked out and judged by itself, and what it must know of the rest for that."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from plancheck.circuit.facts import Facts
from plancheck.circuit.memory import Memory
from plancheck.finding import Mistake
from plancheck.plan.kinds import Kinds
from plancheck.plan.mistakes import Mistakes
from plancheck.plan.model import Plan, Signal
from plancheck.plan.partition import Part
from plancheck.plan.resolve import resolve_statements
from plancheck.rulebook.judge import Judgement, inventory_of, judge_things, parted
from plancheck.rulebook.rule import Rulebook
from plancheck.rulebook.words_of_plans import has_a_short
from plancheck.source import Source
from plancheck.syntax.nodes import Statement

Names = Mapping[str, Sequence[str]]
"""Names of a whole plan, by what they are the names of."""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """What the rest of a plan changes in the words of a part's findings."""

    signals: tuple[Signal, ...] = ()
    """Enough of its signals to tell of each role whether the plan has none, one or several."""
    short: bool = False
    """Whether metal joins the poles of some source."""


class PlanPart:
    """Statements of a plan that speak of nothing that the others speak of. Spans are of the texts as they were then."""

    def __init__(
        self, top: Source, pieces: Part, statements: Sequence[Statement], kinds: Kinds, memory: Memory
    ) -> None:
        self.top, self.kinds, self.memory = top, kinds, memory
        self.pieces: Part = pieces
        self.statements: Sequence[Statement] = statements
        self.mistakes: Sequence[Mistake] = ()
        self.compared = 0
        """How many names were looked at in search of near ones."""
        self._names: Names | None = None
        self.plan, self.asks_names = self._resolved(None)
        """The plan that it draws, and whether its mistakes hang on names of the whole plan."""
        self._judgement: tuple[Elsewhere, Judgement] | None = None

    def _resolved(self, names: Names | None) -> tuple[Plan, bool]:
        mistakes = Mistakes(names)
        plan = resolve_statements(self.top, self.statements, self.kinds, mistakes)
        self.mistakes, self.compared = mistakes.told, mistakes.comparisons
        return plan, mistakes.asked_whole

    def know_names(self, names: Names) -> None:
        """Tell its mistakes again, with the names of the whole plan at hand."""
        if self.asks_names and self._names != names:
            self._resolved(names)
            self._names = names

    @cached_property
    def facts(self) -> Facts:
        """What is worked out of it."""
        return Facts(self.plan, self.memory)

    @cached_property
    def roles(self) -> Mapping[str, Mapping[str, Signal]]:
        """Its signals, by role and key."""
        found: dict[str, dict[str, Signal]] = {}
        for device in self.plan.devices.values():
            for signal in device.signals.values():
                found.setdefault(signal.role, {})[signal.key] = signal
        return found

    @cached_property
    def short(self) -> bool:
        """Whether metal joins the poles of some source of it."""
        return has_a_short(self.facts)

    def judged(self, rulebook: Rulebook, elsewhere: Elsewhere, first: bool, on_rule: Callable[[], None]) -> Judgement:
        """What the rules say of it; the `first` part speaks for the plan as such."""
        if self._judgement is None or self._judgement[0] != elsewhere:
            self.facts.know(elsewhere.signals)
            inventory = inventory_of(rulebook, self.facts)
            inventory.shorted_elsewhere = elsewhere.short
            rules, _ = parted(rulebook, self.plan)
            self._judgement = elsewhere, judge_things(rules, inventory, lambda done: on_rule(), part=not first)
        return self._judgement[1]


class Surroundings:
    """Of each part of a plan, what the rest of the plan changes in its words."""

    def __init__(self, parts: Sequence[PlanPart]) -> None:
        self._whole: dict[str, dict[str, Signal]] = {}
        for part in parts:
            for role, own in part.roles.items():
                self._whole.setdefault(role, {}).update(own)
        self._roles = sorted(self._whole)
        self._shorts = sum(part.short for part in parts)
        self._alike: dict[tuple[tuple[int, ...], bool], Elsewhere] = {}

    def of(self, part: PlanPart) -> Elsewhere:
        """What a part must know of the others; the same for all that have as many signals of each role."""
        own = tuple(min(len(part.roles.get(role, ())), 2) for role in self._roles)
        short = self._shorts > part.short
        found = self._alike.get((own, short))
        if found is None:
            found = self._alike[own, short] = Elsewhere(tuple(self._missing(own)), short)
        return found

    def _missing(self, own: Sequence[int]) -> Iterator[Signal]:
        """It matters whether a role has no signal, one, which is then named, or several, of which none is named."""
        for role, count in zip(self._roles, own, strict=True):
            every = self._whole[role]
            if count == 0 and len(every) == 1:
                yield from every.values()
            else:
                yield from (_some(role, i) for i in range(min(len(every), 2) - count))


def _some(role: str, number: int) -> Signal:
    return Signal(f"\0{role} {number}", "", role, False, "")
