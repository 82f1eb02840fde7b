"""Sequence of operation and single failures as JSON. The models are the contract: their schemas can be asked for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict

from plancheck import __version__
from plancheck.plan.model import Plan
from plancheck.review.document import FailureDocument, SequenceDocument
from plancheck.review.failures import NOT_COVERED, Group
from plancheck.review.sentences import sentence
from plancheck.review.sequence import CAUTIONS, DoorSequence, Outcome, Row


class _Shape(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class ToolShape(_Shape):
    """Who wrote the document."""

    name: str
    version: str


class PlanShape(_Shape):
    """Of which plan it is."""

    file: str
    title: str
    revision: str
    dated: str
    jurisdiction: str


class OutcomeShape(_Shape):
    """How a lock or input stands in a row; see the review's own words for the members."""

    part: str
    state: str
    volts: float | None
    always: bool
    changed_by: list[str]
    changed_together_by: list[str]
    varies_with: list[str]
    afterwards: str
    path: list[str]
    reason: str


class RowShape(_Shape):
    """One line of a sequence; `setting` maps the signals that it sets to on or off."""

    section: Literal["normal", "credential", "way out", "protection", "other", "situation", "after"]
    event: str
    setting: Mapping[str, bool]
    sentence: str
    outcomes: list[OutcomeShape]
    notes: list[str]


class DoorShape(_Shape):
    """One door or gate; locks that no door names where `name` is empty."""

    name: str
    title: str
    gate: bool
    says: list[str]
    rows: list[RowShape]


class SequenceShape(_Shape):
    """A sequence of operation."""

    tool: ToolShape
    plan: PlanShape
    doors: list[DoorShape]
    not_assessed: list[str]
    assumed: list[str]
    cautions: list[str]


class FailureShape(_Shape):
    """One failure; `parts` are the branches that have failed."""

    kind: str
    what: str
    parts: list[str]


class EffectShape(_Shape):
    """What a failure does to a door or gate; `condition` where one condition shows it."""

    name: str
    what: str
    says: str
    condition: Mapping[str, bool] | None


class GroupShape(_Shape):
    """Failures with one and the same effect."""

    worst: str
    effects: list[EffectShape]
    failures: list[FailureShape]
    evidence: str


class FailuresShape(_Shape):
    """A table of single failures."""

    tool: ToolShape
    plan: PlanShape
    concerns: list[str]
    release_asked: list[str]
    beforehand: list[str]
    groups: list[GroupShape]
    by_effect: Mapping[str, int]
    by_kind: Mapping[str, int]
    not_covered: list[str]
    not_assessed: list[str]
    assumed: list[str]
    cautions: list[str]


def sequence_schema() -> dict[str, Any]:
    """The JSON schema of a sequence of operation."""
    return SequenceShape.model_json_schema()


def failures_schema() -> dict[str, Any]:
    """The JSON schema of a table of single failures."""
    return FailuresShape.model_json_schema()


def sequence_json(document: SequenceDocument) -> str:
    """A sequence of operation as JSON text."""
    shape = SequenceShape(
        tool=_TOOL,
        plan=_plan(document.plan),
        doors=[_door(door) for door in document.doors],
        not_assessed=list(document.not_assessed),
        assumed=list(document.assumed),
        cautions=list(CAUTIONS),
    )
    return shape.model_dump_json(indent=2) + "\n"


def failures_json(document: FailureDocument) -> str:
    """A table of single failures as JSON text."""
    table = document.table
    shape = FailuresShape(
        tool=_TOOL,
        plan=_plan(document.plan),
        concerns=list(document.names),
        release_asked=list(table.asking),
        beforehand=list(table.beforehand),
        groups=[_group(group) for group in table.groups],
        by_effect=table.by_effect,
        by_kind=table.by_kind,
        not_covered=list(NOT_COVERED),
        not_assessed=list(document.not_assessed),
        assumed=list(document.assumed),
        cautions=list(CAUTIONS),
    )
    return shape.model_dump_json(indent=2) + "\n"


_TOOL = ToolShape(name="plancheck", version=__version__)


def _plan(plan: Plan) -> PlanShape:
    return PlanShape(
        file=plan.source.name,
        title=plan.title,
        revision=plan.revision,
        dated=plan.dated,
        jurisdiction=plan.jurisdiction,
    )


def _door(door: DoorSequence) -> DoorShape:
    rows = [_row(row, door) for row in door.rows]
    return DoorShape(name=door.name, title=door.title, gate=door.is_gate, says=list(door.says), rows=rows)


def _row(row: Row, door: DoorSequence) -> RowShape:
    return RowShape.model_validate(
        {
            "section": row.section,
            "event": row.event,
            "setting": dict(row.setting),
            "sentence": sentence(row, door),
            "outcomes": [_outcome(outcome) for outcome in row.outcomes],
            "notes": list(row.notes),
        }
    )


def _outcome(outcome: Outcome) -> OutcomeShape:
    return OutcomeShape(
        part=outcome.part,
        state=outcome.state,
        volts=outcome.volts,
        always=outcome.always,
        changed_by=list(outcome.alone),
        changed_together_by=list(outcome.together),
        varies_with=list(outcome.on),
        afterwards=outcome.after,
        path=list(outcome.path),
        reason=outcome.why,
    )


def _group(group: Group) -> GroupShape:
    return GroupShape(
        worst=group.worst,
        effects=[
            EffectShape(name=e.name, what=e.what, says=e.says, condition=dict(e.condition) or None)
            for e in group.effects
        ],
        failures=[FailureShape(kind=f.kind, what=f.what, parts=list(f.parts)) for f in group.failures],
        evidence=group.evidence,
    )
