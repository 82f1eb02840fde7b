"""`in every condition …`, `in some condition …`: judging a claim in a whole set of conditions at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import NamedTuple

from plancheck.circuit.conditions import Levels, Space
from plancheck.circuit.variation import AS_DRAWN, Variation
from plancheck.nearest import did_you_mean
from plancheck.rulebook import nodes, types
from plancheck.rulebook.check import path, yes_no
from plancheck.rulebook.claims import ALWAYS, Claim, Unknown, both, together
from plancheck.rulebook.failing import AfterFailure
from plancheck.rulebook.nodes import Name, SettingNode, SituationNode, Words
from plancheck.rulebook.scope import Checked, Frame, Run, Scope, Witness, as_claim
from plancheck.rulebook.witness import choose, rests_on, worded

NORMAL = SituationNode(Words((Name("normal", 0, 0),), 0, 0), (SettingNode(None, False),), 0, 0)
"""Everything at rest; what `in normal condition` means in every pack."""


class Examined(NamedTuple):
    """A claim in the conditions asked for. `possible` are those not certainly excluded, `certain` those meant."""

    claim: Claim
    certain: int
    possible: int
    unsure: int
    """Conditions of which it is unknown whether they are meant."""
    variation: Variation

    @property
    def unknown(self) -> int:
        """Conditions in which the claim, or whether they are meant, could not be worked out."""
        return self.possible & (self.claim.unknown | (self.unsure & ~self.claim.yes))


def in_condition(node: nodes.InCondition, frame: Frame) -> Checked:
    """Check a condition quantifier. Its result is the same in all conditions, so it may stand anywhere."""
    if frame.in_condition:
        hint = "Say the whole condition in one “in … condition”."
        raise frame.wrong(node, "A condition stands within a condition", "a second one", "one", hint)
    situations = tuple(_situation(words, frame) for words in node.situations)
    if node.how == "normal":
        situations = (NORMAL, *situations)
    lost = [_powered(each, frame) for each in node.power_lost]
    frame.in_condition = True
    try:
        wheres = [as_claim(yes_no(each, frame, "A “where”")) for each in node.where]
        body = yes_no(node.body, frame, "What follows “:”")
    finally:
        frame.in_condition = False
    look = Look(situations, _variations(lost, node.distrusted), wheres, as_claim(body), body.margin)
    if node.failure is not None:
        after = AfterFailure(node.failure, look, node.how, frame)
        return Checked(types.YES_NO, False, after.run, witness=after.witness)
    run = look.some if node.how == "some" else look.every
    margin = look.worst if body.margin else None
    return Checked(types.YES_NO, False, run, witness=look.witness, margin=margin)


def _situation(words: Words, frame: Frame) -> SituationNode:
    found = frame.situations.get(words.text)
    if found is None:
        known = list(frame.situations)
        raise frame.wrong(
            words,
            f"No situation is called “{words.text}”",
            f"“{words.text}”",
            ", ".join(known) or "a situation that a rules file declares",
            did_you_mean(words.text, known),
        )
    return found


def _powered(node: nodes.Path, frame: Frame) -> Run:
    checked = path(node, frame)
    if checked.type.form != "thing" or frame.vocabulary.find(checked.type.of, "fails-safe") is None:
        if checked.type.form != "thing" or frame.vocabulary.find(checked.type.of, "device") is None:
            raise frame.wrong(node, "Only a device has power to lose", f"{checked.type}", "a device or a part of one")
        run = checked.run
        return lambda scope: run(scope).device
    run = checked.run
    return lambda scope: run(scope).name


def _variations(lost: list[Run], distrusted: bool) -> Callable[[Scope], Variation]:
    if not lost:
        fixed = replace(AS_DRAWN, distrusted=True) if distrusted else AS_DRAWN
        return lambda scope: fixed
    return lambda scope: Variation(frozenset(each(scope) for each in lost), distrusted)


class Look:
    """One condition quantifier, ready to run."""

    def __init__(
        self,
        situations: tuple[SituationNode, ...],
        variation: Callable[[Scope], Variation],
        wheres: list[Callable[[Scope], Claim]],
        body: Callable[[Scope], Claim],
        margin: Run | None,
    ) -> None:
        self.situations = situations
        self.variation = variation
        self.wheres = wheres
        self.body = body
        self.margin = margin

    def examine(self, scope: Scope, variation: Variation | None = None) -> Examined:
        """The claim, and the conditions in which it is asked; under a failure, if a variation says so."""
        before, scope.variation = scope.variation, variation or self.variation(scope)
        try:
            where = ALWAYS
            for each in self.wheres:
                where = both(where, each(scope))
            if where.no == where.space.everything:
                return Examined(ALWAYS, 0, 0, 0, scope.variation)
            body = self.body(scope)
            space = together(body.space, where.space)
            body, where = body.over(space), where.over(space)
            meant = self.mask(scope, space)
            possible = meant & ~where.no
            if scope.variation.failure is None:
                scope.conditions += possible.bit_count()
            return Examined(body, meant & where.yes, possible, meant & where.unknown, scope.variation)
        finally:
            scope.variation = before

    def mask(self, scope: Scope, space: Space) -> int:
        """The conditions of a space that the situations mean."""
        if not self.situations:
            return space.everything
        asked = (self.situations, space.signals)
        if asked not in scope.masks:
            mask = space.everything
            for signal in space.signals:
                wanted = demanded(self.situations, signal, scope)
                if wanted is not None:
                    mask &= space.on(signal) if wanted else ~space.on(signal)
            scope.masks[asked] = mask
        return scope.masks[asked]

    def every(self, scope: Scope, variation: Variation | None = None) -> bool | None:
        """Whether the claim is true in all of them; None if only uncertainty stands against it."""
        seen = self.examine(scope, variation)
        claim = seen.claim
        if bad := seen.possible & ~claim.yes & ~claim.unknown & ~seen.unsure:
            return False if bad & claim.no & seen.certain else None
        if seen.unknown:
            raise Unknown(self.not_worked_out(scope, seen))
        return True

    def some(self, scope: Scope, variation: Variation | None = None) -> bool | None:
        """Whether the claim is true in one of them."""
        seen = self.examine(scope, variation)
        if seen.certain & seen.claim.yes:
            return True
        if seen.possible & seen.claim.unknown or seen.unsure & ~seen.claim.no:
            raise Unknown(self.not_worked_out(scope, seen))
        return None if seen.possible & ~seen.claim.no else False

    def not_worked_out(self, scope: Scope, seen: Examined) -> str:
        """The reason of a gap, with a condition that shows it."""
        mask = seen.possible & (seen.claim.unknown | seen.unsure)
        condition = self.complete(scope, choose(mask, seen.claim.space, scope, None))
        return f"a number could not be worked out, {worded(scope, Witness(condition, self.situations, seen.variation))}"

    def witness(self, scope: Scope, wanted: bool, variation: Variation | None = None) -> Witness:
        """A condition in which the claim is not certainly what is wanted."""
        seen = self.examine(scope, variation)
        claim = seen.claim
        against = seen.possible & ~(claim.yes if wanted else claim.no)
        mask = against & ~claim.unknown or against or seen.possible
        if not mask:
            return Witness({}, self.situations, seen.variation)
        margin = self.margins(scope, seen) if wanted else None
        condition = self.complete(scope, choose(mask, claim.space, scope, margin))
        return Witness(condition, self.situations, seen.variation)

    def margins(self, scope: Scope, seen: Examined) -> Levels | None:
        """By how much the claim fails in each condition, where it compares numbers."""
        if self.margin is None:
            return None
        before, scope.variation = scope.variation, seen.variation
        try:
            levels: Levels = self.margin(scope)
        finally:
            scope.variation = before
        together(seen.claim.space, levels.space)
        return levels.over(seen.claim.space)

    def worst(self, scope: Scope) -> Levels:
        """The greatest margin in the conditions asked for."""
        seen = self.examine(scope)
        levels = self.margins(scope, seen)
        values = [v for _, v in levels.within(seen.possible) if v == v] if levels else []
        return Levels.constant(max(values, default=0.0))

    def complete(self, scope: Scope, condition: Mapping[str, bool]) -> dict[str, bool]:
        """With signals that the situations set and the claim does not depend on, of roles that it depends on nowhere.

        Where a plan has several signals of such a role, those of other doors, they are left out.
        """
        facts, whole = scope.inventory.facts, dict(condition)
        shown = {facts.signals[key].role for key in condition if key in facts.signals}
        for setting in (s for situation in self.situations for s in situation.settings):
            if setting.role is not None and setting.role.text not in shown:
                keys = facts.role(setting.role.text)
                if len(keys) == 1:
                    whole[keys[0]] = setting.on
        return whole


def demanded(situations: tuple[SituationNode, ...], signal: str, scope: Scope) -> bool | None:
    """What the situations want a signal to be; None where they leave it free."""
    known = scope.inventory.facts.signals.get(signal)
    for situation in situations:
        for setting in situation.settings:
            if setting.role is None:
                return rests_on(scope, signal)
            elif known is not None and known.role == setting.role.text:
                return setting.on
    return None
