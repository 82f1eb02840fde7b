"""Of which things a rule demands something: its `for each` and `where`, without judging what it requires."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.circuit.facts import NotAssessed
from plancheck.rulebook.claims import Unknown
from plancheck.rulebook.rule import Group, Rule
from plancheck.rulebook.scope import Scope
from plancheck.rulebook.things import Inventory, Thing


def asked_of(rule: Rule, inventory: Inventory) -> Iterator[tuple[Thing, ...]]:
    """The things, bound together, that a rule speaks of. What cannot be told apart counts as spoken of."""
    scope = Scope(inventory)
    scope.limits = rule.limits_in(inventory.plan.jurisdiction, inventory.plan.editions)[0].values
    for group in rule.groups:
        yield from _bound(group, scope, 0)


def _bound(group: Group, scope: Scope, level: int) -> Iterator[tuple[Thing, ...]]:
    if level == len(group.variables):
        yield tuple(scope.things[:level])
        return
    for thing in group.variables[level].source(scope):
        scope.things[level] = thing
        scope.step()
        if _possible(group, scope, level):
            yield from _bound(group, scope, level + 1)


def _possible(group: Group, scope: Scope, level: int) -> bool:
    try:
        return all(where(scope) is not False for where in group.wheres[level])
    except (Unknown, NotAssessed):
        return True
