"""Which way a limit tightens its rule: whether a greater number lets more pass, or less, or neither can be told.

Read off the rule's own expressions. More pass where a `require` is true more often, or a `where` less often; `not`,
the `where` of an `every` and of `in every condition` turn that round, and so does standing on the smaller side of
a comparison or behind a minus. A product goes the way of its factor where the other one is taken to be positive: a
number, a count, or a fact that no condition changes (a rating, a length). All else cannot be told.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import TYPE_CHECKING

from plancheck.rulebook import nodes

if TYPE_CHECKING:
    from plancheck.rulebook.vocabulary import Vocabulary

LOOSER, TIGHTER, UNTOLD = 1, -1, 0
"""What a greater number makes of the rule."""


def slope(rule: nodes.RuleNode, limit: str, vocabulary: Vocabulary) -> int:
    """What a greater number for a limit makes of its rule; a limit that nothing asks for cannot be told."""
    reading = _Reading(limit, frozenset(name for (_, name), word in vocabulary.words.items() if word.conditional))
    found = set(reading.of_rule(rule))
    return found.pop() if len(found) == 1 else UNTOLD


class _Reading:
    """The uses of one limit in a rule, each with the way it goes."""

    def __init__(self, limit: str, changing: Collection[str]) -> None:
        self.limit = limit
        self.changing = changing
        """Names of facts that change with the condition, whose sign nobody knows."""

    def of_rule(self, rule: nodes.RuleNode) -> Iterator[int]:
        for member in rule.members:
            match member:
                case nodes.ExpressionMember(keyword=keyword, expression=expression):
                    yield from self.ways(expression, LOOSER if keyword == "require" else TIGHTER)

    def ways(self, node: nodes.Expression | nodes.Words, way: int) -> Iterator[int]:
        """The ways of all uses in an expression, of which more goes `way`."""
        match node:
            case nodes.Path(names=names):
                if len(names) == 1 and names[0].text == self.limit:
                    yield way
            case nodes.Compare(sign=sign, left=left, right=right):
                up = way if sign[0] == ">" else -way
                yield from self.ways(left, up)
                yield from self.ways(right, -up)
            case nodes.Arithmetic():
                yield from self.of_sum(node, way)
            case nodes.Not(inner=inner):
                yield from self.ways(inner, -way)
            case nodes.Junction(parts=parts):
                for part in parts:
                    yield from self.ways(part, way)
            case nodes.Quantified():
                yield from self.of_quantified(node, way)
            case nodes.InCondition():
                yield from self.of_condition(node, way)
            case nodes.Is(left=left, right=right):
                yield from self.ways(left, UNTOLD)
                yield from self.ways(right, UNTOLD)
            case nodes.IsOneOf(left=left) | nodes.IsGiven(left=left):
                yield from self.ways(left, UNTOLD)
            case nodes.Words(words=words):
                if any(word.text == self.limit for word in words):
                    yield UNTOLD

    def of_sum(self, node: nodes.Arithmetic, way: int) -> Iterator[int]:
        turned = -way if node.sign in "-/" else way
        known = node.sign in "+-"
        yield from self.ways(node.left, way if known or self.positive(node.right) else UNTOLD)
        yield from self.ways(node.right, turned if known or self.positive(node.left) else UNTOLD)

    def positive(self, node: nodes.Expression) -> bool:
        """Whether a factor is taken to be positive."""
        match node:
            case nodes.Amount(value=value):
                return value > 0
            case nodes.Path(names=names):
                return len(names) > 1 and names[-1].text not in self.changing
            case nodes.Quantified(how=how):
                return how == "count"
            case nodes.Arithmetic(sign=sign, left=left, right=right):
                return sign != "-" and self.positive(left) and self.positive(right)
        return False

    def of_quantified(self, node: nodes.Quantified, way: int) -> Iterator[int]:
        if node.where is not None:
            yield from self.ways(node.where, -way if node.how == "every" else way)
        if node.body is not None:
            yield from self.ways(node.body, way)

    def of_condition(self, node: nodes.InCondition, way: int) -> Iterator[int]:
        for where in node.where:
            yield from self.ways(where, way if node.how == "some" else -way)
        yield from self.ways(node.body, way)
