"""Variations: a plan taken otherwise than drawn."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Variation:
    """`dead` devices have no power inside; where `distrusted`, every electronic contact may stand anywhere."""

    dead: frozenset[str] = frozenset()
    distrusted: bool = False


AS_DRAWN = Variation()
