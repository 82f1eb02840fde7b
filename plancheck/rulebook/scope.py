"""What a checked expression is, what it is checked against, and what it runs in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from plancheck.circuit.variation import AS_DRAWN, Failure, Variation
from plancheck.finding import Mistake
from plancheck.rulebook.claims import Claim, Unknown
from plancheck.rulebook.nodes import SituationNode
from plancheck.rulebook.read import RulesFile
from plancheck.rulebook.things import Inventory, Thing
from plancheck.rulebook.types import Type
from plancheck.rulebook.vocabulary import Vocabulary
from plancheck.rulebook.wording import clipped

if TYPE_CHECKING:
    from plancheck.rulebook.watch import Watch

DEEPEST = 40
"""Expressions within expressions."""
MOST_VARIABLES = 6
"""Variables bound at once: with more, a rule could ask for more combinations than anybody would wait for."""
MOST_STEPS = 5_000_000
"""Combinations of things that one rule may look at in one plan."""
MOST_STEPS_IN_ALL = 50_000_000
"""And all rules together: a pack of thousands of rules must not take hours."""


class Witness(NamedTuple):
    """A condition in which a demand fails: signals by key, and how the plan is varied.

    Where single failures were looked at, `failures` are all that refute the demand, the one shown among them.
    """

    condition: Mapping[str, bool]
    situations: tuple[SituationNode, ...]
    variation: Variation
    failures: tuple[Failure, ...] = ()
    looked_at: int = 0


class Scope:
    """What expressions run in: one plan, the things bound just now, the limits, the variation in force."""

    __slots__ = (
        "asked",
        "conditions",
        "inventory",
        "known",
        "limits",
        "masks",
        "most",
        "spent",
        "steps",
        "things",
        "variation",
    )

    def __init__(self, inventory: Inventory) -> None:
        self.inventory = inventory
        self.things: list[Thing] = [None] * (2 * MOST_VARIABLES)
        self.limits: Mapping[str, float] = {}
        self.variation = AS_DRAWN
        self.steps = 0
        self.spent = 0
        self.most = MOST_STEPS
        """How many steps the rule at hand may take."""
        self.conditions = 0
        self.asked: list[Thing] | None = None
        """While it is recorded, the things of which facts that change with the condition were asked."""
        self.known: dict[tuple[object, int, Variation | None], tuple[Any, Thing]] = {}
        """Facts worked out already, by how they are read, of which thing, under which variation.

        The thing is kept with its fact, so that no other can take its identity.
        """
        self.masks: dict[tuple[object, tuple[str, ...]], int] = {}
        """Masks of situations over the spaces they were asked for."""

    def step(self) -> None:
        """Count one more combination of things."""
        self.steps += 1
        if self.steps > self.most:
            if self.most < MOST_STEPS:
                raise Unknown(
                    f"the rules together would look at more than {MOST_STEPS_IN_ALL:,} combinations of things"
                )
            raise Unknown(f"it would look at more than {MOST_STEPS:,} combinations of things")

    def begin_rule(self) -> None:
        """Count anew, with what the rules before have left."""
        self.spent += self.steps
        self.steps = 0
        self.most = min(MOST_STEPS, MOST_STEPS_IN_ALL - self.spent)


Run = Callable[[Scope], Any]
"""Computes an expression. What it returns follows from the type that was checked:

yes/no: True, False, or None where uncertain; a Claim if conditional · quantity: a float or None where the plan does
not give it; Levels if conditional · text, date, choice: str or None · thing: the thing or None · list: a list or None.
"""


@dataclass(frozen=True, slots=True)
class Checked:
    """An expression that was found right: its type, whether it changes with the condition, and how it runs."""

    type: Type
    conditional: bool
    run: Run
    missing: Callable[[Scope], str] | None = None
    """Says what the plan does not give, where `run` returned None."""
    witness: Callable[[Scope, bool], Witness | None] | None = None
    """A condition that shows why the expression is not what it should be; None for what no condition decides."""
    margin: Run | None = None
    """Levels by how much a comparison fails: greater is worse."""


class Wrong(Exception):
    """An expression is wrong; the mistake has been noted."""


@dataclass(slots=True)
class Frame:
    """What an expression is checked against."""

    file: RulesFile
    vocabulary: Vocabulary
    situations: Mapping[str, SituationNode]
    limits: dict[str, Type] = field(default_factory=dict)
    variables: dict[str, tuple[str, int]] = field(default_factory=dict)
    """Class and place of each variable that is bound."""
    mistakes: list[Mistake] = field(default_factory=list)
    in_condition: bool = False
    """Whether facts that change with the condition may stand here."""
    depth: int = 0
    touched: set[int] = field(default_factory=set)
    """Places of the variables that the expression at hand uses."""
    reaches_far: bool = False
    """Whether something goes through all things of a class for a thing: a part of a plan does not have them all."""
    watch: Watch | None = None
    """Notes what the rule does, where somebody asked why."""

    def wrong(self, node: Any, headline: str, found: str = "", expected: str = "", hint: str = "") -> Wrong:
        """Note a mistake at a node; the caller raises what this returns."""
        self.mistakes.append(Mistake(self.file.span(node), clipped(headline), clipped(found), expected, hint))
        return Wrong()

    def text(self, node: Any) -> str:
        """What the rules file says there, blanks evened out."""
        return " ".join(self.file.source.text[node.start : node.end].split())


def needed(checked: Checked) -> Run:
    """Like `run`, but a value that the plan does not give makes the rule not assessed."""
    run, missing = checked.run, checked.missing

    def value(scope: Scope) -> Any:
        found = run(scope)
        if found is None:
            raise Unknown(missing(scope) if missing else "a value is not given")
        return found

    return value


def as_claim(checked: Checked) -> Callable[[Scope], Claim]:
    """A yes/no expression as a claim about every condition."""
    from plancheck.rulebook.claims import constant

    if checked.conditional:
        return checked.run
    run = checked.run
    return lambda scope: constant(run(scope))
