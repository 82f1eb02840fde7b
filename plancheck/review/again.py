"""One plan reviewed again and again, as its text changes under an author's hands."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from plancheck.circuit.facts import Facts
from plancheck.circuit.memory import Memory
from plancheck.finding import Finding
from plancheck.plan.include import Gathering, Include, Run
from plancheck.plan.kinds import Kinds
from plancheck.plan.mistakes import Mistakes
from plancheck.plan.partition import Part, Partition
from plancheck.review.adopted import NOTHING, Adopted
from plancheck.review.joined import Joined
from plancheck.review.moved import Place, Places
from plancheck.review.part import PlanPart
from plancheck.review.review import review_text
from plancheck.review.worked import Worked
from plancheck.rulebook.rule import Rulebook
from plancheck.source import Source
from plancheck.syntax.nodes import Statement
from plancheck.syntax.reread import Piece, Readings, ReadText

MOST_SOLVED = 20_000
"""Shapes and solved circuits that are kept from one review to the next."""


class Superseded(Exception):
    """Raised by whoever asked for a review to stop it: the text has changed meanwhile."""


@dataclass(frozen=True, slots=True)
class Reviewed:
    """Everything that a review of a plan says, `findings` in order, in every text of it; and what was worked out.

    `worked` keeps the places of the texts that it was worked out from: ask it by names.
    """

    findings: tuple[Finding, ...]
    worked: Worked
    texts: tuple[ReadText, ...]
    """Every text of the plan, those that it uses among them."""


class Again:
    """Reviews of one plan: what has not changed since the last one is not worked out anew.

    The findings are those that `review_text` has for the same text. A plan falls apart into parts that speak of nothing
    in common (`plan/partition.py`), and a part that says what it said is not judged again. A plan near the limits of
    what is read, or under rules that reach further than a part, is reviewed whole.
    """

    def __init__(
        self,
        kinds: Kinds,
        rulebook: Rulebook,
        *,
        packs: Collection[str] = (),
        adopted: Adopted = NOTHING,
        read: Callable[[Source], ReadText] | None = None,
    ) -> None:
        self.kinds, self.rulebook, self.packs, self.adopted = kinds, rulebook, packs, adopted
        self.read = read or Readings().read
        self._partition: Partition | None = None
        self._parts: dict[Part, PlanPart] = {}
        self._memory = Memory()

    def review(
        self, source: Source, include: Include, today: date, on_progress: Callable[[int, int], None] | None = None
    ) -> Reviewed:
        """The findings of a whole review. What `on_progress` raises ends it; what was worked out by then is kept."""
        mistakes = Mistakes()
        gathering = Gathering(include, mistakes, self.read)
        runs = [run for text in (*self.adopted.texts, source) for run in gathering.once(text)]
        texts = tuple(gathering.texts.values())
        self._memory.thin_out(MOST_SOLVED)
        if self._in_parts:
            partition, parts = self._parted(runs, source)
            joined = Joined(self.rulebook, partition, parts, Places(runs), {t.source.name: t.source for t in texts})
            findings = joined.findings(source, mistakes.told, self.packs, today, on_progress or _nobody)
            if findings is not None:
                return Reviewed(findings, Worked(part.facts for part in parts), texts)
        report = review_text(
            source, self.kinds, self.rulebook, include, today,
            packs=self.packs, adopted=self.adopted, on_progress=on_progress,
        )  # fmt: skip
        return Reviewed(report.findings, Worked((Facts(report.plan),) if report.plan else ()), texts)

    @cached_property
    def _in_parts(self) -> bool:
        """Whether every rule says of a thing only what hangs on what belongs together with it."""
        early = (group for rule in self.rulebook.rules if not rule.late for group in rule.groups)
        late = (group for rule in self.rulebook.rules if rule.late for group in rule.groups)
        return not any(group.reaches_far() for group in early) and all(group.late for group in late)

    def _parted(self, runs: Sequence[Run[ReadText]], top: Source) -> tuple[Partition, list[PlanPart]]:
        """The parts of the plan as it stands now, the first with the headers; those that are as they were, are kept."""
        pieces = [piece for text, start, end in runs for piece in text.pieces[start:end]]
        partition, self._partition = self._partition, None
        partition = partition.changed(pieces) if partition is not None else Partition(pieces, self.kinds)
        places = Places(runs)
        kept: dict[Part, PlanPart] = {}
        for part in partition.all_parts():
            found = self._parts.get(part)
            if found is None:
                statements = [_statement(piece, places[partition.order[piece]]) for piece in part]
                found = PlanPart(top, part, statements, self.kinds, self._memory)
            kept[part] = found
        self._partition, self._parts = partition, kept
        return partition, list(kept.values())


def _nobody(done: int, total: int) -> None:
    """Is told how far a review has come where nobody asked."""


def _statement(piece: Piece, place: Place) -> Statement:
    source, start = place
    return Statement(source, start, piece.text, piece.node, piece.broken)
