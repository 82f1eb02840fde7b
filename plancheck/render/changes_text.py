"""What in-house packs change, in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from plancheck.rulebook.change_cases import ChangeCase


def changed(case: ChangeCase) -> Iterator[str]:
    """What a pack makes of a rule, with its reason; what another pack overrules stands for itself."""
    change = case.change
    if case.says:
        how = " (loosens)" if case.loosens else ""
        yield f"{change.rule} by {change.pack}: {case.says}{how}. Reason: {change.reason}"
    for effect in case.effects:
        if effect.against:
            yield f"{change.rule} by {change.pack}: {effect.says} does not hold: {effect.against}, the stricter holds."
