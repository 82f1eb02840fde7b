"""`after any single failure …`: a claim about conditions, asked again after each failure that it can feel."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from plancheck.circuit.facts import NotAssessed
from plancheck.circuit.network import Circuit
from plancheck.circuit.variation import FAILURE_KINDS, Variation
from plancheck.nearest import did_you_mean
from plancheck.plan.graph import Branch
from plancheck.plan.model import Device
from plancheck.rulebook import nodes
from plancheck.rulebook.check import path
from plancheck.rulebook.claims import Unknown
from plancheck.rulebook.scope import Frame, Run, Scope, Witness
from plancheck.rulebook.things import Inventory, Thing, ancestry

if TYPE_CHECKING:
    from plancheck.rulebook.examine import Look

HAS_PARTS = frozenset({"device", "cable", "load", "input", "contact", "wire", "protector", "suppressor"})
"""Classes of things on which a failure may be looked for."""


class AfterFailure:
    """A condition quantifier with nothing failed, and again after each single failure.

    A failure that reaches nothing of what was asked with nothing failed cannot change the answer, and is passed over.
    """

    def __init__(self, node: nodes.AnyFailure, look: Look, how: str, frame: Frame) -> None:
        self.look, self.how = look, how
        self.kinds = frozenset(_kind(words, frame) for words in node.kinds) or frozenset(FAILURE_KINDS)
        self.on = _place(node.on, frame) if node.on is not None else None

    def run(self, scope: Scope) -> bool | None:
        """Whether it is so whatever fails; None if only uncertainty stands against it."""
        result: bool | None = True
        reason = ""
        for variation, verdict in self.verdicts(scope):
            if isinstance(verdict, str):
                reason = reason or f"{_after(variation)}{verdict}"
            elif verdict is False:
                return False
            elif verdict is None:
                result = None
        if result is True and reason:
            raise Unknown(reason)
        return result

    def verdicts(self, scope: Scope) -> Iterator[tuple[Variation, bool | str | None]]:
        """What becomes of the claim under each variation, or why that is not known; alike ones are judged once."""
        judge = self.look.some if self.how == "some" else self.look.every
        told: dict[Variation, bool | str | None] = {}
        for variation, felt in self.variations(scope):
            if felt not in told:
                try:
                    told[felt] = judge(scope, felt)
                except (Unknown, NotAssessed) as why:
                    told[felt] = str(why)
            yield variation, told[felt]

    def variations(self, scope: Scope) -> Iterator[tuple[Variation, Variation]]:
        """The plan with nothing failed, then each failure that can make a difference, in the order of the kinds.

        Each with as much of it as is felt: failures that pull down a supply alike are one and the same elsewhere.
        """
        base = self.look.variation(scope)
        asked, scope.asked = scope.asked, []
        try:
            self.look.examine(scope, base)
            things = scope.asked
        finally:
            scope.asked = asked
        yield base, base
        facts = scope.inventory.facts
        wanted = self.parts(scope)
        for each, felt in facts.failures.felt(_felt(scope.inventory, things)):
            failure = each.failure
            assert failure is not None
            if failure.kind in self.kinds and (wanted is None or not wanted.isdisjoint(failure.parts)):
                varied = replace(base, failure=failure) if base.dead or base.distrusted else each
                yield varied, felt if varied is each else varied

    def parts(self, scope: Scope) -> set[str] | None:
        """Keys of the parts whose failures are looked at; None for all."""
        if self.on is None:
            return None
        thing = self.on(scope)
        if thing is None:
            raise Unknown("the plan does not give the thing on which a failure is looked for")
        return set(_parts_on(scope.inventory, thing))

    def witness(self, scope: Scope, wanted: bool) -> Witness | None:
        """The first failure that refutes the claim for certain, else the first that may, with the others beside it."""
        judged = list(self.verdicts(scope))
        refuting = [(v, verdict) for v, verdict in judged if not isinstance(verdict, str) and verdict is not wanted]
        looked_at = sum(v.failure is not None for v, _ in judged)
        if not refuting:
            return None
        shown = next((v for v, verdict in refuting if verdict is not None), refuting[0][0])
        found = self.look.witness(scope, wanted, shown)
        failures = tuple(v.failure for v, _ in refuting if v.failure is not None)
        return found._replace(failures=failures, looked_at=looked_at)


def _after(variation: Variation) -> str:
    return f"after {variation.failure.what}: " if variation.failure else ""


def _kind(words: nodes.Words, frame: Frame) -> str:
    if words.text not in FAILURE_KINDS:
        hint = did_you_mean(words.text, FAILURE_KINDS)
        expected = ", ".join(FAILURE_KINDS)
        raise frame.wrong(words, f"No failure is called “{words.text}”", f"“{words.text}”", expected, hint)
    return words.text


def _place(node: nodes.Path, frame: Frame) -> Run:
    checked = path(node, frame)
    if checked.type.form != "thing" or HAS_PARTS.isdisjoint(ancestry(checked.type.of)):
        expected = "a device, cable, wire, load, input or contact"
        raise frame.wrong(node, "A failure is looked for on a thing that has parts", f"{checked.type}", expected)
    return checked.run


def _felt(inventory: Inventory, things: list[Thing]) -> set[str]:
    """Keys of the branches whose state the facts of some things may follow from."""
    keys: set[str] = set()
    for thing in things:
        match thing:
            case Circuit():
                keys.update(b.key for b in thing.network.branches if b.what != "source")
            case Branch():
                keys.add(thing.key)
                keys.update(b.key for b in inventory.facts.branches("load", thing.device))
            case Device():
                parts = inventory.facts.branches(None, thing.name)
                keys.update(b.key for b in parts if b.what in ("load", "sense", "source"))
    return keys


def _parts_on(inventory: Inventory, thing: Thing) -> Iterator[str]:
    """Keys of the parts of a device; of the wires of a cable; of all metal that leads through a load or input."""
    match thing:
        case Device():
            yield from (b.key for b in inventory.facts.branches(None, thing.name))
            yield from (b.key for b in inventory.wires_in(thing))
        case Branch():
            yield thing.key
            if thing.what in ("load", "sense"):
                yield from (b.key for b in inventory.facts.in_the_way(thing))
