"""What an author may ask for: one file to a feature, each with the message that it answers."""

from __future__ import annotations

from plancheck.editor.features.feature import Feature

FEATURES: dict[str, Feature] = {}
