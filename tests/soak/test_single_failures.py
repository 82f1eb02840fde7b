"""More doors with every single failure, and all failures of the samples; see tests/proof/test_single_failures.py."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.circuit.drawn import drawn as facts_of
from tests.circuit.test_samples import PLANS
from tests.circuit.test_samples import facts_of as facts_of_sample
from tests.proof.doors import doors
from tests.proof.mishaps import Mishaps, things_of_parts
from tests.proof.test_failed_samples import SHARED, compared, mishaps_of
from tests.proof.test_single_failures import JUDGED, SHORTS, UNDECIDED, VAGUE, judged

ELSEWHERE_IN_SAMPLES = 0.35
"""Of all failures of one sample: see the test whose rest this is."""


@pytest.mark.parametrize("first", range(JUDGED, JUDGED + 200, 10))
def test_every_failure_of_more_doors(first: int) -> None:
    """None left out."""
    tally: Counter[str] = Counter()
    for seed in range(first, first + 10):
        made = doors(seed)
        facts = facts_of(made.drawn.text)
        for mishap in Mishaps(things_of_parts(made.parts), made.earthed).all():
            tally[judged(made, facts, mishap)] += 1
            tally["short"] += mishap.kind in SHORTS
    assert tally["undecided"] <= UNDECIDED * tally.total()
    assert tally["vague"] <= VAGUE * tally["short"]


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_every_failure_of_the_samples(path: Path) -> None:
    """All that a sample lists, in the simulator."""
    facts = facts_of_sample(path)
    mishaps = mishaps_of(facts)
    tally = compared(facts, mishaps, path.stem)
    assert tally["elsewhere"] <= ELSEWHERE_IN_SAMPLES * len(mishaps)
    assert tally["shared"] <= SHARED * len(mishaps)
