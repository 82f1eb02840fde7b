"""What an author may ask for: one file to a feature, each with the messages that it answers."""

from __future__ import annotations

from plancheck.editor.features import colouring, completing, finding_ways, laying_out, mending, outlining, told
from plancheck.editor.features.feature import Feature

FEATURES: dict[str, Feature] = {
    method: feature
    for module in (told, completing, finding_ways, outlining, colouring, laying_out, mending)
    for method, feature in module.FEATURES.items()
}
