"""What an author may do about a finding, as edits of the text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plancheck.authoring.edit import Edit
from plancheck.authoring.names import Names
from plancheck.authoring.steps import edits_of
from plancheck.authoring.variance_stub import variance_stub
from plancheck.authoring.view import View
from plancheck.finding import Finding


@dataclass(frozen=True, slots=True)
class Fix:
    """What is done, and the finding that it is done about. A `mend` is to make it go; a claim only answers it."""

    title: str
    edits: tuple[Edit, ...]
    finding: Finding
    mend: bool


def fixes(view: View, names: Names, findings: Sequence[Finding]) -> list[Fix]:
    """For each finding what its rule proposes, as far as it can be done here; then a variance to be filled in."""
    mends = [fix for finding in findings for fix in _mends(names, finding)]
    return mends + [fix for finding in findings for fix in _claims(view, names, finding)]


def _mends(names: Names, finding: Finding) -> Iterator[Fix]:
    for each in finding.proposed:
        edits = edits_of(names, each.steps)
        if edits:
            yield Fix(each.title, tuple(edits), finding, mend=True)


def _claims(view: View, names: Names, finding: Finding) -> Iterator[Fix]:
    stub = variance_stub(view, names, finding)
    if stub is not None:
        yield Fix(stub[0], (stub[1],), finding, mend=False)
