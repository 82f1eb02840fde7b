"""A plan's statements in parts that speak of nothing in common: what one part says changes nothing in another.

Whatever is joined on a plan, by a wire, a cable or a door that names its locks, is joined by a name. So parts are found
by names alone, before anything is resolved. A name spoken of by mistake only makes a part larger than it need be.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from plancheck.plan.header import WHOLE_PLAN
from plancheck.plan.mentions import Defined, Mentions, mentions
from plancheck.syntax import nodes
from plancheck.syntax.nodes import Statement


@dataclass(frozen=True, slots=True)
class Partition:
    """Numbers of statements, in order, for each part. What defines things for others to use stands in each part that
    uses it; headers stand in every part.

    The first part holds the headers, definitions that nothing uses, and exceptions for the plan itself.
    """

    parts: tuple[tuple[int, ...], ...]
    declared: dict[str, int]
    """The first statement that puts a name on the plan."""


def partition(statements: Sequence[Statement], kinds: Collection[str]) -> Partition:
    """The parts of a plan; `kinds` are those that are known before any statement is read."""
    return _Parting(statements, kinds).partition()


class _Parting:
    def __init__(self, statements: Sequence[Statement], kinds: Collection[str]) -> None:
        self.found = [mentions(statement) for statement in statements]
        self.headers: list[int] = []
        self.of_plan: list[int] = []
        self.defining: dict[Defined, list[int]] = defaultdict(list)
        self.known_kinds = kinds
        self.leader: dict[int, int] = {}
        """By number of a statement that is in one part alone, another of its part; the leader leads itself."""
        for i, statement in enumerate(statements):
            self._take(i, statement, self.found[i])

    def _take(self, i: int, statement: Statement, found: Mentions) -> None:
        node = statement.node
        if isinstance(node, nodes.Header):
            self.headers.append(i)
        elif isinstance(node, nodes.Variance) and node.on.text == WHOLE_PLAN:
            self.of_plan.append(i)
        elif found.defines is not None:
            self.defining[found.defines].append(i)
        else:
            self.leader[i] = i

    def partition(self) -> Partition:
        declared: dict[str, int] = {}
        for i in self.leader:
            for name in self.found[i].declares:
                self._join(i, declared.setdefault(name, i))
        used: dict[int, tuple[int, ...]] = {}
        for i in self.leader:
            needed = self._needed(self.found[i].uses) if self.found[i].uses else ()
            if needed:
                used[i] = needed
            for name in self._spoken(i, needed):
                if (other := declared.get(name)) is not None:
                    self._join(i, other)
        return Partition(tuple(self._parts(used)), declared)

    def _spoken(self, i: int, needed: Iterable[int]) -> Iterator[str]:
        """Names that a statement speaks of, itself or by what it uses; what it uses and nobody defines is one too."""
        for number in (i, *needed):
            found = self.found[number]
            yield from found.speaks
            for what, name in found.uses:
                if (what, name) not in self.defining and not (what == "kind" and name in self.known_kinds):
                    yield f'"{name}"' if what == "house device" else name

    def _needed(self, uses: Iterable[Defined]) -> tuple[int, ...]:
        """The statements that define what is used, and what those use in turn."""
        found: dict[int, None] = {}
        queue = list(uses)
        while queue:
            for number in self.defining.get(queue.pop(), ()):
                if number not in found:
                    found[number] = None
                    queue += self.found[number].uses
        return tuple(found)

    def _parts(self, used: dict[int, tuple[int, ...]]) -> Iterator[tuple[int, ...]]:
        parts: dict[int, list[int]] = defaultdict(list)
        for i in self.leader:
            parts[self._led(i)].append(i)
        idle = {n for numbers in self.defining.values() for n in numbers}.difference(*used.values())
        yield tuple(sorted((*self.headers, *self.of_plan, *idle)))
        for numbers in parts.values():
            needed = {n for i in numbers for n in used.get(i, ())}
            yield tuple(sorted((*self.headers, *numbers, *needed)))

    def _led(self, i: int) -> int:
        while (above := self.leader[i]) != i:
            self.leader[i] = i = self.leader[above]
        return i

    def _join(self, one: int, other: int) -> None:
        a, b = self._led(one), self._led(other)
        if a != b:
            self.leader[max(a, b)] = min(a, b)
