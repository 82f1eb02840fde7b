"""The rest of the jumbled plans; see tests/circuit/test_cutting.py."""

from __future__ import annotations

import pytest

from tests.circuit.test_cutting import SEEDS, compare


@pytest.mark.parametrize("seed", range(SEEDS.stop, 4000))
def test_cut_and_uncut_agree(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    compare(seed, monkeypatch)
