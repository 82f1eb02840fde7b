"""A variance with its blanks, to be filled in by whoever grants it."""

from __future__ import annotations

from plancheck.authoring.edit import Edit
from plancheck.authoring.names import Names
from plancheck.authoring.sites import Sort
from plancheck.authoring.view import View
from plancheck.finding import Finding
from plancheck.plan.header import WHOLE_PLAN
from plancheck.source import Span


def variance_stub(view: View, names: Names, finding: Finding) -> tuple[str, Edit] | None:
    """Title and edit; None where no variance can be claimed, or one is in force."""
    rule = view.rulebook.get(finding.rule)
    if rule is None or rule.late or finding.variance is not None or view.source.of_pack:
        return None
    on = _on(view, names, finding)
    if not on:
        return None
    end = "\r\n" if "\r\n" in view.source.text else "\n"
    lines = (f"variance {rule.id} on {on} {{", '    reason ""', '    granted by ""', "}")
    behind = len(view.source.text)
    lead = "" if view.source.text.endswith(("\n", "\r")) or not behind else end
    text = lead + end + end.join(lines) + end
    return f"Write a variance from {rule.id} for {on}, to be filled in", Edit(Span(view.source, behind, behind), text)


def _on(view: View, names: Names, finding: Finding) -> str:
    """The thing that a variance is for: the finding's first subject that the plan declares, or the plan itself."""
    for name in finding.subject.split(", "):
        if view.worked.device(name) is not None and _is_declared(names, name):
            return name
    rule = view.rulebook.get(finding.rule)
    of_the_plan = rule is not None and all(group.of_the_whole for group in rule.groups)
    return WHOLE_PLAN if of_the_plan else ""


def _is_declared(names: Names, name: str) -> bool:
    first = name.partition("/")[0]
    return any(thing.sort is Sort.DEVICE and not thing.within and thing.name == first for thing in names.declared)
